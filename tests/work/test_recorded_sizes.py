"""Everything that the file says of a part is in its recorded sizes, word by word; and what the log knows of a run."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from msgspec.structs import replace
from work.one_tablet import towel_frame

from tracker.design.feature import Feature, Haunch
from tracker.design.model import (
    CornerJoint,
    EndCut,
    EndCuts,
    Hole,
    Lap,
    Part,
    RingJoint,
    SplayedLegJoint,
    Taper,
)
from tracker.measure import Length
from tracker.work.codes import code_for
from tracker.work.facts import Done, Entry, Fact, Labelled, Opened, Racked, Wait
from tracker.work.operations import step_named
from tracker.work.recorded_sizes import digest, fixed_sizes, sizes_of, words
from tracker.work.state.records import NEW_RUN
from tracker.work.state.replay import replay
from tracker.work.state.run_from_log import item_from_log, run_from_log
from tracker.work.state.state import State

RUN = towel_frame()
RAIL, PEG = RUN.build.part("rail"), RUN.build.part("peg")


def mm(number: str) -> Length:
    return Length.of(number, "mm")


def sizes(part: Part, **changes: Any) -> dict[str, str]:
    return sizes_of(RUN.build, replace(part, **changes))


def test_a_plain_part() -> None:
    assert sizes(RAIL) == {
        "name": "Rail", "quantity": "2", "wood": "white ash", "length": "500", "measured": RAIL.measured,
        "allowance": "20", "width": "60", "thickness": "20", "grain": "along", "ends": "A square, B square",
    }  # fmt: skip
    assert sizes(PEG)["hands"] == "1 left, 1 right"
    assert sizes(PEG)["holes"] == ("through at end A, 30 mm from the edge, top face, from end 20 mm, diameter 6 mm")
    assert sizes(RAIL, left=3)["hands"] == "3 left, 0 right"
    assert sizes(RAIL, length=None).get("length") is None
    assert sizes(RAIL, length=mm("1/3"))["length"] == "1/3"


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        (EndCuts(a=EndCut(miter=45.0)), "A 45° mitre, long at the far edge, B square"),
        (EndCuts(b=EndCut(miter=22.5, bevel=10.25, long="near", long_face="bottom")),
         "A square, B 22.5° mitre, long at the near edge and 10.25° bevel, long on the bottom face"),
        (EndCuts(a=EndCut(bevel=5.0)), "A 5° bevel, long on the top face, B square"),
        (RingJoint(sides=6, lean=5.0), "ring of 6 leaning 5°"),
        (RingJoint(sides=4, butted=True), "ring of 4 leaning 0°, butted"),
        (CornerJoint(angle=60.0, lean=3.5), "corner of 60° leaning 3.5°"),
        (CornerJoint(angle=90.0, butted=True), "corner of 90° leaning 0°, butted"),
        (SplayedLegJoint(height=mm("430"), front=6.0, side=4.125),
         "splayed leg 430 mm high, 6° in front, 4.125° at the side"),
    ],
)  # fmt: skip
def test_ends(ends: Any, said: str) -> None:
    assert sizes(RAIL, ends=ends)["ends"] == said


def test_tapers_laps_and_holes() -> None:
    tapers = (Taper(edges="both", end="B", start=mm("100"), leave=mm("25.4")),
              Taper(edges="near", end="A", length=mm("200"), angle=2.5))  # fmt: skip
    assert sizes(RAIL, tapers=tapers)["tapers"] == (
        "both edge tapered toward end B from 100 mm to 25.4 mm; near edge tapered toward end A over 200 mm at 2.5°"
    )
    lap = Lap(end="A", from_end=mm("50"), crosses="peg")
    assert sizes(RAIL, laps=(lap,))["laps"] == "lap for peg 50 mm from end A, 90°, top face"
    hole = Hole(
        kind="pocket", end="B", from_edge=(mm("10"), mm("50")), face="bottom", depth=mm("1"), fastener=mm("2"),
        recess=mm("3"), plug_diameter=mm("4"), from_face=mm("5"), bore=mm("6"), shoulder=mm("7"), gauge=8,
    )  # fmt: skip
    assert sizes(RAIL, holes=(hole,))["holes"] == (
        "pocket at end B, 10, 50 mm from the edge, bottom face, depth 1 mm, length 2 mm, recess 3 mm, plug 4 mm, from "
        "face 5 mm, bore 6 mm, shoulder 7 mm, No. 8"
    )


@pytest.mark.parametrize(
    ("feature", "what", "said"),
    [
        (Feature(kind="mortise", on="near", at=(("A", mm("20")),), length=mm("40"), width=mm("8"), depth=mm("25")),
         "mortise", "mortise on near, at A 20 mm, length 40 mm, width 8 mm, depth 25 mm"),
        (Feature(kind="dado", angle=12.5, count=3, spacing=mm("100"), line=7, tool="saw", fits="x"),
         "dado", "dado on top, angle 12.5, count 3, spacing 100 mm"),
        (Feature(kind="tenon", on="A", length=mm("30"), haunch=Haunch(edge="far", length=mm("9"))),
         "tenon", "tenon on A, length 30 mm, haunch far 9 mm"),
        (Feature(kind="mortise", lean=(("far", 5.25),), row="across", long_face="bottom"),
         "mortise", "mortise on top, lean far 5.25°, long_face bottom, row across"),
        (Feature(kind="mortise", edges=(("top", "near"),), play=mm("1"), count=1),
         "mortise", "mortise on top, edges top near"),
    ],
)  # fmt: skip
def test_features(feature: Feature, what: str, said: str) -> None:
    found = sizes(RAIL, features=(feature,))
    said = said + (f", shape {feature.shape}" if ", shape" not in said else "")
    assert sorted(found[f"{what} features"].split(", ")) == sorted(said.split(", "))


def test_several_features_of_one_operation_and_the_tenons_length() -> None:
    tenons = (Feature(kind="tenon", on="A", length=mm("30")), Feature(kind="tenon", on="B", length=mm("25.5")))
    found = sizes(RAIL, features=tenons)
    assert found["length"] == "1111/2"
    assert found["tenon features"].count("; tenon on B") == 1
    once = sizes(RAIL, features=(tenons[0], replace(tenons[0], width=mm("9"))))
    assert once["length"] == "530", "two rows of one end are one tenon"


def test_a_digest_changes_with_every_size_and_every_joint() -> None:
    plain = digest(RUN.sizes)
    assert len(plain) == 16
    assert digest({part: dict(reversed(each.items())) for part, each in RUN.sizes.items()}) == plain
    assert digest({**RUN.sizes, "rail": {**RUN.sizes["rail"], "width": "61"}}) != plain
    assert digest(RUN.sizes, [("frame", [["rail", 2]])]) != plain


@pytest.mark.parametrize(
    ("step", "route", "said"),
    [
        ("cut", ("cut", "trim A", "trim B"), {"wood", "thickness", "grain", "width", "blank"}),
        ("cut", ("cut", "rip", "trim A"), {"wood", "thickness", "grain", "blank"}),
        ("cut", ("cut",), {"wood", "thickness", "grain", "width", "length", "measured", "ends"}),
        ("cut", ("cut", "cut to length"), {"wood", "thickness", "grain"}),
        ("cut to length", ("cut", "cut to length"), {"width", "length", "measured", "ends"}),
        ("cut to length", ("cut", "rip", "cut to length", "trim A"), {"blank"}),
        ("rip", ("cut", "rip"), {"width"}), ("trim A", ("cut", "trim A"), {"length", "measured", "ends"}),
        ("drill", ("cut", "drill"), set()), ("sand 120", ("cut", "sand 120"), set()),
    ],
)  # fmt: skip
def test_what_each_step_makes_a_piece_to(step: str, route: tuple[str, ...], said: set[str]) -> None:
    found = dict(fixed_sizes(RUN.sizes["rail"], step_named(step), tuple(map(step_named, route))))
    assert set(found) == said
    assert found.get("blank", "520") == "520"
    assert list(found) == sorted(found)


def test_a_blank_without_an_allowance_is_as_long_as_the_piece() -> None:
    route = (step_named("cut"), step_named("trim A"))
    plain = {what: value for what, value in RUN.sizes["rail"].items() if what != "allowance"}
    assert dict(fixed_sizes(plain, route[0], route))["blank"] == "500"
    assert "blank" not in dict(fixed_sizes({"wood": "ash"}, route[0], route))


@pytest.mark.parametrize(
    ("what", "value", "said"),
    [("length", "600", "600 mm"), ("allowance", "1143/2", "572 mm"), ("blank", "", "none"), ("holes", "", "none"),
     ("grain", "along", "along"), ("width", "20", "20 mm")],
)  # fmt: skip
def test_a_size_in_words(what: str, value: str, said: str) -> None:
    assert words(what, value, RUN.build.shop.mark) == said


# -- a run from its log alone ------------------------------------------------------------------------------------------

AT = datetime(2026, 3, 2, 8, tzinfo=UTC)


def state(*written: Fact) -> State:
    return replay(Entry("saw", at, {"saw": at - 1}, AT, fact) for at, fact in enumerate(written, 1))


def opened(**quantities: str) -> Opened:
    parts = tuple((part, (("name", part.upper()), ("quantity", number))) for part, number in quantities.items())
    return Opened("stool#2", "Stool", "stool.toml", "", "d1", parts)


def from_log(*written: Fact) -> dict[str, tuple[str, str, int, int, str]]:
    here = state(*written).runs["stool#2"]
    run = run_from_log("stool#2", here.items, here.whole)
    assert run.codes == {key: code_for("stool#2", key) for key in (*run.items, *run.codes)}
    assert run.by_code == {run.codes[key]: key for key in run.items}
    assert (run.build.name, run.build.units, run.build.parts) == ("Stool" if here.whole.opened else "stool", "mm", ())
    return {key: (item.kind, item.id, item.number, item.of, item.name) for key, item in run.items.items()}


def test_its_pieces_are_those_of_the_last_opening() -> None:
    assert from_log(opened(leg="2", seat="1")) == {
        "leg:1": ("piece", "leg", 1, 2, "LEG"), "leg:2": ("piece", "leg", 2, 2, "LEG"),
        "seat:1": ("piece", "seat", 1, 1, "SEAT"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("written", "count"),
    [("0", 0), ("1", 1), ("999", 999), ("1000", 999), ("999999", 999), ("1000000", 0), ("", 0), ("x", 0), ("٣", 0),
     ("-1", 0), ("1.5", 0)],
)  # fmt: skip
def test_a_number_of_pieces_that_makes_no_sense_is_none_or_the_most(written: str, count: int) -> None:
    assert len(from_log(opened(leg=written))) == count


def test_what_was_worked_on_or_labelled_is_known_too() -> None:
    wait = Wait("clamp", 60, "boot", 1.0)
    found = from_log(
        Done("stool#2", "left-front_leg:3", "cut"), Done("stool#2", "frame:1", "clamp", wait=wait),
        Labelled("stool#2", ("tray:2", "tray:1", "rack/F2", "odd")),
        Racked("stool#2", "F2", "ash", 640_000, ""),
    )  # fmt: skip
    assert found == {
        "left-front_leg:3": ("piece", "left-front_leg", 3, 1, "Left front leg"),
        "frame:1": ("assembly", "frame", 1, 1, "Frame"), "tray:2": ("piece", "tray", 2, 2, "Tray"),
        "tray:1": ("piece", "tray", 1, 2, "Tray"), "odd": ("piece", "odd", 1, 1, "Odd"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("key", "number"), [("a:7", 7), ("a:x", 1), ("a:", 1), ("a:999999", 999_999), ("a:1000000", 1), ("a:٣", 1)]
)
def test_the_number_in_a_key_of_another_program(key: str, number: int) -> None:
    here = state(Done("stool#2", key, "cut"), Done("stool#2", key, "trim A")).runs["stool#2"].items[key]
    item = item_from_log(key, here)
    assert (item.number, item.of, [step.id for step in item.route]) == (number, 1, ["cut", "trim A"])
    assert item_from_log(key, here, 4, "Arm").short == f"Arm {number}"


def test_a_run_of_which_nothing_is_known() -> None:
    run = run_from_log("stool#2", {}, NEW_RUN)
    assert (run.items, run.codes, run.build.name) == ({}, {}, "stool")
