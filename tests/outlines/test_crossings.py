"""Where loops cross themselves and one another, against shapely."""

from __future__ import annotations

import random

import pytest
from shapely.geometry import LinearRing, LineString, Point

from tracker.plan.outline.crossings import Crossing, crossings
from tracker.plan.outline.curve import (
    Line,
    Loop,
)


def ring_of(points: list[tuple[float, float]]) -> Loop:
    return tuple(Line(points[at - 1], point) for at, point in enumerate(points))


@pytest.mark.parametrize("seed", range(40))
def test_a_loop_crosses_itself_where_shapely_says_so(seed: int) -> None:
    rng = random.Random(seed)
    points = [(rng.uniform(0, 100), rng.uniform(0, 100)) for _ in range(rng.randint(4, 7))]
    found = crossings([ring_of(points)], most=100)
    assert bool(found) is not LinearRing(points).is_simple
    lines = [LineString([points[at - 1], point]) for at, point in enumerate(points)]
    for each in found:
        assert (each.first, each.second) == (0, 0)
        assert sum(line.distance(Point(each.at)) < 1e-6 for line in lines) >= 2


@pytest.mark.parametrize("seed", range(20))
def test_two_loops_cross_as_often_as_their_edges_do(seed: int) -> None:
    rng = random.Random(seed)
    loops = [[(x + rng.uniform(0, 50), rng.uniform(0, 60)) for _ in range(3)] for x in (0, rng.choice((20, 40, 70)))]
    one, two = (LinearRing(each) for each in loops)
    meet = one.intersection(two)
    found = [each for each in crossings([ring_of(each) for each in loops], most=100) if each.first != each.second]
    assert len(found) == (0 if meet.is_empty else len(getattr(meet, "geoms", [meet])))
    assert all((each.first, each.second) == (0, 1) for each in found)
    assert len(crossings([ring_of(each) for each in loops], most=1)) == min(1, len(found))


@pytest.mark.parametrize(
    ("corners", "at"),
    [
        ([(0, 0), (10, 0), (10, 10), (0, 10)], None),
        ([(0, 0), (10, 0), (4, 0), (4, 10)], (10, 0)),  # straight back over itself
        ([(0, 0), (10, 0), (20, 0), (20, 10)], None),  # straight on
        ([(0, 0), (10, 10), (10, 0), (0, 10)], (5, 5)),
    ],
)
def test_corners_that_fold_back_are_crossings_and_straight_ones_are_none(
    corners: list[tuple[float, float]], at: tuple[float, float] | None
) -> None:
    found = crossings([ring_of(corners)], most=5)
    assert (pytest.approx(at) in [each.at for each in found]) if at else found == ()


def test_loops_that_share_a_stretch_of_an_edge_touch() -> None:
    left, right = ring_of([(0, 0), (10, 0), (10, 10), (0, 10)]), ring_of([(10, 2), (20, 2), (20, 8), (10, 8)])
    assert Crossing(0, 1, (10, 2)) in crossings([left, right], most=9)
    apart = ring_of([(10.01, 2), (20, 2), (20, 8), (10.01, 8)])
    assert crossings([left, apart], most=5) == ()
