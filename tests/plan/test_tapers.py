"""A taper computed from two of its measures. Plane geometry: 45 to 25 mm over 350 mm is 3.270° on one edge, and 1.637°
on each of two. The piece is 600 mm long."""

from __future__ import annotations

import pytest
from made import mm

from tracker.design.model import Taper
from tracker.measure import millimetres
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
