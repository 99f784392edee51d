"""A taper computed from two of its measures. Plane geometry: 45 to 25 mm over 350 mm is 3.270° on one edge, and 1.637°
on each of two. The piece is 600 mm long."""

from __future__ import annotations

import pytest
from made import build, mm, part
from shapely.geometry import LineString, Point

from tracker.design.model import EdgeName, Taper
from tracker.measure import millimetres
from tracker.plan.feasibility import check
from tracker.plan.features.edges import edge_stretches
from tracker.plan.geometry import solid
from tracker.plan.place.cells import cells_of
from tracker.plan.taper_marks import taper_marks
from tracker.plan.tapers import start_and_depth, taper_angle

ALONG, LENGTH = millimetres(600), millimetres(350)


@pytest.mark.parametrize(("depth", "angle"), [(20, 3.270), (10, 1.637)])
def test_any_two_measures_give_the_third(depth: float, angle: float) -> None:
    goes_in = millimetres(depth)
    assert taper_angle(goes_in, LENGTH) == pytest.approx(angle, abs=5.5e-4)
    exact = taper_angle(goes_in, LENGTH)
    for taper, known in (
        (Taper(edges="far", end="B", length=LENGTH, leave=millimetres(25)), goes_in),
        (Taper(edges="far", end="B", start=millimetres(250), leave=millimetres(25)), goes_in),
        (Taper(edges="far", end="B", length=LENGTH, angle=exact), None),
        (Taper(edges="far", end="B", start=millimetres(250), angle=exact), None),
        (Taper(edges="far", end="B", leave=millimetres(25), angle=exact), goes_in),
    ):
        start, found = start_and_depth(taper, ALONG, known)
        assert (mm(start), mm(found)) == pytest.approx((250, depth), abs=1e-9)


@pytest.mark.parametrize("measures", [{}, {"angle": 3.0}, {"length": LENGTH}])
def test_one_measure_makes_no_taper(measures: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="taper"):
        start_and_depth(Taper(edges="far", end="B", **measures), ALONG, None)  # type: ignore[arg-type]


def test_a_taper_without_an_angle_has_no_length() -> None:
    with pytest.raises(ValueError, match="taper"):
        start_and_depth(Taper(edges="far", end="B", leave=millimetres(25), angle=0.0), ALONG, millimetres(20))


@pytest.mark.parametrize(("start", "taken"), [(700, 0.0), (600, 0.0), (599, 40 * 1 / 2 * 20)])
@pytest.mark.parametrize("edge", ["near", "far"])
def test_a_taper_that_starts_at_its_end_or_past_it_takes_nothing(start: int, taken: float, edge: EdgeName) -> None:
    """Of a rail 600 × 80 × 20 mm to a width of 40: a triangle of what is left of the length."""
    tapered = part(tapers=(Taper(edges=edge, end="B", start=millimetres(start), leave=millimetres(40)),))
    made, whole = solid(tapered), solid(part())
    assert made.volume == pytest.approx(600 * 80 * 20 - taken)
    assert sum(cell.volume for cell in cells_of(made)) == pytest.approx(600 * 80 * 20 - taken)
    assert len(taper_marks(made)) == (1 if taken else 0)
    assert len(list(edge_stretches(made, edge))) == (2 if taken else 1)
    assert (made.silhouette() == whole.silhouette()) is not bool(taken)
    assert [each.what for each in check(build(tapered))].count("Rail: the taper starts off the piece") == (not taken)


@pytest.mark.parametrize("edge", ["near", "far"])
@pytest.mark.parametrize(
    ("b_start", "middles"),
    [
        (400, [(500, 10), (50, 5), (250, 0)]),  # 20 mm over the last 200, 10 over the first 100, and 300 between
        (50, [(325, 10), (25, 7.5), None]),  # the first one takes all of the edge from 50 on
    ],
)
def test_the_stretches_of_an_edge_with_a_taper_at_each_end(
    edge: EdgeName, b_start: int, middles: list[tuple[float, float] | None]
) -> None:
    """Their middles by hand, in from the edge, and their lines against shapely's distances."""
    made = solid(part(tapers=(
        Taper(edges=edge, end="B", start=millimetres(b_start), leave=millimetres(60)),
        Taper(edges=edge, end="A", length=millimetres(100), leave=millimetres(70)),
    )))  # fmt: skip
    far = edge == "far"
    found = list(edge_stretches(made, edge))
    wanted = [each and (each[0], 80 - each[1] if far else each[1]) for each in middles]
    assert [each.middle and pytest.approx(each.middle) for each in found] == wanted
    for stretch, ends in zip(found, ([(b_start, 0), (600, 20)], [(0, 10), (100, 0)], [(0, 0), (600, 0)]), strict=True):
        line = LineString([(x, 80 - y if far else y) for x, y in ends])
        for x in (ends[0][0] + 30, ends[1][0] - 30):
            for into in (5.0, 30.0):
                y = 20 + into if not far else 60 - into
                assert stretch.into.of((x, y, 7.0)) == pytest.approx(line.distance(Point(x, y)))
    for x, y, stretch in ((*each.middle, each) for each in found if each.middle):
        assert stretch.into.of((x, y + 2 if far else y - 2, 0.0)) < 0
