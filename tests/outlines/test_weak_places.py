"""Necks and short grain on both sides of each limit, in plain shapes whose measures are read off."""

from __future__ import annotations

from math import cos, radians, sin, tan

import pytest

from tracker.plan.outline.curve import Line, Loop
from tracker.plan.outline.necks import Neck, hankinson, necks
from tracker.plan.outline.necks import _neck as made_neck
from tracker.plan.outline.short_grain import short_grain
from tracker.plan.outline.weak_places import is_weak

Corners = list[tuple[float, float]]


def ring_of(points: Corners) -> Loop:
    return tuple(Line(points[at - 1], point) for at, point in enumerate(points))


def block(long: float, high: float, turn: float = 0.0, at: tuple[float, float] = (0.0, 0.0)) -> Corners:
    """A rectangle turned about its middle, which is at `at`."""
    c, s = cos(radians(turn)), sin(radians(turn))
    corners = ((-long / 2, -high / 2), (long / 2, -high / 2), (long / 2, high / 2), (-long / 2, high / 2))
    return [(at[0] + c * x - s * y, at[1] + s * x + c * y) for x, y in corners]


@pytest.mark.parametrize(
    ("long", "high", "reach"),
    [
        (49.9, 60.0, 60.0), (50.1, 60.0, None),  # grain of 50 mm isn't short
        (10.0, 8.1, 8.1), (10.0, 7.9, None),  # under 8 mm across the grain is no place to break
        (40.0, 28.4, 28.4), (40.0, 27.6, None),  # 0.7 of its grain
    ],
)  # fmt: skip
@pytest.mark.parametrize("grain", [0.0, 90.0, 30.0, 150.0])
def test_short_grain_is_reported_from_its_limits_on(
    long: float, high: float, reach: float | None, grain: float
) -> None:
    found = short_grain([block(long, high, grain, (70.0, -20.0))], grain)
    if reach is None:
        assert found == ()
        return
    (one,) = found
    assert (one.reach, one.longest) == (pytest.approx(reach), pytest.approx(long))
    assert one.share == pytest.approx(reach / long)
    assert one.at == pytest.approx((70, -20), abs=1.1)


def test_a_hole_makes_two_bands_of_short_grain_the_weaker_first() -> None:
    """A board of 100 by 60 with a square hole nearer to its left: 20 mm of grain on the left of it, 40 on its right."""
    found = short_grain([block(100, 60), block(40, 40, 0, (-10.0, 0.0))], 0.0)
    assert [(round(each.reach), round(each.longest), each.at[0]) for each in found] == [
        (40, 20, pytest.approx(-40)), (40, 40, pytest.approx(30)),
    ]  # fmt: skip


@pytest.mark.parametrize(("high", "found"), [(199.0, True), (201.0, False)])
def test_a_neck_is_at_most_two_hundred_wide(high: float, found: bool) -> None:
    across = [neck for neck in necks(ring_of(block(400, high)), (), lambda _: 0.0) if neck.off_grain < 45]
    assert bool(across) is found


@pytest.mark.parametrize(("opens", "found"), [(35.0, True), (39.0, False)])
def test_the_edges_of_a_neck_face_each_other(opens: float, found: bool) -> None:
    """The cosine of the angle between them is 0.8 at least: 36.9 degrees."""
    rise = tan(radians(opens / 2)) * 300
    wedge = [(0.0, -10.0), (300.0, -10 - rise), (300.0, 10 + rise), (0.0, 10.0)]
    narrow = [neck for neck in necks(ring_of(wedge), (), lambda _: 0.0) if neck.width < 30]
    assert bool(narrow) is found


@pytest.mark.parametrize(
    ("turn", "grain", "off"),
    [
        (0, 0, 0),
        (0, 30, 30),
        (0, 150, 30),
        (0, 90, 90),
        (90, 0, 90),
        (90, 90, 0),
        (40, 0, 40),
        (40, 60, 20),
        (140, 0, 40),
    ],
)
def test_how_far_a_neck_is_off_its_grain(turn: float, grain: float, off: float) -> None:
    (neck, *_) = necks(ring_of(block(150, 40, turn)), (), lambda _: grain)
    assert neck.width == pytest.approx(40, abs=0.1)
    assert neck.off_grain == pytest.approx(off, abs=3)


@pytest.mark.parametrize(
    ("across", "grain", "off"),
    [
        (90, 0, 0),
        (90, 90, 90),
        (-90, 30, 30),
        (90, 150, 30),
        (0, 0, 90),
        (180, 90, 0),
        (45, 0, 45),
        (135, 0, 45),
        (10, 20, 80),
    ],
)
def test_the_grain_of_a_neck_is_measured_from_its_length(across: float, grain: float, off: float) -> None:
    """Its length is square to the line across it; no two directions are more than 90 degrees apart."""
    neck = made_neck(40.0, (1.0, 2.0), across, grain)
    assert neck.off_grain == pytest.approx(off)
    assert neck.as_strong_as == pytest.approx(40 * hankinson(off))
    assert (neck.width, neck.at) == (40.0, (1.0, 2.0))


@pytest.mark.parametrize(
    ("width", "strong", "weak"), [(40, 13.3, True), (40, 13.4, False), (20, 9.9, True), (20, 10, False), (9, 9, True)]
)
def test_a_neck_is_weak_under_ten_millimetres_or_a_third_of_itself(width: float, strong: float, weak: bool) -> None:
    assert is_weak(Neck(width, (0.0, 0.0), 0.0, strong)) is weak
