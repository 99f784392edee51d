"""The rules of the order in which a glue-up is laid down, on boxes: what is flat, what is a row, what goes first."""

from __future__ import annotations

import pytest
from place.test_screw_solids import HEAD

from tracker.design.load import load_build
from tracker.plan.laying import FLAT, SAME_ROW, Order, _axes, _built_up, _clusters, _halves, _pointing, laying_order
from tracker.plan.place import Placer
from tracker.plan.place.poses import Pose, about

Box = tuple[tuple[float, float, float], tuple[float, float, float]]


def boxes(*sizes: Box) -> dict[tuple[str, int], Box]:
    return {("p", at): size for at, size in enumerate(sizes, start=1)}


@pytest.mark.parametrize(
    ("size", "axes"),
    [
        ((600, 400, 20), (0, 1, 2)),
        ((600, 20, 400), (0, 2, 1)),
        ((20, 400, 600), (1, 2, 0)),
        ((600, 400, 400 * FLAT), (0, 1, 2)),
        ((600, 400, 400 * FLAT + 0.01), None),
    ],
)
def test_flat_is_what_is_thin_beside_its_two_other_sizes(size: tuple[float, ...], axes: object) -> None:
    """Two boxes, one in each half: what counts is the size of both together."""
    x, y, z = size
    assert _axes(boxes(((0, 0, 0), (x / 2, y, z)), ((x / 2, 0, 0), (x, y, z)))) == axes


def test_parts_that_share_most_of_their_width_are_in_one_row() -> None:
    """The share is measured in the narrower of the two; rows are counted from the front."""
    back, front = ((0, 100, 0), (50, 200, 20)), ((0, 0, 0), (50, 90, 20))
    assert _clusters(boxes(back, front), 1) == {("p", 1): 1, ("p", 2): 0}
    for off, row in ((100 * (1 - SAME_ROW) - 0.1, 0), (100 * (1 - SAME_ROW) + 0.1, 1)):
        beside = ((60, off, 0), (90, 100 + off, 20))
        assert _clusters(boxes(((0, 0, 0), (50, 100, 20)), beside), 1)["p", 2] == row
    chain = boxes(((0, 0, 0), (9, 100, 9)), ((10, 80, 0), (19, 180, 9)), ((20, 30, 0), (29, 150, 9)))
    assert set(_clusters(chain, 1).values()) == {0}, "the third joins the other two"


@pytest.mark.parametrize(
    ("many", "rows"), [(3, [0] * 3), (4, [0, 0, 1, 1]), (5, [0] * 5), (6, [0, 0, 0, 1, 1, 1]), (2, [0, 0])]
)
def test_a_ring_of_an_even_number_is_glued_in_halves(many: int, rows: list[int]) -> None:
    assert list(_halves([("side", n) for n in range(many)]).values()) == rows


def test_what_touches_most_goes_first_then_upward_from_left_to_right() -> None:
    """A top on four legs: it touches four; then the legs from left to right, front to back."""
    legs = [((x, y, 0.0), (x + 40, y + 40, 700.0)) for x in (0.0, 500.0) for y in (0.0, 300.0)]
    sizes = boxes(((0.0, 0.0, 700.0), (540.0, 340.0, 720.0)), *legs[::-1])
    top = ("p", 1)
    touching = {top: [(1.0, top, "", leg, "", leg) for leg in sizes if leg != top]}
    touching |= {leg: [(1.0, leg, "", top, "", top)] for leg in sizes if leg != top}
    assert _built_up(sizes, touching) == [top, ("p", 5), ("p", 4), ("p", 3), ("p", 2)]  # type: ignore[arg-type]
    assert _built_up(sizes, {})[0] == ("p", 5), "where nothing touches, the lowest first"
    assert sorted(_built_up(sizes, {})) == sorted(sizes)


def test_the_side_that_points_most_nearly() -> None:
    assert _pointing(Pose(), (0.0, 0.0, 1.0)) == ("top", 1.0)
    side, cosine = _pointing(about((1.0, 0.0, 0.0), 30.0), (0.0, 0.0, 1.0))
    assert (side, cosine) == ("top", pytest.approx(3**0.5 / 2))
    assert _pointing(about((1.0, 0.0, 0.0), 90.0), (0.0, 0.0, 1.0))[0] == "far"


def order(parts: str, assembly: str) -> Order:
    loaded = load_build(f"{HEAD}{parts}\n[[assemblies]]\n{assembly}")
    assert loaded.build is not None, loaded.problems
    return laying_order(loaded.build, Placer(loaded.build).placed(loaded.build.assemblies[-1].id))


@pytest.mark.parametrize(("sides", "rows", "halves"), [(4, (2,), True), (5, (1,), False), (6, (2,), True)])
def test_rings(sides: int, rows: tuple[int, ...], halves: bool) -> None:
    part = f'[[parts]]\nid = "side"\nquantity = {sides}\nwood = "oak"\nlength = 300\n'
    ring = f"joint = {{ kind = 'ring', sides = {sides}, lean = 5 }}\n"
    found = order(
        part + ring, f'id = "ring"\njoins = {{ side = {sides} }}\nby = "glue"\nglue = "PVA, interior (white)"\n'
    )
    assert (found.rows, found.halves, found.flat, found.layers) == (rows, halves, False, 1)
    assert [each.key for each in found.parts] == [("side", n) for n in range(1, sides + 1)]
    assert {each.toward for each in found.parts} == {"top"}


@pytest.mark.parametrize(("degrees", "leaning"), [(2, False), (3, True)])
def test_a_piece_that_is_off_by_more_than_two_and_a_half_degrees_leans(degrees: int, leaning: bool) -> None:
    """The cosine of 2.56° is 0.999."""
    rail = '[[parts]]\nid = "rail"\nwood = "oak"\nlength = 300\n'
    lean = f"{{ front = {degrees} }}"
    rows = (
        f'{{ part = "rail", lies = "B right, top up", at = {{ left = 0, front = 0 }}, lean = {lean} }}',
        '{ part = "leg", lies = "A up, near right", at = { left = 400, front = 0 } }',
    )
    found = order(rail, f'id = "x"\njoins = {{ rail = 1, leg = 1 }}\nby = "dry"\nplace = [{", ".join(rows)}]\n')
    assert {each.key[0]: each.leaning for each in found.parts} == {"rail": leaning, "leg": False}
