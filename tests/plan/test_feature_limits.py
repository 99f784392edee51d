"""What fits into a piece by a hundredth of a millimetre is fine, and what doesn't is a problem, said in full with its
hint: every kind of feature on every side of a board of 500 × 100 × 22 mm."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, radians, tan

import pytest
from plan.feature_judge import Board, Row
from plan.random_features import build_text

from tracker.design import load_build
from tracker.plan.feasibility import check

BOARD = Board(500.0, 100.0, 22.0, 0.0, [])
SIDES = ("top", "bottom", "near", "far", "A", "B")
DEEP = {"top": 22.0, "bottom": 22.0, "near": 100.0, "far": 100.0, "A": 500.0, "B": 500.0}
OWN_STEP = "if it is meant to, make it a step of your own: steps = [{ do = ... }]"
HAIR = 0.01
Told = list[tuple[int, str, str, str]]


def told(*rows: Row, more: str = "", miter: float = 0.0) -> Told:
    """Each problem or note: its row (from 0), its words, its hint and its kind."""
    text = build_text(Board(500.0, 100.0, 22.0, miter, list(rows))).replace("features = [", f"{more}features = [")
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    first = text[: text.index("features = [")].count("\n") + 2
    found = [each for each in check(loaded.build) if each.line >= first]
    return [(each.line - first, each.what.removeprefix("part: "), each.hint, each.kind) for each in found]


def past(name: str, *sides: str, row: int = 0) -> Told:
    return [(row, f"{name} leaves the piece", f"past {', '.join(sides)}", "problem")]


def out(name: str, hint: str) -> Told:
    return [(0, f"{name} comes out at the other side", hint, "problem")]


def in_a_side(on: str) -> Iterator[tuple[str, float]]:
    """The four sides around one, with half of the way to each."""
    _, _, names, spans = BOARD.frame(on)
    for at, name in enumerate(names):
        yield name, spans[at // 2] / 2


KINDS: dict[str, tuple[dict[str, float], tuple[float, float]]] = {
    "mortise": ({"length": 14.0, "width": 8.0, "depth": 9.0}, (7.0, 4.0)),
    "slot": ({"length": 14.0, "width": 8.0, "depth": 9.0}, (7.0, 4.0)),
    "bore": ({"diameter": 6.0, "depth": 9.0}, (3.0, 3.0)),
    "dowel": ({"diameter": 6.0, "depth": 9.0}, (3.0, 3.0)),
}
"""Sizes, and how far it reaches from its middle, along and across."""
BORED = tuple(
    (kind, on, name, room - KINDS[kind][1][0 if name in ("A", "B", "near", "far")[: 2 if on not in "AB" else 4] else 1])
    for kind in KINDS for on in SIDES for name, room in in_a_side(on)
)  # fmt: skip


@pytest.mark.parametrize(("kind", "on", "toward", "room"), BORED)
def test_what_is_sunk_into_a_side_stays_within_its_four_edges(kind: str, on: str, toward: str, room: float) -> None:
    row = {"kind": kind, "on": on, **KINDS[kind][0]}
    assert told({**row, "toward": {toward: round(room - HAIR, 3)}}) == []
    assert told({**row, "toward": {toward: round(room + HAIR, 3)}}) == past(f"{kind} 1", toward)


@pytest.mark.parametrize("on", SIDES)
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_sunk_into_a_side_does_not_come_out_at_the_other(kind: str, on: str) -> None:
    row = {"kind": kind, "on": on, **KINDS[kind][0]}
    hint = "it is deeper than the wood" if kind == "dowel" else "through = true?"
    assert told({**row, "depth": DEEP[on] - HAIR}) == []
    assert told({**row, "depth": DEEP[on]}) == out(f"{kind} 1", hint)
    if kind != "dowel" and on not in "AB":
        through: Row = {key: value for key, value in row.items() if key != "depth"} | {"through": True}
        assert told(through) == []


@pytest.mark.parametrize(
    ("row", "key", "limit", "wrong"),
    [
        ({"kind": "groove", "on": "near", "width": 6.0, "depth": 9.0}, "from bottom", 16.0, past("groove 1", "top")),
        ({"kind": "groove", "on": "top", "width": 6.0, "depth": 9.0}, "from near", 94.0, past("groove 1", "far")),
        ({"kind": "groove", "on": "A", "width": 6.0, "depth": 9.0}, "from bottom", 16.0, past("groove 1", "top")),
        ({"kind": "dado", "on": "top", "width": 6.0, "depth": 9.0}, "from A", 494.0, past("dado 1", "B")),
        ({"kind": "dado", "on": "near", "width": 6.0, "depth": 9.0}, "from B", 494.0, past("dado 1", "A")),
        ({"kind": "notch", "on": "near", "length": 60.0, "depth": 30.0}, "from A", 440.0, past("notch 1", "B")),
        ({"kind": "notch", "on": "far", "length": 60.0, "depth": 30.0}, "from B", 440.0, past("notch 1", "A")),
        ({"kind": "rabbet", "on": "top", "edge": "near", "depth": 9.0}, "width", 100.0, past("rabbet 1", "far")),
        ({"kind": "rabbet", "on": "top", "edge": "far", "depth": 9.0}, "width", 100.0, past("rabbet 1", "near")),
        ({"kind": "rabbet", "on": "bottom", "edge": "A", "depth": 9.0}, "width", 500.0, past("rabbet 1", "B")),
        ({"kind": "rabbet", "on": "near", "edge": "top", "depth": 9.0}, "width", 22.0, past("rabbet 1", "bottom")),
        ({"kind": "tenon", "on": "A", "length": 30.0, "thickness": 8.0}, "width", 100.0,
         past("tenon 1", "far", "near")),
        ({"kind": "tenon", "on": "B", "length": 30.0, "width": 60.0}, "thickness", 22.0,
         past("tenon 1", "bottom", "top")),
        ({"kind": "profile", "edges": ["near top"], "shape": "chamfer", "height": 6.0}, "width", 100.0,
         past("profile 1", "far")),
        ({"kind": "profile", "edges": ["far bottom"], "shape": "chamfer", "width": 6.0}, "height", 22.0,
         past("profile 1", "top")),
        ({"kind": "profile", "edges": ["B top"], "shape": "round over"}, "radius", 22.0, past("profile 1", "bottom")),
        ({"kind": "groove", "on": "near", "width": 6.0, "depth": 9.0, "stop": {"A": 300}}, "stop B", 200.0,
         past("groove 1", "B")),
        ({"kind": "dado", "on": "top", "width": 6.0, "depth": 9.0, "stop": {"near": 60}}, "stop far", 40.0,
         past("dado 1", "far")),
        ({"kind": "rabbet", "on": "top", "edge": "near", "width": 9.0, "depth": 9.0, "stop": {"A": 300}}, "stop B",
         200.0, past("rabbet 1", "far")),
    ],
)  # fmt: skip
def test_open_features_stay_in_the_piece_where_they_are_closed(row: Row, key: str, limit: float, wrong: Told) -> None:
    def sized(value: float) -> Row:
        group, _, side = key.partition(" ")
        return {**row, group: {**row.get(group, {}), side: value} if side else value}

    assert told(sized(round(limit - HAIR, 3))) == []
    assert told(sized(round(limit + HAIR, 3))) == wrong


@pytest.mark.parametrize(
    ("row", "deep"),
    [
        ({"kind": "groove", "on": "far", "width": 6.0}, 100.0),
        ({"kind": "groove", "on": "top", "width": 6.0}, 22.0),
        ({"kind": "dado", "on": "bottom", "from": {"A": 90}, "width": 6.0}, 22.0),
        ({"kind": "rabbet", "on": "top", "edge": "near", "width": 9.0}, 22.0),
        ({"kind": "notch", "on": "near", "from": {"A": 90}, "length": 60.0}, 100.0),
        ({"kind": "counterbore", "on": "top", "from": {"A": 90}, "diameter": 14.0, "hole": 5.0, "through": True}, 22.0),
    ],
)
def test_open_features_are_less_deep_than_the_wood(row: Row, deep: float) -> None:
    assert told({**row, "depth": deep - HAIR}) == []
    assert told({**row, "depth": deep}) == out(f"{row['kind']} 1", "it is deeper than the wood")


def test_the_head_and_the_bolt_together_are_less_deep_than_the_wood() -> None:
    row: Row = {"kind": "counterbore", "on": "top", "from": {"A": 90}, "diameter": 14.0, "depth": 9.0, "hole": 5.0}
    assert told({**row, "hole_depth": 21.99}) == []
    assert told({**row, "hole_depth": 22.0}) == out("counterbore 1", "it is deeper than the wood")


@pytest.mark.parametrize(
    ("on", "angle", "across"), [("top", 45.0, "near"), ("near", 30.0, "top"), ("bottom", 20.0, "far")]
)
def test_the_bottom_of_a_leaning_hole_stays_in_the_wood(on: str, angle: float, across: str) -> None:
    """Its bottom's edge is depth × cos - radius × sin below the side."""
    row: Row = {"kind": "bore", "on": on, "from": {"A": 90}, "diameter": 10.0, "lean": {across: angle}}
    deep = 5.0 * tan(radians(angle))
    assert told({**row, "depth": round(deep + HAIR, 4)}) == []
    assert told({**row, "depth": round(deep - HAIR, 4)}) == [
        (0, "bore 1 leans so much that its bottom comes out", "deeper, or more upright", "problem")
    ]


@pytest.mark.parametrize(("toward", "at"), [("A", 52.0), ("B", 448.0)])
def test_a_leaning_mortise_stays_in_the_wood_at_its_bottom(toward: str, at: float) -> None:
    """Through 22 mm at 45 degrees it moves by 22 mm: it may begin 22 mm from the end."""
    row: Row = {"kind": "mortise", "on": "top", "length": 60.0, "width": 8.0, "through": True, "lean": {toward: 45.0}}
    assert told({**row, "toward": {toward: 250 - 30 - 22 - HAIR}}) == []
    assert told({**row, "toward": {toward: 250 - 30 - 22 + HAIR}}) == past("mortise 1", toward)


# -- meetings ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        ((100,), []),
        ((60, 41), ["part: more than 100 features, those of rows counted one by one"]),
    ],
)
def test_a_part_has_a_hundred_features_at_most(counts: tuple[int, ...], said: list[str]) -> None:
    rows = [
        {"kind": "bore", "on": on, "diameter": 2.0, "depth": 3.0, "count": count, "spacing": 4.0}
        for on, count in zip(("top", "bottom"), counts, strict=False)
    ]
    build = load_build(build_text(Board(500.0, 100.0, 22.0, 0.0, rows))).build
    assert build is not None
    assert [each.what for each in check(build) if each.kind == "problem"] == said


@pytest.mark.parametrize(("last", "said"), [(10, []), (11, ["c0: the build has more than 300 features"])])
def test_a_build_has_three_hundred_features_at_most(last: int, said: list[str]) -> None:
    row: Row = {"kind": "bore", "on": "top", "diameter": 2.0, "depth": 3.0, "spacing": 40.0}
    text = build_text(Board(500.0, 100.0, 22.0, 0.0, [{**row, "count": 10}])).replace('id = "part"', 'id = "PART"')
    head, _, part = text.partition("[[parts]]")
    parts = [part.replace("PART", f"c{at}") for at in range(30)]
    parts[29] = parts[29].replace("count = 10", f"count = {last}")
    build = load_build(head + "".join(f"[[parts]]{each}" for each in parts)).build
    assert build is not None
    found = [each.what for each in check(build) if each.kind == "problem"]
    assert found == [f"{each}, those of rows counted singly" for each in said]


def test_a_leaning_bore_through_a_slanted_end_is_as_long_as_its_way() -> None:
    """Square to a face of 22 mm it is 22 mm long; at 30 degrees 22 / cos 30; what it takes is that times its circle."""
    from tracker.plan.features import features_of, net_volume
    from tracker.plan.geometry import solid
    from tracker.plan.place.cells import cells_of

    def taken(lean: float) -> float:
        row: Row = {"kind": "bore", "on": "top", "from": {"A": 90}, "diameter": 6.0, "through": True}
        row |= {"lean": {"B": lean}} if lean else {}
        build = load_build(build_text(Board(500.0, 100.0, 22.0, 0.0, [row]))).build
        assert build is not None
        made = solid(build.parts[0], None)
        return 500.0 * 100 * 22 - net_volume(made, cells_of(made), features_of(build.parts[0], made))

    assert taken(0.0) == pytest.approx(9 * pi * 22)
    assert taken(30.0) == pytest.approx(9 * pi * 22 / cos(radians(30)))
