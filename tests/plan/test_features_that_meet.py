"""Features that would run into one another, into a hole or into a half-lap, a hundredth of a millimetre away and a
hundredth too near; said in full with the hint."""

from __future__ import annotations

from math import cos, radians
from typing import Any

import pytest
from plan.feature_judge import Board, Row
from plan.random_features import build_text
from plan.test_feature_limits import OWN_STEP, Told, past, told

from tracker.design import load_build
from tracker.plan.feasibility import check
from tracker.plan.laps import laps_of


def mortise(**more: Any) -> Row:
    """From 40 to 100 mm from end A, 7 to 15 mm from the bottom, 30 mm deep."""
    return {"kind": "mortise", "on": "near", "from": {"A": 40}, "length": 60.0, "width": 8.0, "depth": 30.0, **more}


def bore(on: str, diameter: float, depth: float, **at: float) -> Row:
    return {"kind": "bore", "on": on, "from": at, "diameter": diameter, "depth": depth}


@pytest.mark.parametrize(
    ("clear", "meets", "words", "hint", "kind"),
    [
        (mortise(**{"from": {"A": 100}}), mortise(**{"from": {"A": 99.99}}), "mortise 2 meets mortise 1 (line 14)", "",
         "problem"),
        (mortise(on="far", depth=70.0), mortise(on="far", depth=70.01), "mortise 2 meets mortise 1 (line 14)", "",
         "problem"),
        (bore("near", 8.0, 9.0, A=104), bore("near", 8.0, 9.0, A=103.9), "bore 1 meets mortise 1 (line 14)", "",
         "problem"),
        (bore("near", 4.0, 9.0, A=60, bottom=5), bore("near", 4.0, 9.0, A=60, bottom=5.1),
         "bore 1 meets mortise 1 (line 14)", "", "problem"),
        (bore("far", 6.0, 70.0, A=60), bore("far", 6.0, 70.01, A=60), "bore 1 meets mortise 1 (line 14)", "",
         "problem"),
        (bore("top", 6.0, 7.0, A=60, near=15), bore("top", 6.0, 7.01, A=60, near=15),
         "bore 1 meets mortise 1 (line 14)", "", "problem"),
        ({"kind": "groove", "on": "bottom", "from": {"near": 10}, "width": 6.0, "depth": 7.0},
         {"kind": "groove", "on": "bottom", "from": {"near": 10}, "width": 6.0, "depth": 7.01},
         "groove 1 meets mortise 1 (line 14)", "they are cut into one another", "note"),
        ({"kind": "rabbet", "on": "top", "edge": "near", "width": 6.0, "depth": 7.0},
         {"kind": "rabbet", "on": "top", "edge": "near", "width": 6.0, "depth": 7.01},
         "rabbet 1 meets mortise 1 (line 14)", "they are cut into one another", "note"),
        ({"kind": "dado", "on": "top", "from": {"A": 60}, "width": 6.0, "depth": 7.0},
         {"kind": "dado", "on": "top", "from": {"A": 60}, "width": 6.0, "depth": 7.01},
         "dado 1 meets mortise 1 (line 14)", "they are cut into one another", "note"),
        ({"kind": "notch", "on": "near", "from": {"A": 100}, "length": 6.0, "depth": 7.0},
         {"kind": "notch", "on": "near", "from": {"A": 99.9}, "length": 6.0, "depth": 7.0},
         "notch 1 meets mortise 1 (line 14)", "", "problem"),
        ({"kind": "profile", "edges": ["near top"], "shape": "chamfer", "width": 7.0},
         {"kind": "profile", "edges": ["near top"], "shape": "chamfer", "width": 7.2},
         "profile 1 meets mortise 1 (line 14)", OWN_STEP, "problem"),
        ({"kind": "profile", "edges": ["near top"], "shape": "round over", "radius": 7.0},
         {"kind": "profile", "edges": ["near top"], "shape": "round over", "radius": 7.1},
         "profile 1 meets mortise 1 (line 14)", OWN_STEP, "problem"),
    ],
)  # fmt: skip
def test_features_that_only_touch_do_not_meet(clear: Row, meets: Row, words: str, hint: str, kind: str) -> None:
    assert told(mortise(), clear) == []
    assert told(mortise(), meets) == [(1, words, hint, kind)]


def test_what_a_feature_meets_is_said_once_all_are_in_the_piece() -> None:
    off = mortise(**{"from": {"A": 450}})
    assert told(mortise(), mortise(**{"from": {"A": 90}}), off) == past("mortise 3", "B", row=2)
    assert told(off, off) == [*past("mortise 1", "B"), *past("mortise 2", "B", row=1)]


def test_a_feature_meets_all_it_runs_along_and_one_it_may_not() -> None:
    """A groove runs on into joinery and each is named; the first bore that it meets ends the list."""
    rows = [mortise(), mortise(**{"from": {"A": 200}}), bore("near", 4.0, 9.0, A=300), bore("near", 4.0, 9.0, A=400)]
    groove: Row = {"kind": "groove", "on": "near", "width": 8.0, "depth": 9.0}
    assert [(row, words) for row, words, _, _ in told(*rows, groove)] == [
        (4, "groove 1 meets bore 1 (line 16)"),
        (4, "groove 1 meets mortise 1 (line 14)"),
        (4, "groove 1 meets mortise 2 (line 15)"),
    ]


@pytest.mark.parametrize(
    ("hole", "clear", "meets", "name"),
    [
        ('{ kind = "blind", end = "A", from_edge = 30, from_end = 60, diameter = 8, depth = 10 }',
         mortise(depth=25.99), mortise(depth=26.1), "hole 1 at end A"),
        ('{ kind = "blind", end = "B", from_edge = [80, 30], from_end = 440, diameter = 8, depth = 10 }',
         mortise(depth=25.99), mortise(depth=26.1), "hole 2 at end B"),
        ('{ kind = "blind", face = "bottom", end = "A", from_edge = 20, from_end = 60, diameter = 8, depth = 6.99 }',
         mortise(), None, ""),
        ('{ kind = "blind", face = "bottom", end = "A", from_edge = 20, from_end = 60, diameter = 8, depth = 7.1 }',
         None, mortise(), "hole 1 at end A"),
    ],
)  # fmt: skip
def test_features_keep_clear_of_holes(hole: str, clear: Row | None, meets: Row | None, name: str) -> None:
    more = f"holes = [{hole}]\n"
    if clear:
        assert told(clear, more=more) == []
    if meets:
        assert told(meets, more=more) == [(0, f"mortise 1 meets {name}", "", "problem")]


@pytest.mark.parametrize(("at", "meets"), [(46.0, False), (46.1, True), (104.0, False), (103.9, True)])
def test_a_bore_keeps_clear_of_a_half_lap(at: float, meets: bool) -> None:
    """The half-lap is as wide as the part that crosses it, 50 mm: its middle is 75 mm from end A."""
    lap = 'laps = [{ end = "A", from_end = 50, crosses = "thin", face = "top" }]\n'
    text = build_text(Board(500.0, 100.0, 22.0, 0.0, [bore("top", 8.0, 9.0, A=at)])).replace(
        "features", f"{lap}features"
    )
    text += '[[parts]]\nid = "thin"\nwood = "oak"\nlength = 500\nwidth = 50\n'
    text += 'laps = [{ end = "A", from_end = 50, crosses = "part", face = "bottom" }]\n'
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    found = [each.what for each in check(loaded.build) if "bore" in each.what]
    assert found == (["part: bore 1 meets the half-lap for thin"] if meets else [])


@pytest.mark.parametrize("angle", [60, 75])
@pytest.mark.parametrize(("face", "on"), [("top", "top"), ("bottom", "bottom")])
def test_a_bore_keeps_clear_of_the_shoulders_of_a_slanted_half_lap(angle: int, face: str, on: str) -> None:
    """Off square by 90 degrees less the angle: a bore of 8 mm in the middle needs 4 over its cosine along the piece."""
    lap = f'laps = [{{ end = "A", from_end = 150, crosses = "thin", face = "{face}", angle = {angle} }}]\n'

    def found(at: float) -> list[str]:
        row = bore(on, 8.0, 5.0, A=at)
        text = build_text(Board(500.0, 100.0, 22.0, 0.0, [row])).replace("features", f"{lap}features")
        text += '[[parts]]\nid = "thin"\nwood = "oak"\nlength = 500\nwidth = 50\nlaps = [{ end = "A", from_end = 150, '
        other = "bottom" if face == "top" else "top"
        build = load_build(f'{text}crosses = "part", face = "{other}", angle = {angle} }}]\n').build
        assert build is not None
        middles.update(sum(pair) / 2 for each in laps_of(build, build.parts[0], None) for pair in each.shoulders)
        return [each.what for each in check(build) if "bore" in each.what]

    middles = set[float]()
    assert found(30.0) == []
    left, right = sorted(middles)
    assert right - left == pytest.approx(50 / cos(radians(90 - angle)))
    room = 4 / cos(radians(90 - angle))
    for at, meets in ((left - room - 0.05, False), (left - room + 0.15, True), (right + room + 0.05, False),
                      (right + room - 0.15, True)):  # fmt: skip
        assert found(round(at, 4)) == (["part: bore 1 meets the half-lap for thin"] if meets else [])


def test_only_the_waste_of_a_tenon_may_be_run_into_by_a_profile() -> None:
    """A tenon of 8 mm in 22: 7 mm of waste on both sides."""
    tenon: Row = {"kind": "tenon", "on": "A", "length": 30.0, "width": 100.0, "thickness": 8.0}
    edge: Row = {"kind": "profile", "edges": ["near top"], "shape": "chamfer"}
    assert told(tenon, {**edge, "width": 7.0}) == []
    assert told({**edge, "width": 7.0}, tenon) == []
    assert told(tenon, {**edge, "width": 7.2}) == [(1, "profile 1 meets tenon 1 (line 14)", OWN_STEP, "problem")]
    assert told({**edge, "width": 7.2}, tenon) == [(1, "tenon 1 meets profile 1 (line 14)", OWN_STEP, "problem")]
    over: Row = {"kind": "profile", "edges": ["near top"], "shape": "round over"}
    assert told(tenon, {**over, "radius": 7.0}) == []
    assert told(tenon, {**over, "radius": 8.0}) == [(1, "profile 1 meets tenon 1 (line 14)", OWN_STEP, "problem")]


# -- what can't be ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rows", "miter", "said"),
    [
        ([{"kind": "tenon", "on": "A", "length": 30.0, "width": 60.0, "thickness": 8.0},
          {"kind": "tenon", "on": "B", "length": 30.0, "width": 60.0, "thickness": 8.0}], 0, []),
        ([{"kind": "tenon", "on": "A", "length": 30.0, "width": 30.0, "thickness": 8.0, "toward": {"near": 30}},
          {"kind": "tenon", "on": "A", "length": 30.0, "width": 30.0, "thickness": 8.0, "toward": {"far": 30}}], 0,
         [(1, "end A has a tenon already", "one tenon an end", "problem"),
          (1, "tenon 2 meets tenon 1 (line 14)", "", "problem")]),
        ([{"kind": "profile", "edges": ["B top"], "shape": "chamfer", "width": 4.0}], 10,
         [(0, "profile 1: an end that isn't square gets no profile by itself", "", "problem")]),
        ([{"kind": "profile", "edges": ["A top", "near top"], "shape": "chamfer", "width": 4.0}], 10, []),
        ([{"kind": "tenon", "on": "A", "length": 30.0, "width": 60.0, "thickness": 8.0},
          {"kind": "profile", "edges": ["A top"], "shape": "cove", "radius": 4.0}], 0,
         [(1, "profile 1: that end has a tenon", "", "problem")]),
        ([{"kind": "tenon", "on": "B", "length": 30.0, "width": 60.0, "thickness": 8.0},
          {"kind": "profile", "edges": ["B top"], "shape": "cove", "radius": 4.0}], 0,
         [(1, "profile 1: that end has a tenon", "", "problem")]),
        ([{"kind": "tenon", "on": "B", "length": 30.0, "width": 60.0, "thickness": 8.0},
          {"kind": "profile", "edges": ["A top"], "shape": "cove", "radius": 4.0}], 0, []),
        # planes from edge to edge that leave nothing between them
        ([{"kind": "profile", "edges": ["near top", "far bottom"], "shape": "chamfer", "width": 100.0, "height": 22.0}],
         0, [(0, "profile 1 cuts the piece apart", "", "problem")]),
        ([{"kind": "profile", "edges": ["near top", "far bottom"], "shape": "chamfer", "width": 99.0, "height": 22.0}],
         0, []),
    ],
)  # fmt: skip
def test_what_cannot_be_together(rows: list[Row], miter: float, said: Told) -> None:
    assert told(*rows, miter=miter) == said
