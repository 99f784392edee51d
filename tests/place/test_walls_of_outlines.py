"""Which curves a placed piece is still to be sawn to, against shapely: its own outline, and those of its assemblies."""

from __future__ import annotations

import random

import pytest
from kit.build_text import one_wood
from shapely.geometry import LineString, Point, Polygon, box

from tracker.design import load_build
from tracker.design.model import Build
from tracker.plan.place import Placer
from tracker.plan.place.placed import Placed
from tracker.plan.place.poses import Pose
from tracker.plan.screws.walls import Wall, Walls

HEAD = one_wood("Panels", "mm", "oak", "white oak", "thickness = 20", "width = 120", 'lengths = ["2 m"]')
BOARDS = """
[[parts]]
id = "board"
quantity = 2
wood = "oak"
length = 400
[[parts]]
id = "post"
wood = "oak"
length = 90
[[assemblies]]
id = "top"
joins = { board = 2 }
by = "glue"
glue = "PVA, interior (white)"
place = [
  { part = "board", lies = "B right, top up", at = { left = 35, front = 50, bottom = 7 }, count = 2, row = "back" },
]
"""
TABLE = """
[[assemblies]]
id = "table"
joins = { top = 1, post = 1 }
by = "dry"
place = [
  { assembly = "top", at = { left = 100, front = 30, bottom = 90 } },
  { part = "post", lies = "B up, near left", at = { left = 150, front = 60, bottom = 0 } },
]
"""
CORNERS = [(0, 0), (360, 0), (360, 190), (180, 220), (0, 190)]


def panel(*outlines: str) -> Build:
    text = "".join(f'[[outlines]]\nid = "it-{at}"\n{outline}\n' for at, outline in enumerate(outlines))
    loaded = load_build(HEAD + BOARDS + TABLE + text)
    assert loaded.build is not None, loaded.problems
    return loaded.build


def of(assembly: str, corners: list[tuple[float, float]], left: float, front: float, more: str = "") -> str:
    at = f"at = {{ left = {left}, front = {front} }}"
    return f'of = "{assembly}"\ncorners = {[list(corner) for corner in corners]}\n{at}\n{more}'


def walls_of(build: Build, assembly: str) -> dict[tuple[str, int], tuple[Placed, list[Wall]]]:
    placer = Placer(build)
    walls = Walls(build, placer)
    return {piece.key: (piece, list(walls.of(piece))) for piece in placer.placed(assembly)}


@pytest.mark.parametrize("assembly", ["top", "table"])
def test_the_boards_of_a_panel_are_sawn_to_its_outline_wherever_the_panel_is(assembly: str) -> None:
    """The panel is 400 × 240; its outline is 20 from the left and 10 from the front, whatever is beyond."""
    build = panel(of("top", CORNERS, 20, 10, "cutouts = [{ circle = 60, at = [100, 80] }]"))
    found = walls_of(build, assembly)
    shape = Polygon([(x + 20, y + 10) for x, y in CORNERS]).difference(Point(120, 90).buffer(30, 256))
    boards = [(piece, walls) for (part, _), (piece, walls) in found.items() if part == "board"]
    assert len(boards) == 2
    left, front = (min(p[axis] for piece, _ in boards for p in piece.points) for axis in (0, 1))
    chance = random.Random("walls")
    for _, walls in boards:
        (wall,) = walls
        for _ in range(60):
            x, y = chance.uniform(-5, 405), chance.uniform(-5, 245)
            assert wall.shadow((left + x, front + y, chance.uniform(0, 200))) == pytest.approx((x, y))
            if shape.boundary.distance(Point(x, y)) > 0.1:
                assert wall.keeps((x, y)) is shape.contains(Point(x, y))
        sawn = Polygon(wall.loops[0], [wall.loops[1]])
        assert sawn.symmetric_difference(shape).area < 0.05 * shape.length
        assert sum(LineString(chord).length for chord in wall.sawn) == pytest.approx(shape.length, rel=1e-3)
    assert [walls for (part, _), (_, walls) in found.items() if part == "post"] == ([[]] if assembly == "table" else [])


@pytest.mark.parametrize(("front", "sawn"), [(0.0, False), (0.4, False), (0.6, True)])
def test_what_is_along_an_edge_of_the_panel_is_not_sawn(front: float, sawn: bool) -> None:
    """Half a millimetre from the edge leaves nothing to saw; the left side is the panel's own."""
    build = panel(of("top", [(0, 0), (300, 0), (300, 200), (0, 200)], 0, front))
    ((_, (wall,)), *_) = walls_of(build, "top").values()
    judge = LineString([(300, front), (300, front + 200), (0, front + 200)])
    judge = judge.union(LineString([(0, front), (300, front)])) if sawn else judge
    made = [LineString(chord) for chord in wall.sawn]
    assert sum(each.length for each in made) == pytest.approx(judge.length)
    assert all(judge.buffer(1e-6).contains(each) for each in made)


def test_a_board_has_its_own_curve_and_the_two_of_its_panel_but_none_that_cannot_be_sawn() -> None:
    bow = [(0.0, 0.0), (300.0, 200.0), (300.0, 0.0), (0.0, 200.0)]  # it crosses itself
    build = panel(
        of("top", bow, 0, 0), of("top", [(0, 0), (90, 0), (0, 90)], 0, 0), of("top", [(9, 0), (90, 0), (9, 90)], 0, 0),
        of("board", [(0, 0), (200, 0), (200, 110), (0, 60)], 50, 5),
    )  # fmt: skip
    for piece, walls in walls_of(build, "table").values():
        assert len(walls) == (3 if piece.part == "board" else 0)
        if walls:
            own = walls[0]
            low = [min(p[axis] for p in piece.points) for axis in (0, 1)]
            assert own.shadow((low[0] + 70, low[1] + 30, 0.0)) == pytest.approx((70, 30))
            assert Polygon(own.loops[0]).bounds == pytest.approx((50, 5, 250, 115))
            assert [Polygon(each.loops[0]).bounds[0] for each in walls[1:]] == pytest.approx([0, 0])


def test_a_piece_with_a_slanted_end_is_measured_from_its_tip() -> None:
    """Its end A leans out by 120 mm at the near edge."""
    text = '[[parts]]\nid = "brace"\nwood = "oak"\nlength = 500\nend_a = { miter = 45, long = "near" }\n'
    loaded = load_build(
        f"{HEAD}{text}[[outlines]]\n" + 'id = "it"\n' + of("brace", [(0, 0), (200, 0), (200, 90)], 130, 9)
    )
    assert loaded.build is not None, loaded.problems
    placer = Placer(loaded.build)
    shape = placer.shapes.of("brace", None)
    (wall,) = Walls(loaded.build, placer).alone(shape.solid, "brace", Pose())
    tip = min(x for x, _ in shape.solid.silhouette())
    assert wall.shadow((tip, 0.0, 5.0)) == (0, 0)
    assert Polygon(wall.loops[0]).bounds == pytest.approx((130, 9, 330, 99))
    assert box(0, 0, 500, 120).contains(Polygon(wall.loops[0]))
