"""The tightest bends, which blade turns through them, and the necks of an outline, by hand."""

from __future__ import annotations

from math import cos, inf, pi, radians, sin, sqrt

import numpy as np
import pytest

from tracker.plan.outline.bends import CLEARANCE, Bend, blade_turns, least_turn, tightest, widest_blade
from tracker.plan.outline.curve import (
    Arc,
    Cubic,
    Line,
    Loop,
    backwards,
)
from tracker.plan.outline.necks import hankinson, necks

SQUARE: Loop = tuple(
    Line(a, b) for a, b in (((0.0, 0.0), (40.0, 0.0)), ((40.0, 0.0), (40.0, 30.0)), ((40.0, 30.0), (0.0, 30.0)),
                            ((0.0, 30.0), (0.0, 0.0)))
)  # fmt: skip


def slotted(radius: float, wide: float = 100.0) -> Loop:
    """A board with a round notch in its upper edge: the only inward bend."""
    middle = wide / 2
    return (
        Line((0.0, 0.0), (wide, 0.0)), Line((wide, 0.0), (wide, 60.0)), Line((wide, 60.0), (middle + radius, 60.0)),
        Arc((middle, 60.0), radius, 0.0, -pi), Line((middle - radius, 60.0), (0.0, 60.0)),
        Line((0.0, 60.0), (0.0, 0.0)),
    )  # fmt: skip


@pytest.mark.parametrize("radius", [4.0, 12.5, 30.0])
def test_the_tightest_bend_is_the_notch_and_its_lower_edge_the_neck(radius: float) -> None:
    loop = slotted(radius, 200.0)
    assert least_turn(loop) == pytest.approx(radius)
    bend = tightest(loop)
    assert bend is not None
    assert bend.radius == pytest.approx(radius), "the notch's own corners turn outward: they are sawn from two sides"
    (neck, *_) = necks(loop, (), lambda _: 0.0)
    assert neck.width == pytest.approx(60 - radius, abs=0.2)
    assert neck.at == pytest.approx((100, (60 - radius) / 2), abs=1.5)
    assert neck.off_grain == pytest.approx(0, abs=5)
    assert neck.as_strong_as == pytest.approx(neck.width * hankinson(neck.off_grain))
    (across, *_) = necks(loop, (), lambda _: 90.0)
    assert across.off_grain == pytest.approx(90, abs=5)
    assert across.as_strong_as < 0.1 * across.width


def test_a_hole_turns_into_the_wood_and_a_disc_away_from_it() -> None:
    disc = (Arc((0.0, 0.0), 50.0, 0.0, 2 * pi),)
    hole = (Arc((0.0, 0.0), 9.0, 0.0, -2 * pi),)
    assert tightest(disc) is None
    bend = tightest(disc, [hole])
    assert bend is not None
    assert bend.radius == pytest.approx(9)
    assert (least_turn(disc), least_turn(disc, [hole]), least_turn(SQUARE)) == (
        pytest.approx(50), pytest.approx(9), inf,
    )  # fmt: skip
    (neck, *_) = necks(disc, [hole], lambda _: 0.0)
    assert neck.width == pytest.approx(41, abs=0.1)


def test_a_cubic_curve_is_looked_at_all_along() -> None:
    """A parabola y = x² / 2p bends most at its vertex, by a radius of p."""
    p = 20.0
    rise = 40.0**2 / (2 * p)
    first, second = (-40 + 80 / 3, rise - 2 / 3 * 2 * rise), (40 - 80 / 3, rise - 2 / 3 * 2 * rise)
    assert least_turn([Cubic((-40.0, rise), first, second, (40.0, rise))]) == pytest.approx(p, rel=1e-3)


def test_a_cubic_curve_is_looked_at_to_its_ends() -> None:
    """This one bends to the right, more and more; a line goes on from its end."""
    hook = Cubic((0.0, 0.0), (60.0, 40.0), (100.0, 40.0), (101.0, 36.0))
    radii = [1 / abs(hook.bend(t)) for t in np.linspace(0, 1, 2001)]
    assert min(radii) == radii[-1]
    on = Line(hook.end, (hook.end[0] + hook.way(1.0)[0], hook.end[1] + hook.way(1.0)[1]))
    assert tightest((hook, on)) == Bend(pytest.approx(radii[-1]), hook.end)  # type: ignore[arg-type]
    assert least_turn((hook, on)) == least_turn(backwards((hook, on))) == pytest.approx(radii[-1])


def test_a_flat_parabola_is_drawn_with_as_few_chords_as_its_sagitta_allows() -> None:
    """Its second derivative is the same everywhere: n chords are off by the sagitta / n²."""
    rise = 4.0  # of the curve raised from (0, 0) (50, 8) (100, 0)
    curve = Cubic((0.0, 0.0), (100 / 3, 16 / 3), (200 / 3, 16 / 3), (100.0, 0.0))
    assert [curve.steps(rise / n**2 * 1.001) for n in (1, 2, 5, 9)] == [1, 2, 5, 9]
    assert [curve.steps(rise / n**2 * 0.999) for n in (1, 2, 5, 9)] == [2, 3, 6, 10]


@pytest.mark.parametrize("width", [3.0, 6.0, 13.0])
def test_a_blade_turns_by_the_sagitta_of_its_width(width: float) -> None:
    radius = blade_turns(width)
    assert radius - sqrt(radius**2 - (width / 2) ** 2) == pytest.approx(CLEARANCE, rel=0.06)
    assert widest_blade(radius) == pytest.approx(width)


def test_hankinson_is_one_along_the_grain_and_the_share_across_it() -> None:
    """N = P Q / (P sin² + Q cos²), Hankinson 1921."""
    assert (hankinson(0), hankinson(90, 0.07)) == (1.0, pytest.approx(0.07))
    s, c = sin(radians(30)) ** 2, cos(radians(30)) ** 2
    assert hankinson(30, 0.05) == pytest.approx(0.05 / (s + 0.05 * c))
