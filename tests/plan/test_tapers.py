"""A taper computed from two of its measures. Plane geometry: 45 to 25 mm over 350 mm is 3.270° on one edge, and 1.637°
on each of two. The piece is 600 mm long."""

from __future__ import annotations

import pytest
from made import build, mm, part

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
