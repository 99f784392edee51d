"""Features on a piece and on its mirror image, end for end: what holds at end B, which is judged elsewhere by another
library's solids, holds at end A."""

from __future__ import annotations

from math import pi, radians, tan
from random import Random
from typing import Any

import pytest
from plan.feature_judge import Board, Row
from plan.random_features import build_text, random_board

from tracker.design import load_build
from tracker.plan.feasibility import check
from tracker.plan.features import features_of, net_volume
from tracker.plan.geometry import solid
from tracker.plan.place.cells import cells_of

OTHER = {"A": "B", "B": "A"}


def mirrored(row: Row) -> Row:
    """The row with end A and end B exchanged."""

    def turn(value: Any) -> Any:
        if isinstance(value, dict):
            return {OTHER.get(key, key): turn(each) for key, each in value.items()}
        if isinstance(value, list):
            return [turn(each) for each in value]
        return " ".join(OTHER.get(word, word) for word in value.split()) if isinstance(value, str) else value

    return {key: -value if key == "angle" and row["kind"] == "dado" else turn(value) for key, value in row.items()}


def measured(text: str) -> tuple[float, list[str]]:
    """The net volume, and what is told."""
    build = load_build(text).build
    assert build is not None, text
    part = build.parts[0]
    made = solid(part, None)
    told = [each.what for each in check(build)]
    return net_volume(made, cells_of(made), features_of(part, made)), told


@pytest.mark.parametrize("seed", range(30))
def test_end_a_is_as_end_b(seed: int) -> None:
    board = random_board(Random(1000 + seed))
    for row in board.rows:
        if row["kind"] == "profile" and row["shape"] == "chamfer" and "radius" in row:
            row["width"] = row.pop("radius")
    if seed % 2:  # a mitre at one end: half of the boards have none by themselves
        board.miter = board.miter or 17.0
        board.rows = [row for row in board.rows if row["kind"] != "tenon" and row.get("on") not in OTHER]
        board.rows = [row for row in board.rows if row["kind"] != "profile" and row.get("edge") not in OTHER]
    there = Board(board.shoulder, board.wide, board.thick, board.miter, [mirrored(row) for row in board.rows])
    volume, told = measured(build_text(board))
    other, told_there = measured(build_text(there).replace("end_b = {", "end_a = {"))
    assert other == pytest.approx(volume, rel=1e-9)
    swapped = [" ".join(OTHER.get(word, word) for word in each.split()) for each in told]
    assert swapped == told_there


def test_a_round_over_ends_at_the_shoulder_of_a_mitred_tenon() -> None:
    """Between the shoulder at end A and end B the section that is lost is a spandrel, (1 - π/4) r², whose centroid is
    0.2234 r from the edge (section properties of a fillet, from memory: (10 - 3π) / (12 - 3π) r)."""
    radius, wide, angle = 6.0, 100.0, 20.0
    rows = [{"kind": "tenon", "on": "A", "length": 30.0, "width": 60.0, "thickness": 8.0}]
    profile: Row = {"kind": "profile", "edges": ["near top"], "shape": "round over", "radius": radius}
    text = [build_text(Board(500.0, wide, 22.0, angle, each)) for each in (rows, [*rows, profile])]
    (bare, _), (rounded, told) = (measured(each.replace("end_b = {", "end_a = {")) for each in text)
    assert told == []
    centroid = radius * (10 - 3 * pi) / (12 - 3 * pi)
    long = 500.0 - (wide - centroid) * tan(radians(angle))
    assert bare - rounded == pytest.approx((1 - pi / 4) * radius**2 * long, rel=1e-9)


@pytest.mark.parametrize(
    "row",
    [
        {"kind": "tenon", "on": "B", "length": 30.0, "width": 60.0, "thickness": 8.0},
        {"kind": "tenon", "on": "B", "length": 30.0, "width": 50.0, "thickness": 8.0, "haunch": {"edge": "far", "length": 10.0}},  # noqa: E501
        {"kind": "groove", "on": "B", "width": 6.0, "depth": 12.0},
        {"kind": "mortise", "on": "B", "length": 40.0, "width": 8.0, "depth": 25.0},
        {"kind": "dowel", "on": "B", "diameter": 8.0, "depth": 25.0, "count": 3, "spacing": 25.0},
        {"kind": "notch", "on": "B", "length": 30.0, "depth": 20.0},
    ],
    ids=lambda row: row["kind"],
)  # fmt: skip
def test_a_slanted_end_a_is_worked_as_a_slanted_end_b(row: Row) -> None:
    texts = [build_text(Board(500.0, 100.0, 22.0, 18.0, [each])) for each in (row, mirrored(row))]
    (volume, told), (other, told_there) = measured(texts[0]), measured(texts[1].replace("end_b = {", "end_a = {"))
    assert other == pytest.approx(volume, rel=1e-9)
    assert told == told_there == []


@pytest.mark.parametrize("on", ["near", "far", "top", "bottom"])
def test_a_mortise_leans_the_way_it_is_said_to_on_every_side(on: str) -> None:
    """There is a bore 10 mm behind its mouth: it runs into that if it leans that way, and not the other way."""
    mortise: Row = {"kind": "mortise", "on": on, "from": {"A": 200}, "length": 60.0, "width": 8.0, "depth": 18.0}
    bore: Row = {"kind": "bore", "on": on, "diameter": 4.0, "depth": 17.0}
    for toward, at in (("B", 272.0), ("A", 188.0)):
        for lean in "AB":
            rows = [mortise | {"lean": {lean: 45.0}}, bore | {"from": {"A": at}}]
            _, told = measured(build_text(Board(500.0, 100.0, 22.0, 0.0, rows)))
            assert [each.partition(" (")[0] for each in told] == (
                ["part: bore 1 meets mortise 1"] if lean == toward else []
            )


@pytest.mark.parametrize(
    ("on", "from_", "sizes", "bores"),
    [
        ("top", {"near": 46}, (8.0, 18.0), {"near": ({"near": 36}, 4.0, 17.0), "far": ({"near": 64}, 4.0, 17.0)}),
        ("bottom", {"near": 46}, (8.0, 18.0), {"near": ({"near": 36}, 4.0, 17.0), "far": ({"near": 64}, 4.0, 17.0)}),
        ("near", {"bottom": 9}, (4.0, 6.0), {"bottom": ({"bottom": 6}, 2.0, 5.5), "top": ({"bottom": 16}, 2.0, 5.5)}),
        ("far", {"bottom": 9}, (4.0, 6.0), {"bottom": ({"bottom": 6}, 2.0, 5.5), "top": ({"bottom": 16}, 2.0, 5.5)}),
    ],
)  # fmt: skip
def test_a_mortise_leans_across_the_piece_the_way_it_is_said_to(
    on: str,
    from_: dict[str, float],
    sizes: tuple[float, float],
    bores: dict[str, tuple[dict[str, float], float, float]],
) -> None:
    """A bore beside its mouth is clear of it, unless it leans that way."""
    mortise: Row = {"kind": "mortise", "on": on, "from": {"A": 200, **from_}, "length": 60.0}
    mortise |= {"width": sizes[0], "depth": sizes[1]}
    for beside, (place, diameter, depth) in bores.items():
        bore: Row = {"kind": "bore", "on": on, "from": {"A": 230, **place}, "diameter": diameter, "depth": depth}
        for lean in bores:
            _, told = measured(build_text(Board(500.0, 100.0, 22.0, 0.0, [mortise | {"lean": {lean: 45.0}}, bore])))
            assert [each.partition(" (")[0] for each in told] == (
                ["part: bore 1 meets mortise 1"] if lean == beside else []
            )


@pytest.mark.parametrize(("on", "beside"), [("top", "near"), ("near", "top"), ("far", "bottom")])
def test_a_mortise_that_leans_along_the_piece_stays_where_it_is_across_it(on: str, beside: str) -> None:
    """Half a millimetre from the side beside it, all the way down."""
    row: Row = {"kind": "mortise", "on": on, "from": {"A": 200, beside: 0.5}, "length": 60.0, "width": 8.0}
    row |= {"depth": 18.0, "lean": {"A": 12.0}}
    _, told = measured(build_text(Board(500.0, 100.0, 22.0, 0.0, [row])))
    assert told == []


@pytest.mark.parametrize(("face", "other"), [("top", "bottom"), ("bottom", "top")])
def test_what_a_half_lap_leaves_may_be_bored_as_deep_as_it_is(face: str, other: str) -> None:
    """A half-lap of 22 mm wood leaves 11 mm: 10 mm from the other face stay clear of it, 12 mm don't; nor does any
    depth from its own face."""
    lap = f'laps = [{{ end = "A", from_end = 200, crosses = "part", face = "{face}" }}]\nquantity = 2\n'

    def told(on: str, depth: float) -> list[str]:
        row: Row = {"kind": "bore", "on": on, "from": {"A": 250}, "diameter": 8.0, "depth": depth}
        text = build_text(Board(500.0, 100.0, 22.0, 0.0, [row])).replace("features", f"{lap}features")
        return measured(text)[1]

    assert told(other, 10.0) == []
    assert told(other, 12.0) == ["part: bore 1 meets the half-lap for part"]
    assert told(face, 5.0) == ["part: bore 1 meets the half-lap for part"]
