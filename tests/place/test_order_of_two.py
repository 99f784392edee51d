"""Which of two bodies is drawn first, where only one thing tells: a face between them, or a pair of crossing edges.

The bars lie on edge, one along x, the other along y and above it: no face of either is between them, only the plane of
the two edges that cross. The upper one is nearer for an eye above, wherever its middle is.
"""

from __future__ import annotations

from math import sqrt

import pytest

from tracker.cards.picture.order import back_to_front
from tracker.cards.picture.view import View
from tracker.plan.place.bodies import Body, Vector, box
from tracker.plan.place.poses import about

SIDE = 20.0
HALF = SIDE / sqrt(2)
"""From the middle of a bar that lies on edge to its upper or lower edge."""
ABOVE, BELOW = View(24, 24), View(24, -24)


def on_edge(axis: int, first: float, last: float, middle: float) -> Body:
    """A square bar along x (0) or y (1) from `first` to `last`, its middle at this height."""
    low, high = [-SIDE / 2, -SIDE / 2, -SIDE / 2], [SIDE / 2, SIDE / 2, SIDE / 2]
    low[axis], high[axis] = first, last
    way: Vector = (1.0, 0.0, 0.0) if axis == 0 else (0.0, 1.0, 0.0)
    return about(way, 45.0).by((0.0, 0.0, middle)).carry(box((low[0], low[1], low[2]), (high[0], high[1], high[2])))


@pytest.mark.parametrize("gap", [5.0, 0.5, -0.5, -1.9])
@pytest.mark.parametrize(("first", "last"), [(-40.0, 400.0), (-400.0, 40.0), (-200.0, 200.0)])
def test_the_upper_of_two_bars_is_in_front_for_an_eye_above(gap: float, first: float, last: float) -> None:
    """Bars that overlap by up to 2 mm, as joints do, have an order, too."""
    lower, upper = on_edge(0, -200, 200, -HALF), on_edge(1, first, last, HALF + gap)
    assert back_to_front([lower, upper], ABOVE) == back_to_front([upper, lower], ABOVE)[::-1] == (0, 1)
    assert back_to_front([lower, upper], BELOW) == back_to_front([upper, lower], BELOW)[::-1] == (1, 0)


@pytest.mark.parametrize("gap", [0.0, 3.0, -1.0])
def test_of_two_boards_the_one_in_front_of_a_face_is_nearer(gap: float) -> None:
    """A long board behind a short one: its far end is to the right, so its middle is nearer to an eye at the right."""
    behind, front = box((0, 50 + gap, 0), (900, 70, 40)), box((0, 30, 0), (60, 50, 40))
    for azimuth in (24, 60, -24):
        assert back_to_front([behind, front], View(azimuth, 24)) == (0, 1)
        assert back_to_front([front, behind], View(azimuth, 24)) == (1, 0)
    assert back_to_front([behind, front], View(156, 24)) == (1, 0), "seen from behind"
    on_top, under = box((0, 0, 40 + gap), (20, 20, 60)), box((0, 0, 0), (500, 500, 40))
    assert back_to_front([on_top, under], ABOVE) == (1, 0)
    assert back_to_front([on_top, under], BELOW) == (0, 1)


def test_what_does_not_cover_anything_is_in_the_order_of_depth() -> None:
    """Cubes beside one another from the front, each further back than the one before."""
    cubes = [box((100.0 * at, 50.0 * at, 0), (100.0 * at + 20, 50.0 * at + 20, 20)) for at in range(4)]
    assert back_to_front(cubes, View(0, 0)) == (3, 2, 1, 0)
    assert back_to_front(cubes[::-1], View(0, 0)) == (0, 1, 2, 3)


@pytest.mark.parametrize(("overlap", "order"), [(0.019, (0, 1)), (0.021, (1, 0))])
def test_outlines_that_overlap_by_a_fiftieth_of_a_millimetre_cover_one_another(
    overlap: float, order: tuple[int, ...]
) -> None:
    """From above and the front: a block lies before a tall board. The board's middle is nearer, so it is drawn last
    unless they overlap in the picture."""
    block = box((0, 0, 0), (100, 10, 10))
    for first, last in ((100 - overlap, 300.0), (-200.0, overlap)):
        assert back_to_front([block, box((first, 10, 0), (last, 20, 300))], View(0, 30)) == order
