"""The numbers that are marked out for each feature, its outline on its side and how far it reaches, worked by hand.

The board is 500 × 100 × 22 mm. With a mitre of 20 degrees at end B its far edge keeps 500 mm, and at y end B is at
500 - (100 - y) tan 20 = 500 - 0.36397 (100 - y).
"""

from __future__ import annotations

from typing import Any

import pytest
from plan.feature_judge import Board, Row
from plan.random_features import build_text

from tracker.design import load_build
from tracker.design.model import Hand
from tracker.plan.features import FeatureShape, features_of
from tracker.plan.geometry import solid

Numbers = dict[str, float]


def shapes(row: Row, miter: float = 0.0, hand: Hand | None = None) -> tuple[FeatureShape, ...]:
    text = build_text(Board(500.0, 100.0, 22.0, miter, [row]))
    text = text.replace('id = "part"', 'id = "part"\nleft = 1\nright = 1') if hand else text
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    part = loaded.build.parts[0]
    return features_of(part, solid(part, hand))


def rounded(values: Any) -> tuple[float, ...]:
    return tuple(round(float(value), 3) for value in values)


def bounds(points: Any) -> tuple[float, ...]:
    """The least and the greatest of each coordinate."""
    axes = tuple(zip(*points, strict=True))
    return rounded([min(axis) for axis in axes]) + rounded([max(axis) for axis in axes])


def row(kind: str, on: str, numbers: str = "", **more: Any) -> Row:
    """A feature; `numbers` such as `A 40, far 12` say where it is."""
    where = dict(each.rsplit(" ", 1) for each in numbers.split(", ")) if numbers else {}
    place = {"from": {side: float(value) for side, value in where.items()}} if where else {}
    return {"kind": kind, "on": on, **place, **more}


MORTISE = {"length": 60.0, "width": 8.0, "depth": 30.0}
EACH: list[tuple[Row, float, Numbers, tuple[float, ...], tuple[float, ...]]] = [
    (row("mortise", "near", "A 40", **MORTISE), 0,
     {"from A": 40, "from bottom": 7, "length": 60, "width": 8, "depth": 30}, (40, 7, 100, 15),
     (40, 0, 7, 100, 30, 15)),
    # leaning, through 22 mm: 22 tan 10 = 3.879
    (row("mortise", "top", "B 40, far 12", length=60.0, width=8.0, through=True, lean={"A": 10}), 0,
     {"from B": 40, "from far": 12, "length": 60, "width": 8, "lean to A deg": 10}, (400, 80, 460, 88),
     (396.121, 80, 0, 460, 88, 22)),
    # its middle 15 mm off the board's; 9 tan 10 = 1.587
    (row("mortise", "bottom", length=60.0, width=8.0, depth=9.0, lean={"far": 10}, toward={"A": 15, "near": 6}), 0,
     {"from A": 205, "from near": 40, "length": 60, "width": 8, "depth": 9, "lean to far deg": 10},
     (205, 40, 265, 48), (205, 40, 0, 265, 49.587, 9)),
    (row("mortise", "bottom", length=60.0, width=8.0, depth=9.0, lean={"near": 10}, toward={"B": 15, "far": 6}), 0,
     {"from B": 205, "from far": 40, "length": 60, "width": 8, "depth": 9, "lean to near deg": 10},
     (235, 52, 295, 60), (235, 50.413, 0, 295, 60, 9)),
    (row("mortise", "A", length=30.0, width=8.0, depth=20.0, toward={"far": 20}), 0,
     {"from far": 15, "from bottom": 7, "length": 30, "width": 8, "depth": 20}, (55, 7, 85, 15),
     (0, 55, 7, 20, 85, 15)),
    (row("mortise", "B", length=30.0, width=8.0, depth=20.0, toward={"near": 20, "top": 2}), 0,
     {"from near": 15, "from top": 5, "length": 30, "width": 8, "depth": 20}, (15, 9, 45, 17),
     (480, 15, 9, 500, 45, 17)),
    # at y = 84 the mitred end is at 494.176
    (row("mortise", "top", "B 40, far 12", length=60.0, width=8.0, depth=9.0), 20,
     {"from B": 40, "from far": 12, "length": 60, "width": 8, "depth": 9}, (394.176, 80, 454.176, 88),
     (394.176, 80, 13, 454.176, 88, 22)),
    (row("tenon", "B", length=30.0, width=60.0, thickness=8.0, haunch={"edge": "far", "length": 10.0}), 0,
     {"length": 30, "thickness": 8, "width": 60, "from near": 20, "from bottom": 7, "shoulders": 500, "haunch": 10},
     (20, 7, 80, 15), (500, 20, 7, 530, 80, 15)),
    (row("tenon", "A", length=30.0, width=60.0, thickness=8.0, toward={"near": 5, "top": 3}), 0,
     {"length": 30, "thickness": 8, "width": 60, "from near": 15, "from top": 4, "shoulders": 500},
     (15, 10, 75, 18), (0, 15, 10, 30, 75, 18)),
    # in the middle of its length
    (row("groove", "far", width=6.0, depth=9.0, stop={"A": 25}), 0,
     {"from bottom": 8, "width": 6, "depth": 9, "stops from A": 25}, (25, 8, 500, 14),
     (262.5, 91, 8, 262.5, 100, 14)),
    (row("groove", "top", "far 20", width=6.0, depth=9.0, stop={"A": 25, "B": 30}), 0,
     {"from far": 20, "width": 6, "depth": 9, "stops from A": 25, "stops from B": 30}, (25, 74, 470, 80),
     (247.5, 74, 13, 247.5, 80, 22)),
    # at y = 77, the middle of the groove, the mitred end is at 491.629
    (row("groove", "top", "far 20", width=6.0, depth=9.0, stop={"A": 25, "B": 30}), 20,
     {"from far": 20, "width": 6, "depth": 9, "stops from A": 25, "stops from B": 30}, (25, 74, 461.629, 80),
     (243.314, 74, 13, 243.314, 80, 22)),
    (row("groove", "A", width=6.0, depth=9.0), 0, {"from bottom": 8, "width": 6, "depth": 9}, (0, 8, 100, 14),
     (0, 50, 8, 9, 50, 14)),
    (row("dado", "top", "B 100", width=18.0, depth=6.0, stop={"near": 12}), 0,
     {"from B": 100, "width": 18, "depth": 6, "stops from near": 12}, (382, 12, 400, 100),
     (382, 12, 16, 400, 100, 22)),
    (row("dado", "top", "B 100", width=18.0, depth=6.0, stop={"near": 12}), 20,  # 481.801 at y = 50
     {"from B": 100, "width": 18, "depth": 6, "stops from near": 12}, (363.801, 12, 381.801, 100),
     (363.801, 12, 16, 381.801, 100, 22)),
    # along the piece it is 18 / cos 12 = 18.402 wide; it moves by tan 12 = 0.21256, 10.628 to the middle, 8.715 beyond
    (row("dado", "bottom", "A 100", width=18.0, depth=6.0, angle=12.0, stop={"far": 9}), 0,
     {"from A": 100, "width": 18, "depth": 6, "stops from far": 9, "angle deg": 12}, (89.372, 0, 127.117, 91),
     (89.372, 0, 0, 127.117, 91, 6)),
    (row("dado", "near", width=18.0, depth=6.0), 0, {"from A": 241, "width": 18, "depth": 6}, (241, 0, 259, 22),
     (241, 0, 0, 259, 6, 22)),
    (row("rabbet", "bottom", edge="B", width=18.0, depth=9.0), 0, {"width": 18, "depth": 9}, (482, 0, 500, 100),
     (482, 50, 0, 482, 50, 9)),
    (row("rabbet", "top", edge="near", width=18.0, depth=9.0, stop={"A": 25}), 0,
     {"width": 18, "depth": 9, "stops from A": 25}, (25, 0, 500, 18), (262.5, 18, 13, 262.5, 18, 22)),
    (row("rabbet", "top", edge="far", width=18.0, depth=9.0, stop={"B": 25}), 0,
     {"width": 18, "depth": 9, "stops from B": 25}, (0, 82, 475, 100), (237.5, 82, 13, 237.5, 82, 22)),
    # each measured along its own edge: the far one is 500 mm long, the near one 463.603
    (row("rabbet", "top", edge="far", width=18.0, depth=9.0, stop={"B": 25}), 20,
     {"width": 18, "depth": 9, "stops from B": 25}, (0, 82, 475, 100), (237.5, 82, 13, 237.5, 82, 22)),
    (row("rabbet", "top", edge="near", width=18.0, depth=9.0, stop={"B": 25}), 20,
     {"width": 18, "depth": 9, "stops from B": 25}, (0, 0, 438.603, 18), (219.301, 18, 13, 219.301, 18, 22)),
    (row("rabbet", "far", edge="A", width=18.0, depth=9.0, stop={"top": 5}), 0,
     {"width": 18, "depth": 9, "stops from top": 5}, (0, 0, 18, 17), (18, 91, 8.5, 18, 100, 8.5)),
    (row("rabbet", "near", edge="top", width=6.0, depth=9.0), 0, {"width": 6, "depth": 9}, (0, 16, 500, 22),
     (250, 0, 16, 250, 9, 16)),
    (row("notch", "near", "A 0", length=60.0, depth=30.0), 0, {"from A": 0, "length": 60, "depth": 30},
     (0, 0, 60, 22), (60, 0, 11, 60, 30, 11)),
    # 30 tan 20 = 10.919
    (row("notch", "far", length=60.0, depth=30.0, lean={"B": 20}), 0,
     {"from A": 220, "length": 60, "depth": 30, "lean to B deg": 20}, (220, 0, 280, 22),
     (220, 70, 11, 290.919, 100, 11)),
    (row("notch", "far", "B 0", length=60.0, depth=30.0), 0, {"from B": 0, "length": 60, "depth": 30},
     (440, 0, 500, 22), (440, 70, 11, 440, 100, 11)),
]  # fmt: skip


@pytest.mark.parametrize(("feature", "miter", "numbers", "outline", "reaches"), EACH)
def test_flat_features_by_hand(
    feature: Row, miter: float, numbers: Numbers, outline: tuple[float, ...], reaches: tuple[float, ...]
) -> None:
    (shape,) = shapes(feature, miter)
    assert list(zip(dict(shape.numbers), rounded(dict(shape.numbers).values()), strict=True)) == list(numbers.items())
    assert bounds(shape.outline) == outline
    assert bounds(shape.corners) == reaches
    assert (shape.name, shape.on, shape.circle) == (f"{feature['kind']} 1", feature["on"], None)


@pytest.mark.parametrize(
    ("on", "lean", "mouth", "bottom"),
    [
        ("top", {"A": 45}, {(40, 80), (100, 80), (40, 88), (100, 88)}, {(30, 80), (90, 80), (30, 88), (90, 88)}),
        ("top", {"B": 45}, {(40, 80), (100, 80), (40, 88), (100, 88)}, {(50, 80), (110, 80), (50, 88), (110, 88)}),
        ("bottom", {"near": 45}, {(40, 80), (100, 80), (40, 88), (100, 88)},
         {(40, 70), (100, 70), (40, 78), (100, 78)}),
    ],
)  # fmt: skip
def test_a_leaning_mortise_begins_where_it_is_marked(
    on: str, lean: dict[str, float], mouth: set[tuple[float, float]], bottom: set[tuple[float, float]]
) -> None:
    """At 45 degrees its bottom, 10 mm deep, is 10 mm further along."""
    (shape,) = shapes(row("mortise", on, "A 40, near 80", length=60.0, width=8.0, depth=10.0, lean=lean))
    side, deep = (22.0, 12.0) if on == "top" else (0.0, 10.0)
    assert {rounded(corner[:2]) for corner in shape.corners if corner[2] == side} == mouth
    assert {rounded(corner[:2]) for corner in shape.corners if corner[2] == deep} == bottom


def test_a_slanted_dado_has_the_outline_of_its_slant() -> None:
    """It is widest along the piece, and its ends are square to the piece: 100 + 0.21256 (y - 50)."""
    (shape,) = shapes(row("dado", "bottom", "A 100", width=18.0, depth=6.0, angle=12.0, stop={"far": 9}))
    assert [rounded(corner) for corner in shape.outline] == [
        (89.372, 0), (107.774, 0), (127.117, 91), (108.715, 91),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("feature", "miter", "numbers", "circles", "bottom"),
    [
        (row("bore", "top", "A 90", diameter=12.0, through=True, lean={"B": 12}), 0,
         {"from A": 90, "from near": 50, "diameter": 12, "lean to B deg": 12}, [(90, 50, 6)],
         (94.676, 50, 0)),  # 22 tan 12 = 4.676
        (row("bore", "near", "B 90, top 5", diameter=6.0, depth=20.0, count=3, spacing=32), 0,
         {"from B": 90, "from top": 5, "diameter": 6, "depth": 20}, [(410, 17, 3), (378, 17, 3), (346, 17, 3)],
         (410, 20, 17)),
        (row("bore", "far", "B 90, top 5", diameter=6.0, depth=20.0), 20,
         {"from B": 90, "from top": 5, "diameter": 6, "depth": 20}, [(410, 17, 3)], (410, 80, 17)),
        (row("bore", "near", "B 90, top 5", diameter=6.0, depth=20.0), 20,
         {"from B": 90, "from top": 5, "diameter": 6, "depth": 20}, [(373.603, 17, 3)], (373.603, 20, 17)),
        # its depth is measured along it: 20 cos 30 = 17.321 in, 20 sin 30 = 10 toward the near edge
        (row("bore", "bottom", "A 90", diameter=6.0, depth=20.0, lean={"near": 30}), 0,
         {"from A": 90, "from near": 50, "diameter": 6, "depth": 20, "lean to near deg": 30}, [(90, 50, 3)],
         (90, 40, 17.321)),
        (row("dowel", "A", diameter=8.0, depth=25.0, count=3, spacing=32.0), 0,
         {"from near": 18, "from bottom": 11, "diameter": 8, "depth": 25}, [(18, 11, 4), (50, 11, 4), (82, 11, 4)],
         (25, 18, 11)),
        (row("bore", "top", "A 90", diameter=6.0, depth=9.0, count=2, spacing=30.0, row="across"), 0,
         {"from A": 90, "from near": 35, "diameter": 6, "depth": 9}, [(90, 35, 3), (90, 65, 3)], (90, 35, 13)),
        (row("bore", "top", "A 90, near 20", diameter=6.0, depth=9.0, count=2, spacing=30.0, row="across"), 0,
         {"from A": 90, "from near": 20, "diameter": 6, "depth": 9}, [(90, 20, 3), (90, 50, 3)], (90, 20, 13)),
        (row("bore", "top", "A 90, far 20", diameter=6.0, depth=9.0, count=2, spacing=30.0, row="across"), 0,
         {"from A": 90, "from far": 20, "diameter": 6, "depth": 9}, [(90, 80, 3), (90, 50, 3)], (90, 80, 13)),
        (row("bolt", "top", "A 90", diameter=8.0, through=True, head=20.0, head_depth=8.0), 0,
         {"from A": 90, "from near": 50, "diameter": 20, "depth": 8, "hole": 8}, [(90, 50, 10)], (90, 50, 14)),
        (row("counterbore", "near", "A 90", diameter=14.0, depth=9.0, hole=5.0, hole_depth=12.0), 0,
         {"from A": 90, "from bottom": 11, "diameter": 14, "depth": 9, "hole": 5, "hole depth": 12}, [(90, 11, 7)],
         (90, 9, 11)),
    ],
)  # fmt: skip
def test_round_features_by_hand(
    feature: Row, miter: float, numbers: Numbers, circles: list[tuple[float, ...]], bottom: tuple[float, ...]
) -> None:
    found = shapes(feature, miter)
    first = dict(found[0].numbers)
    assert list(zip(first, rounded(first.values()), strict=True)) == list(numbers.items())
    assert [rounded(shape.circle or ()) for shape in found] == circles
    assert rounded(found[0].rounds[0].leaves) == pytest.approx(bottom)
    assert [(shape.which, shape.name) for shape in found] == [
        (which, f"{feature['kind']} {which + 1}") for which in range(len(found))
    ]


def test_a_row_of_three_is_measured_from_the_nearer_side() -> None:
    """250 - 15 - 90 is the middle of the first of three, 90 mm apart, whose row is 15 mm off the middle."""
    found = shapes(row("mortise", "bottom", length=60.0, width=8.0, depth=9.0, count=3, spacing=90, toward={"A": 15}))
    assert [(name, float(value)) for name, value in (dict(shape.numbers).popitem() for shape in found)] == [
        ("depth", 9)
    ] * 3
    assert [(shape.numbers[0][0], float(shape.numbers[0][1])) for shape in found] == [
        ("from A", 115), ("from A", 205), ("from B", 145),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("feature", "numbers", "reaches", "on"),
    [
        ({"kind": "profile", "edges": ["near top", "far bottom"], "shape": "chamfer", "width": 4.0, "height": 6.0},
         {"width": 4, "height": 6},
         [(250, 4, 22), (250, 0, 16), (250, 96, 0), (250, 100, 6)], "top"),
        ({"kind": "profile", "edges": ["A bottom", "B top"], "shape": "cove", "radius": 5.0}, {"radius": 5},
         [(5, 50, 0), (0, 50, 5), (495, 50, 22), (500, 50, 17)], "bottom"),
        # 22 tan 15 = 5.895
        (row("bevel", "near", angle=15.0), {"angle deg": 15, "narrow face": 94.105}, [(250, 0, 22), (250, 5.895, 0)],
         "near"),
        (row("bevel", "far", angle=15.0, long_face="bottom"), {"angle deg": 15, "narrow face": 94.105},
         [(250, 100, 0), (250, 94.105, 22)], "far"),
    ],
)  # fmt: skip
def test_profiles_and_bevels_by_hand(feature: Row, numbers: Numbers, reaches: list[tuple[float, ...]], on: str) -> None:
    (shape,) = shapes(feature)
    assert list(zip(dict(shape.numbers), rounded(dict(shape.numbers).values()), strict=True)) == list(numbers.items())
    assert [rounded(corner) for corner in shape.corners] == reaches
    assert shape.on == on


def test_two_bevels_of_one_face_leave_one_narrow_face() -> None:
    text = build_text(Board(500.0, 100.0, 22.0, 0.0, [row("bevel", on, angle=15.0) for on in ("near", "far")]))
    build = load_build(text).build
    assert build is not None
    part = build.parts[0]
    last = features_of(part, solid(part, None))[1]
    assert rounded(dict(last.numbers).values()) == (15, 88.21)


@pytest.mark.parametrize(("name", "ours", "theirs"), [
    ("mortise", row("mortise", "near", "A 40, bottom 5", **MORTISE),
     row("mortise", "far", "A 40, bottom 5", **MORTISE)),
    ("toward", row("mortise", "top", "A 40", length=60.0, width=8.0, depth=9.0, toward={"near": 9}, lean={"far": 5}),
     row("mortise", "top", "A 40", length=60.0, width=8.0, depth=9.0, toward={"far": 9}, lean={"near": 5})),
    ("dado", row("dado", "top", "A 90", width=9.0, depth=6.0, angle=10.0, stop={"near": 20}),
     row("dado", "top", "A 90", width=9.0, depth=6.0, angle=-10.0, stop={"far": 20})),
    ("tenon", row("tenon", "B", length=30.0, width=50.0, thickness=8.0, haunch={"edge": "near", "length": 9.0}),
     row("tenon", "B", length=30.0, width=50.0, thickness=8.0, haunch={"edge": "far", "length": 9.0})),
    ("rabbet", row("rabbet", "top", edge="near", width=18.0, depth=9.0),
     row("rabbet", "top", edge="far", width=18.0, depth=9.0)),
    ("profile", {"kind": "profile", "edges": ["near top"], "shape": "chamfer", "width": 4.0},
     {"kind": "profile", "edges": ["far top"], "shape": "chamfer", "width": 4.0}),
])  # fmt: skip
def test_the_right_hand_piece_has_what_is_near_at_its_far_edge(name: str, ours: Row, theirs: Row) -> None:
    (right,), (left,) = shapes(ours, hand="right"), shapes(theirs, hand="left")
    assert right.regions == left.regions
    assert (right.numbers, right.outline, right.corners) == (left.numbers, left.outline, left.corners)


def test_a_notch_is_measured_from_the_middle_of_a_bevelled_end() -> None:
    """600 mm on the top face and, bevelled by 45° over 20 mm of thickness, 580 on the bottom: 590 halfway up. A notch
    60 long, 50 from that end, begins at 590 - 50 - 60."""
    text = (
        '[build]\nname = "x"\nunits = "mm"\n[woods.oak]\nspecies = "white oak"\nthickness = 20\nwidth = 80\n'
        'lengths = ["2 m"]\n[[parts]]\nid = "part"\nwood = "oak"\nlength = 600\n'
        'end_b = { bevel = 45, long_face = "top" }\n'
        'features = [{ kind = "notch", on = "near", from = { B = 50 }, length = 60, depth = 15 }]\n'
    )
    build = load_build(text).build
    assert build is not None
    (part,) = build.parts
    (notch,) = features_of(part, solid(part))
    assert notch.outline == ((480, 0), (540, 0), (540, 20), (480, 20))
    assert sorted({corner[0] for corner in notch.corners}) == pytest.approx([480, 540])
    assert {corner[2] for corner in notch.corners} == {10}
