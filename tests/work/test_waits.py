"""The length of a wait and its source; `tracker.work.clocks.waits` names the rules of thumb for air."""

from __future__ import annotations

import pytest
from work.one_tablet import BUILD, Bench

from tracker.design.load import load_build
from tracker.design.model import Glue
from tracker.measure import Span, parse_span
from tracker.work.clocks.waits import WaitOf, _times
from tracker.work.decide.decide import Do, Overrule, SetAir, UndoEntry
from tracker.work.run import start_run
from tracker.work.state.state import running_waits


def bench_with(
    glue: str = "PVA, cross-linking", finish: str = "Wiping varnish", more: str = "", written: str = ""
) -> Bench:
    """The towel frame with a glue and a finish of the tables; `more` and `written` are the times in the file."""
    head = BUILD[: BUILD.index("glue = ")]
    loaded = load_build(f'{head}glue = "{glue}"\n{more}\nfinish = {{ kind = "{finish}", coats = 2{written} }}\n')
    assert loaded.build is not None, loaded.problems
    return Bench(start_run(loaded.build))


def wait(bench: Bench, kind: str) -> WaitOf:
    found = bench.state.wait_of(bench.run, bench.run.items["frame:1"], kind)  # type: ignore[arg-type]
    assert found is not None
    return found


def test_a_default_names_its_row_and_says_that_it_is_one() -> None:
    bench = bench_with(glue="white glue")
    clamp = wait(bench, "clamp")
    assert (clamp.origin, clamp.row) == ("default", "PVA, interior (white)")
    assert clamp.words == "typical for PVA, interior (white); check the label"
    assert wait(bench, "recoat").words == "typical for Wiping varnish; check the label"


def test_the_build_file_overrules_the_default_and_the_label_overrules_both() -> None:
    bench = bench_with(more='clamp_time = "45 min"')
    assert (wait(bench, "clamp").span, wait(bench, "clamp").origin) == (Span(2700), "build file")
    bench.must(Overrule("frame:1", "clamp", 1800, "on the bottle: 30 min"))
    assert (wait(bench, "clamp").span, wait(bench, "clamp").origin) == (Span(1800), "label")
    assert wait(bench, "clamp").words == "by the label: on the bottle: 30 min"
    bench.must(UndoEntry(bench.entries[-1].id))
    assert wait(bench, "clamp").origin == "build file"


def test_the_label_read_late_sets_the_clock_that_runs() -> None:
    bench = bench_with()
    for step in ("dry fit", "spread", "clamp"):
        bench.must(Do("frame:1", step, anyway="Tested: ready"))
    assert running_waits(bench.run, bench.state)[0].wait.seconds == 3600
    bench.must(Overrule("frame:1", "clamp", 1800))
    assert running_waits(bench.run, bench.state)[0].wait.seconds == 1800


@pytest.mark.parametrize(
    ("celsius", "factor"),
    # The rule of thumb that a reaction's rate doubles with every 10 °C: 2^((20 − T)/10); from memory. Warmth isn't
    # counted.
    [(20, 1), (10, 2), (15, 2**0.5), (30, 1)],
)
def test_a_glue_that_reacts_keeps_the_rate_rule_and_only_to_the_safe_side(celsius: float, factor: float) -> None:
    bench = bench_with(glue="Epoxy, two-part")
    bench.must(SetAir(celsius, 50))
    clamp = wait(bench, "clamp")
    assert clamp.factor == pytest.approx(factor)
    assert clamp.span.seconds >= 86_400 * factor - 1
    assert clamp.span.seconds <= 86_400 * factor + 3600, "rounded up to a whole hour at most"
    assert ("a rule of thumb" in clamp.words) == (factor != 1)


def test_the_open_time_of_a_reaction_gets_shorter_in_the_warm_and_never_longer_in_the_cold() -> None:
    bench = bench_with(glue="Epoxy, two-part")
    bench.must(SetAir(30, 50))
    assert wait(bench, "open").span == Span(300)
    bench.must(SetAir(5, 50))
    assert wait(bench, "open").span == Span(600)


@pytest.mark.parametrize("glue", ["PVA, cross-linking", "PVA, aliphatic (yellow)", "Hide, hot", "Hide, liquid"])
def test_what_dries_or_gels_keeps_no_rate_rule(glue: str) -> None:
    """Cold and damp each lengthen the wait by half, both together double it: common practice, no source."""
    bench = bench_with(glue=glue)
    plain = wait(bench, "clamp").span.seconds
    for celsius, humidity, factor in ((35, 50, 1), (20, 50, 1), (14, 50, 1.5), (20, 80, 1.5), (14, 80, 2)):
        bench.must(SetAir(celsius, humidity))
        assert wait(bench, "clamp").span.seconds == plain * factor, (celsius, humidity)
        assert wait(bench, "open").factor == 1
    assert wait(bench, "clamp").words.endswith("At 14 °C and 80 % twice as long; a rule of thumb")


def test_super_glue_is_left_alone() -> None:
    bench = bench_with(glue="Cyanoacrylate")
    bench.must(SetAir(12, 80))
    assert wait(bench, "clamp").factor == 1


def test_a_finish_dries_longer_in_the_cold_and_its_window_moves_with_it() -> None:
    bench = bench_with(finish="Drying oil + wax")
    assert (wait(bench, "recoat").span, wait(bench, "recoat").limit) == (parse_span("24 h"), parse_span("48 h"))
    bench.must(SetAir(12, 50))
    assert (wait(bench, "recoat").span, wait(bench, "recoat").limit) == (parse_span("36 h"), parse_span("3 days"))


def test_what_the_build_file_says_isn_t_changed_by_the_air() -> None:
    bench = bench_with(glue="Epoxy, two-part", more='clamp_time = "6 h"')
    bench.must(SetAir(5, 90))
    assert wait(bench, "clamp").span == parse_span("6 h")


def test_a_clock_keeps_the_air_and_the_origin_that_it_was_started_with() -> None:
    bench = bench_with()
    bench.must(SetAir(17, 55))
    for step in ("dry fit", "spread"):
        bench.must(Do("frame:1", step, anyway="Tested: ready"))
    kept = running_waits(bench.run, bench.state)[0].wait
    assert (kept.celsius, kept.humidity) == (17, 55)
    assert kept.source == "typical for PVA, cross-linking; check the label"


def test_a_joint_may_be_worked_on_before_it_may_be_loaded_where_the_table_says_so() -> None:
    bench = bench_with(glue="Epoxy, two-part", more='route = ["dry fit", "glue", "sand 120", "attach"]')
    for step in ("dry fit", "spread", "clamp", "unclamp"):
        bench.must(Do("frame:1", step, anyway="Tested: ready"))
    bench.must(Overrule("frame:1", "clamp", 60))
    refusal = bench.do(Do("frame:1", "sand 120"))
    assert refusal is not None
    assert refusal.reason == "Glue cures: no work on it for 1 day more"
    bench.time += 86_400
    bench.must(Do("frame:1", "sand 120"))
    refusal = bench.do(Do("frame:1", "attach"))
    assert refusal is not None
    assert refusal.reason == "Glue cures for 6 days more"


def test_a_recoat_window_of_the_build_file() -> None:
    text = BUILD.replace('recoat = "12 h"', 'recoat = "12 h", recoat_limit = "18 h"')
    build = load_build(text).build
    assert build is not None
    finish = build.assemblies[0].finish
    assert finish is not None
    assert finish.recoat_limit == parse_span("18 h")
    wrong = load_build(BUILD.replace('recoat = "12 h"', 'recoat = "12 h", recoat_limit = "8 h"'))
    assert [problem.what for problem in wrong.problems] == ["Frame: finish: 'recoat_limit' is sooner than 'recoat'"]


def test_every_class_says_how_it_sets() -> None:
    """Epoxy, polyurethane and urea-formaldehyde cure by reaction (Wood Handbook FPL-GTR-190, chapter 10, on which cure
    well at room temperature); the rate rule holds for these alone."""
    from tracker.design.tables.glues import GLUES

    assert [glue.name.split(",")[0] for glue in GLUES if glue.cures == "reaction"] == [
        "Polyurethane",
        "Epoxy",
        "Urea-formaldehyde",
    ]


def test_an_unknown_glue_has_only_its_own_times() -> None:
    bench = Bench(start_run(load_build(BUILD).build))  # type: ignore[arg-type]
    assert isinstance(bench.run.build.assemblies[0].glue, Glue)
    bench.must(SetAir(2, 90))
    assert wait(bench, "clamp").origin == "build file"


@pytest.mark.parametrize(
    ("seconds", "factor", "said"),
    [
        (299, 1.5, 480), (200, 1.5, 300), (199, 1.5, 299), (1200, 1.5, 1800), (1300, 1.5, 2100), (1100, 1.5, 1680),
        (4 * 3600, 1.5, 6 * 3600), (4 * 3600 + 60, 1.5, 7 * 3600), (3 * 3600, 1.5, 16200), (3601, 1.5, 5700),
        (600, 0.5, 300), (599, 0.5, 299), (3600, 0.5, 1800), (3000, 0.5, 1500), (3601, 0.5, 1800), (700, 1, 700),
    ],
)  # fmt: skip
def test_a_span_that_the_air_changes_is_rounded_to_the_safe_side(seconds: int, factor: float, said: int) -> None:
    """Worked out by hand: whole seconds below 5 min, minutes below half an hour, 5 min below 6 h, then hours; a longer
    wait up, a shorter one down."""
    assert _times(Span(seconds), factor) == Span(said)
