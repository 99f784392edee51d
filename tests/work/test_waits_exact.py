"""What the shop's air does to a wait, at the very degrees and percents where it begins, and the words that say so."""

from __future__ import annotations

from typing import Any

import pytest
from work.one_tablet import Bench
from work.test_waits import bench_with, wait

from tracker.measure import parse_span
from tracker.work.clocks.waits import WaitOf, degrees
from tracker.work.decide.decide import Overrule, SetAir


@pytest.mark.parametrize(
    ("celsius", "metric", "inch"),
    [(20, "20 °C", "68 °F"), (0, "0 °C", "32 °F"), (100, "100 °C", "212 °F"), (-40, "−40 °C", "−40 °F"),
     (-0.4, "0 °C", "31 °F"), (-0.6, "−1 °C", "31 °F"), (-17.9, "−18 °C", "0 °F"), (17.6, "18 °C", "64 °F")],
)  # fmt: skip
def test_a_temperature_is_said_in_the_builds_units(celsius: float, metric: str, inch: str) -> None:
    assert (degrees(celsius, "mm"), degrees(celsius, "in")) == (metric, inch)


def in_air(bench: Bench, celsius: float, humidity: float, kind: str) -> WaitOf:
    bench.must(SetAir(celsius, humidity))
    return wait(bench, kind)


YELLOW = "typical for PVA, aliphatic (yellow); check the label"
VARNISH = "typical for Wiping varnish; check the label"
EPOXY = "typical for Epoxy, two-part; check the label"
THUMB = "a rule of thumb"
COLD = [
    # What dries, from below 18 °C and above 65 %: half as long again, or twice as long (common practice, no source).
    (18, 65, 1.0, ""), (17.9, 65, 1.5, ". At 18 °C half as long again; "),
    (18, 65.1, 1.5, ". At 65.1 % half as long again; "),
    (17.9, 65.1, 2.0, ". At 18 °C and 65.1 % twice as long; "), (40, 66, 1.5, ". At 66 % half as long again; "),
]  # fmt: skip


@pytest.mark.parametrize(("celsius", "humidity", "factor", "why"), COLD)
def test_what_dries_waits_longer_in_the_cold_and_the_damp(
    celsius: float, humidity: float, factor: float, why: str
) -> None:
    bench = bench_with(glue="yellow glue")
    end = f"{why}{THUMB}" if why else ""
    for kind, hours, words in (("clamp", 1, YELLOW), ("cure", 24, YELLOW), ("recoat", 24, VARNISH)):
        found = in_air(bench, celsius, humidity, kind)
        if kind == "recoat":
            hours = found.span.seconds / 3600 / factor
        assert (found.span.seconds, found.factor, found.words) == (hours * 3600 * factor, factor, f"{words}{end}"), kind
        assert (found.origin, found.row) == ("default", words[len("typical for ") : words.index(";")])
    assert in_air(bench, celsius, humidity, "open").factor == 1


@pytest.mark.parametrize(
    ("celsius", "kind", "span", "factor", "long"),
    [
        # 24 h, 10 min and 7 days at 20 °C, times 2^((20 − T)/10), to the safe side.
        (20, "clamp", "24 h", 1, ""), (10, "clamp", "48 h", 2, "twice as long"),
        (15, "clamp", "34 h", 2**0.5, "1.4 times as long"), (25, "clamp", "24 h", 1, ""),
        (0, "cure", "28 days", 4, "4.0 times as long"), (30, "cure", "7 days", 1, ""),
        (30, "open", "5 min", 0.5, "0.5 times as long"), (25, "open", "7 min", 2**-0.5, "0.7 times as long"),
        (20, "open", "10 min", 1, ""), (10, "open", "10 min", 1, ""),
    ],
)  # fmt: skip
def test_what_reacts_keeps_the_rate_rule(celsius: float, kind: str, span: str, factor: float, long: str) -> None:
    found = in_air(bench_with(glue="Epoxy, two-part"), celsius, 99, kind)
    assert found.span == parse_span(span)
    assert found.factor == pytest.approx(factor)
    assert found.words == (f"{EPOXY}. At {celsius} °C {long}; {THUMB}" if long else EPOXY)
    machine = {"clamp": None, "open": None, "cure": parse_span("24 h") if factor == 1 else parse_span("4 days")}[kind]
    assert found.machine == machine, "a day out of the clamps it may be worked on; longer in the cold"
    assert found.limit is None


@pytest.mark.parametrize(
    ("glue", "kind", "factor"),
    [("super glue", "clamp", 1), ("super glue", "cure", 1), ("hot hide glue", "clamp", 2), ("UF", "clamp", 4)],
)
def test_each_class_in_a_cold_and_damp_shop(glue: str, kind: str, factor: float) -> None:
    """Contact glue doesn't wait for air; hide glue gels and then dries; urea-formaldehyde reacts."""
    found = in_air(bench_with(glue=glue), 0, 90, kind)
    assert found.factor == factor
    assert found.machine is None


def test_the_recoat_window_goes_with_the_air() -> None:
    waxed = bench_with(finish="Drying oil + wax")
    assert in_air(waxed, 10, 90, "recoat").limit == parse_span("4 days")
    assert in_air(waxed, 20, 50, "recoat").limit == parse_span("48 h")
    assert wait(waxed, "dry").limit is None
    assert wait(waxed, "dry").span == parse_span("21 days")


def test_the_label_replaces_the_time_and_leaves_the_window() -> None:
    bench = bench_with(finish="Drying oil + wax")
    bench.must(Overrule("frame:1", "recoat", 3600))
    assert wait(bench, "recoat") == WaitOf(parse_span("1 h"), "label", words="by the label", limit=parse_span("48 h"))
    bench.must(Overrule("frame:1", "recoat", 7200, "the tin"))
    assert wait(bench, "recoat").words == "by the label: the tin"
    bench.must(SetAir(5, 90))
    assert wait(bench, "recoat").span == parse_span("2 h")


@pytest.mark.parametrize("kind", ["open", "clamp", "cure", "recoat", "dry"])
def test_what_has_no_such_wait_has_none(kind: Any) -> None:
    bench = bench_with()
    assert bench.state.wait_of(bench.run, bench.run.items["rail:1"], kind) is None
    glued = bench.run.items["frame:1"]
    assert bench.state.wait_of(bench.run, glued, kind) is not None


def test_a_time_of_the_file_is_said_to_be_its() -> None:
    bench = bench_with(more='clamp_time = "45 min"')
    assert wait(bench, "clamp") == WaitOf(parse_span("45 min"), "build file", words="from the build file")


def test_a_time_of_the_file_for_a_finish_is_left_alone_by_the_air() -> None:
    """Its own recoat time, and the cure of the class, which is twice as long in a cold and damp shop."""
    bench = bench_with(written=', recoat = "20 h"')
    usual = wait(bench, "dry").span
    assert in_air(bench, 10, 90, "recoat").span == parse_span("20 h")
    assert wait(bench, "recoat").origin == "build file"
    assert wait(bench, "dry").span.seconds == 2 * usual.seconds
