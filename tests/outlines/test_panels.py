"""A panel is the same however it stands in the furniture: its size, its boards, their grain and their seams."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from shapely.geometry import Polygon

from tracker.design import load_build
from tracker.plan.outline.panel import Panel, panel_of
from tracker.plan.place import Placer

HEAD = """
[build]
name = "Panel"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 27
width = 120
lengths = ["3 m"]
[[parts]]
id = "board"
quantity = 3
wood = "ash"
length = 700
[[assemblies]]
id = "panel"
joins = { board = 3 }
by = "glue"
glue = "PVA, interior (white)"
"""
STANDING = {
    "lying, along the front": ("B right, top up", "front", (700, 360), 0.0),
    "lying, front to back": ("B back, top up", "left", (360, 700), 90.0),
    "upright, facing the front": ("B up, top front", "left", (360, 700), 90.0),
    "upright, boards across": ("B right, top front", "bottom", (700, 360), 0.0),
    "upright, seen from the side": ("B up, top left", "front", (360, 700), 90.0),
    "upright, from the side, boards across": ("B back, top right", "bottom", (700, 360), 0.0),
}


def panel(lies: str, side: str) -> Panel:
    rows = ""
    for at in (0, 120, 240):
        corner = {"left": 17, "front": 23, "bottom": 31}  # it stands anywhere
        where = corner | {side: corner[side] + at}
        said = ", ".join(f"{key} = {value}" for key, value in where.items())
        rows += f'  {{ part = "board", lies = "{lies}", at = {{ {said} }} }},\n'
    loaded = load_build(f"{HEAD}place = [\n{rows}]\n")
    assert loaded.build is not None, loaded.problems
    return panel_of(loaded.build, Placer(loaded.build), "panel")


@pytest.mark.parametrize("name", STANDING)
def test_a_panel_is_measured_where_it_is_flat(name: str) -> None:
    lies, side, size, grain = STANDING[name]
    found = panel(lies, side)
    assert found.size == pytest.approx(size)
    assert [board.grain for board in found.boards] == [pytest.approx(grain, abs=1e-6)] * 3
    assert [board.name for board in found.boards] == ["board 1", "board 2", "board 3"]
    for board in found.boards:
        assert Polygon(board.corners).exterior.is_ccw
        assert Polygon(board.corners).area == pytest.approx(700 * 120)
    assert len(found.seams) == 2
    for (ax, ay), (bx, by) in found.seams:
        assert abs(bx - ax) + abs(by - ay) == pytest.approx(700)
    places = {round(seam[0][0 if grain else 1]) for seam in found.seams}
    assert places == {120, 240}


@pytest.mark.parametrize(
    ("part", "grain", "size", "hole"),
    [
        ('grain = "across"\nlength = 110', 90.0, (110, 120), (80, 30)),
        ("length = 400", 0.0, (400, 120), (80, 30)),
        # its top face is short of its bottom face by 27 mm at end A, from which the hole is measured
        ('length = 400\nend_a = { bevel = 45, long_face = "bottom" }', 0.0, (400, 120), (107, 30)),
    ],
)
def test_the_panel_of_a_part_is_the_part_seen_from_above(
    part: str, grain: float, size: tuple[float, float], hole: tuple[float, float]
) -> None:
    text = HEAD.split("[[assemblies]]")[0].replace("quantity = 3\n", "").replace("length = 700", part)
    text += 'holes = [{ kind = "through", end = "A", from_edge = 30, from_end = 80, diameter = 8 }]\n'
    build = load_build(text).build
    assert build is not None
    found = panel_of(build, Placer(build), "board")
    assert found.size == pytest.approx(size)
    (board,) = found.boards
    assert (board.key, board.grain, board.name) == (("board", 1), grain, "board")
    assert Polygon(board.corners).bounds == pytest.approx((0, 0, *size))
    (mark,) = found.marks
    assert (mark.at, mark.diameter, mark.words) == (pytest.approx(hole), 8, "through hole")


@pytest.mark.parametrize(("x", "y", "which"), [(350, 60, 0), (350, 180, 1), (350, 350, 2), (350, 900, 2), (-80, 30, 0)])
def test_the_grain_at_a_place_is_that_of_its_board(x: float, y: float, which: int) -> None:
    found = panel("B right, top up", "front")
    boards = tuple(replace(board, grain=33.0 if at == which else 0.0) for at, board in enumerate(found.boards))
    assert replace(found, boards=boards).grain_at((x, y)) == 33.0
