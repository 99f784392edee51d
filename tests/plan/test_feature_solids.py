"""The solid that features leave of a piece, against another library's; and the problems where they don't fit."""

from __future__ import annotations

import manifold3d as m3
import numpy as np
import pytest
from kit.build_text import one_wood
from plan.feature_judge import Board, Row
from plan.feature_solids import count, relative_error
from plan.random_features import build_text

from tracker.design import load_build
from tracker.plan.feasibility import check
from tracker.plan.features import features_of, net_volume
from tracker.plan.geometry import solid
from tracker.plan.place.cells import cells_of

EACH: dict[str, list[Row]] = {
    "notch": [{"kind": "notch", "on": "near", "from": {"A": 0}, "length": 60.0, "depth": 30.0}],
    "leaning notch": [{"kind": "notch", "on": "far", "from": {"A": 200}, "length": 60.0, "depth": 30.0, "lean": {"B": 20}}],  # noqa: E501
    "mortise": [{"kind": "mortise", "on": "near", "from": {"A": 40}, "length": 60.0, "width": 8.0, "depth": 30.0}],
    "tenon": [
        {"kind": "tenon", "on": "B", "length": 30.0, "width": 60.0, "thickness": 8.0, "haunch": {"edge": "far", "length": 10.0}}  # noqa: E501
    ],
    "groove": [{"kind": "groove", "on": "far", "width": 6.0, "depth": 9.0, "stop": {"A": 25}}],
    "housing": [{"kind": "dado", "on": "top", "from": {"B": 100}, "width": 18.0, "depth": 6.0, "stop": {"near": 12}}],
    "slanted dado": [{"kind": "dado", "on": "bottom", "from": {"A": 100}, "width": 18.0, "depth": 6.0, "angle": 12.0}],
    "rabbet": [{"kind": "rabbet", "on": "bottom", "edge": "B", "width": 18.0, "depth": 9.0}],
    "bore": [{"kind": "bore", "on": "top", "from": {"A": 90}, "diameter": 12.0, "through": True, "lean": {"B": 12}}],
    "dowel": [{"kind": "dowel", "on": "A", "diameter": 8.0, "depth": 25.0, "count": 3, "spacing": 32.0}],
    "bolt": [
        {"kind": "bolt", "on": "top", "from": {"A": 90}, "diameter": 8.0, "through": True, "head": 20.0, "head_depth": 8.0}  # noqa: E501
    ],
    "counterbore": [
        {"kind": "counterbore", "on": "near", "from": {"A": 90}, "diameter": 14.0, "depth": 9.0, "hole": 5.0, "hole_depth": 12.0}  # noqa: E501
    ],
    "slot": [{"kind": "slot", "on": "top", "from": {"A": 90}, "length": 40.0, "width": 9.0, "through": True}],
    "chamfer": [{"kind": "profile", "edges": ["near top", "A top", "B top", "far top"], "shape": "chamfer", "width": 4.0}],  # noqa: E501
    "round over": [{"kind": "profile", "edges": ["near top", "A top", "far top"], "shape": "round over", "radius": 6.0}],  # noqa: E501
    "cove": [{"kind": "profile", "edges": ["far bottom", "B bottom"], "shape": "cove", "radius": 5.0}],
    "bevel": [{"kind": "bevel", "on": "near", "angle": 15.0}],
    "bevel from below": [{"kind": "bevel", "on": "far", "angle": 15.0, "long_face": "bottom"}],
    "round over between two tenons": [
        {"kind": "tenon", "on": "A", "length": 25.0, "width": 60.0, "thickness": 8.0},
        {"kind": "tenon", "on": "B", "length": 35.0, "width": 60.0, "thickness": 8.0},
        {"kind": "profile", "edges": ["near top", "far bottom"], "shape": "round over", "radius": 6.0},
    ],
    "cove beside a tenon": [
        {"kind": "tenon", "on": "B", "length": 35.0, "width": 60.0, "thickness": 8.0},
        {"kind": "profile", "edges": ["far top", "A bottom"], "shape": "cove", "radius": 6.0},
    ],
    "haunches of a width": [
        {"kind": "tenon", "on": "A", "length": 30.0, "width": 50.0, "thickness": 8.0, "haunch": {"edge": "near", "length": 10.0, "width": 12.0}},  # noqa: E501
        {"kind": "tenon", "on": "B", "length": 30.0, "width": 50.0, "thickness": 8.0, "haunch": {"edge": "far", "length": 12.0, "width": 15.0}},  # noqa: E501
    ],
    "haunch at the near edge": [
        {"kind": "tenon", "on": "B", "length": 30.0, "width": 60.0, "thickness": 8.0, "haunch": {"edge": "near", "length": 10.0}}  # noqa: E501
    ],
    "tenon off its middle": [
        {"kind": "tenon", "on": "A", "length": 30.0, "width": 60.0, "thickness": 8.0, "toward": {"near": 20, "top": 7}}
    ],
    "leaning slot": [
        {"kind": "mortise", "on": "bottom", "from": {"B": 90}, "length": 40.0, "width": 9.0, "through": True, "lean": {"near": 15}}  # noqa: E501
    ],
    "leaning mortises": [
        {"kind": "mortise", "on": on, "from": {"A": at}, "length": 40.0, "width": 7.0, "depth": 9.0, "lean": {way: 12}}
        for on, at, way in (("top", 40, "near"), ("bottom", 120, "far"), ("near", 200, "top"), ("far", 280, "bottom"))
    ],
    "leaning bores": [
        {"kind": "bore", "on": on, "from": {"A": at}, "diameter": 7.0, "depth": 12.0, "lean": {way: 12}}
        for on, at, way in (("top", 40, "near"), ("bottom", 120, "far"), ("near", 200, "top"), ("far", 280, "A"))
    ],
    "rows across": [
        {"kind": "mortise", "on": "top", "from": {"A": 60, "far": 10}, "length": 40.0, "width": 7.0, "depth": 9.0, "count": 3, "spacing": 20.0, "row": "across"},  # noqa: E501
        {"kind": "slot", "on": "bottom", "from": {"B": 60}, "length": 40.0, "width": 7.0, "depth": 9.0, "count": 3, "spacing": 20.0, "row": "across"},  # noqa: E501
    ],
    "grooves and rabbets of ends": [
        {"kind": "groove", "on": "A", "width": 6.0, "depth": 9.0, "stop": {"near": 20, "far": 10}},
        {"kind": "rabbet", "on": "B", "edge": "top", "width": 6.0, "depth": 9.0, "stop": {"far": 30}},
        {"kind": "rabbet", "on": "B", "edge": "near", "width": 6.0, "depth": 9.0, "stop": {"top": 12}},
        {"kind": "rabbet", "on": "far", "edge": "A", "width": 11.0, "depth": 9.0, "stop": {"bottom": 12}},
    ],
    "slanted dadoes": [
        {"kind": "dado", "on": "near", "from": {"A": 100}, "width": 9.0, "depth": 6.0, "angle": -12.0},
        {"kind": "dado", "on": "far", "from": {"B": 100}, "width": 9.0, "depth": 6.0, "angle": 20.0, "stop": {"top": 5}},  # noqa: E501
        {"kind": "dado", "on": "top", "width": 9.0, "depth": 6.0, "angle": 30.0, "stop": {"near": 9, "far": 20}},
    ],
}  # fmt: skip


@pytest.mark.parametrize("name", EACH)
def test_the_volume_that_each_feature_leaves(name: str) -> None:
    error = relative_error(Board(500.0, 100.0, 22.0, 0.0, EACH[name]))
    assert error is not None
    assert error < 1e-6


def test_a_hole_that_leans_toward_a_mitred_end_leans_along_the_piece() -> None:
    row: Row = {
        "kind": "bore",
        "on": "near",
        "from": {"A": 294.1},
        "diameter": 13.7,
        "through": True,
        "lean": {"B": 16.4},
    }
    error = relative_error(Board(480.0, 59.0, 20.0, 7.0, [row]))
    assert error is not None
    assert error < 1e-6


@pytest.mark.parametrize(
    ("on", "edge"), [("top", "near"), ("top", "far"), ("bottom", "far"), ("near", "top"), ("far", "bottom")]
)
def test_a_rabbet_stops_short_of_a_mitred_end_along_its_own_edge(on: str, edge: str) -> None:
    rabbet: Row = {"kind": "rabbet", "on": on, "edge": edge, "width": 9.0, "depth": 6.0, "stop": {"A": 40, "B": 25}}
    error = relative_error(Board(500.0, 100.0, 22.0, 20.0, [rabbet]))
    assert error is not None
    assert error < 1e-6


def test_the_volume_that_random_combinations_leave() -> None:
    """`PYTHONPATH=tests python -m plan.feature_solids 2000` counts."""
    _, _, worst = count(5, seed=7)
    assert worst < 1e-6


def test_holes_of_a_known_diameter_are_taken_off() -> None:
    """8 mm through 22 mm, twice, and 10 mm by 9 mm deep; not a pocket, whose bore isn't given."""
    groove: Row = {"kind": "groove", "on": "near", "width": 6.0, "depth": 9.0}
    holes = (
        '{ kind = "through", end = "A", from_edge = [30, 60], from_end = 40, diameter = 8 }, '
        '{ kind = "blind", end = "B", from_edge = 50, from_end = 40, diameter = 10, depth = 9 }, '
        '{ kind = "pocket", end = "A", from_edge = 50 }'
    )
    text = build_text(Board(500.0, 100.0, 22.0, 0.0, [groove])).replace("features", f"holes = [{holes}]\nfeatures")
    build = load_build(text).build
    assert build is not None
    part = build.parts[0]
    made = solid(part, None)
    left = 500 * 100 * 22 - 500 * 6 * 9 - np.pi * (2 * 16 * 22 + 25 * 9)
    assert net_volume(made, cells_of(made), features_of(part, made)) == pytest.approx(left, rel=1e-9)


STAVE = (
    one_wood("x", "mm", "oak", "white oak", "thickness = 12", "width = 100", 'lengths = ["6 m"]')
    + """\
[[parts]]
id = "stave"
HAND
wood = "oak"
length = 260
tapers = [TAPER]
features = [{ kind = "bevel", on = "near", angle = 15 }, { kind = "bevel", on = "far", angle = 15, long_face = "top" }]
"""
)


def planed(*planes: tuple[tuple[float, float], tuple[float, float]]) -> float:
    """The judge's volume of the stave: for each line on its top face, from one point to another with the wood at its
    left, a plane through that line that leans in by 15° is cut."""
    piece = m3.Manifold.cube((260, 100, 12))
    for (x0, y0), (x1, y1) in planes:
        along = np.array([x1 - x0, y1 - y0, 0.0]) / np.hypot(x1 - x0, y1 - y0)
        inward = np.array([-along[1], along[0], 0.0])
        normal = inward * np.cos(np.radians(15)) + np.array([0, 0, np.sin(np.radians(15))])
        piece = piece.trim_by_plane(tuple(normal), float(normal @ np.array([x0, y0, 12.0])))
    return float(piece.volume())


@pytest.mark.parametrize(
    ("taper", "hand", "planes"),
    [
        # a stave of a shade: both edges taper from end to end
        ('{ edges = "both", end = "B", start = 0, leave = 60 }', "",
         (((0, 0), (260, 20)), ((260, 80), (0, 100)))),
        ('{ edges = "both", end = "A", start = 0, leave = 70 }', "",
         (((0, 15), (260, 0)), ((260, 100), (0, 85)))),
        # a leg: one edge, and only some of it
        ('{ edges = "near", end = "B", start = 100, leave = 60 }', "",
         (((0, 0), (260, 0)), ((100, 0), (260, 40)), ((260, 100), (0, 100)))),
        ('{ edges = "near", end = "A", start = 100, leave = 60 }', "right = 1",
         (((0, 0), (260, 0)), ((160, 100), (0, 60)), ((260, 100), (0, 100)))),
    ],
)  # fmt: skip
def test_a_bevel_follows_the_taper_of_its_edge(
    taper: str, hand: str, planes: tuple[tuple[tuple[float, float], tuple[float, float]], ...]
) -> None:
    """A tapered stave with bevelled edges was refused: its bevel was taken along the edge of the untapered board."""
    text = STAVE.replace("TAPER", taper).replace("HAND", hand or "quantity = 1")
    if hand:
        text = text.replace("right = 1", "left = 1\nright = 1")
    build = load_build(text).build
    assert build is not None
    part = build.parts[0]
    made = solid(part, "right" if hand else None)
    assert [each for each in check(build) if each.kind == "problem"] == []
    shapes = features_of(part, made)
    found = net_volume(made, cells_of(made), shapes)
    assert found == pytest.approx(planed(*planes), rel=1e-9)
    assert [dict(shape.numbers) for shape in shapes] == [{"angle deg": 15.0}] * 2  # the narrow face has no one width


def told(*rows: Row) -> list[str]:
    """The problems of a board of 500 × 100 × 22 mm, each with its row."""
    text = build_text(Board(500.0, 100.0, 22.0, 0.0, list(rows)))
    first = text[: text.index("features = [")].count("\n") + 2
    loaded = load_build(text)
    problems = loaded.problems if loaded.build is None else check(loaded.build)
    return [f"{each.line - first}: {each.what.removeprefix('part: ')}" for each in problems if each.line >= first]


MORTISE: Row = {"kind": "mortise", "on": "near", "from": {"A": 40}, "length": 60.0, "width": 8.0, "depth": 30.0}


COUNTERBORE: Row = {
    "kind": "counterbore",
    "on": "near",
    "from": {"A": 90},
    "diameter": 14.0,
    "hole": 5.0,
    "through": True,
}


@pytest.mark.parametrize("depth", [100.0, 120.0])
def test_a_wide_hole_as_deep_as_the_wood_is_told(depth: float) -> None:
    """Its narrow hole had no length, and no direction either."""
    assert told(COUNTERBORE | {"depth": depth}) == ["0: counterbore 1 comes out at the other side"]
    assert told(COUNTERBORE | {"depth": 99.0}) == []


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([MORTISE | {"from": {"A": 450}}], "0: mortise 1 leaves the piece"),
        ([MORTISE | {"depth": 100.0}], "0: mortise 1 comes out at the other side"),
        ([MORTISE | {"width": 30.0}], "0: mortise 1 leaves the piece"),
        ([MORTISE, MORTISE | {"from": {"A": 90}}], "1: mortise 2 meets mortise 1"),
        ([MORTISE, {"kind": "bore", "on": "top", "from": {"A": 60, "near": 20}, "diameter": 8.0, "depth": 15.0}],
         "1: bore 1 meets mortise 1"),
        ([{"kind": "dado", "on": "top", "from": {"A": 90}, "width": 20.0, "depth": 22.0}], "0: dado 1 comes out"),
        ([{"kind": "notch", "on": "near", "from": {"A": 90}, "length": 20.0, "depth": 100.0}], "0: notch 1 comes out"),
        ([{"kind": "bevel", "on": "near", "angle": 60.0}, {"kind": "bevel", "on": "far", "angle": 60.0}], ""),
        ([{"kind": "tenon", "on": "A", "length": 30.0, "width": 120.0, "thickness": 8.0}], "0: tenon 1 leaves the piece"),  # noqa: E501
        ([{"kind": "tenon", "on": "A", "length": 30.0, "width": 60.0, "thickness": 8.0},
          {"kind": "bore", "on": "near", "from": {"A": 15}, "diameter": 6.0, "depth": 40.0}], "1: bore 1 meets tenon 1"),  # noqa: E501
        ([{"kind": "bore", "on": "top", "from": {"A": 3}, "diameter": 8.0, "through": True}], "0: bore 1 leaves the piece"),  # noqa: E501
        ([{"kind": "bore", "on": "top", "from": {"A": 90}, "diameter": 26.3, "depth": 2.8, "lean": {"B": 16.0}}],
         "0: bore 1 leans so much that its bottom comes out"),
        ([{"kind": "dado", "on": "top", "from": {"A": 90}, "width": 20.0, "depth": 6.0, "stop": {"near": 60, "far": 60}}],  # noqa: E501
         "0: dado 1 leaves the piece"),
        ([{"kind": "mortice", "on": "near"}], "0: features: kind: 'mortice' is not a known feature"),
        ([MORTISE | {"through": True}], "0: mortise: it needs a depth, or through = true"),
        ([MORTISE | {"from": {"near": 3}}], "0: mortise: 'from' names near, and it is on near"),
        ([MORTISE | {"from": {"A": 3, "B": 3}}], "0: mortise: 'A' and 'B' both say where it is"),
        ([MORTISE | {"count": 3}], "0: mortise: 'count' and 'spacing' make a row together"),
        ([{"kind": "tenon", "on": "top", "length": 5.0, "width": 5.0, "thickness": 5.0}], "0: tenon: on: can't be 'top'"),  # noqa: E501
    ],
)  # fmt: skip
def test_what_does_not_fit_is_told_at_its_row(rows: list[Row], words: str) -> None:
    found = told(*rows)
    assert [each[: len(words)] for each in found][:1] == ([words] if words else [])


def test_a_groove_that_runs_into_mortises_is_a_note_that_names_both() -> None:
    assert told(MORTISE, {"kind": "groove", "on": "near", "width": 8.0, "depth": 9.0}) == [
        "1: groove 1 meets mortise 1 (line 14)"
    ]
