"""Trigonometry in degrees. `plan` leaves exact numbers for floating point only here.

Right angles are exact (the cosine of 90° is 0, not 6e-17), so a flat frame doesn't get a tiny bevel.
"""

from __future__ import annotations

import math
from fractions import Fraction

from tracker.measure import Angle, Length
from tracker.words import say


def sine(angle: Angle) -> float:
    """Sine of an angle in degrees; exact at multiples of 90°."""
    quarter, rest = divmod(angle, 90.0)
    if rest == 0.0:
        return (0.0, 1.0, 0.0, -1.0)[int(quarter) % 4]
    return math.sin(math.radians(angle))


def cosine(angle: Angle) -> float:
    """Cosine of an angle in degrees; exact at multiples of 90°."""
    return sine(90.0 - abs(angle)) if angle % 90.0 == 0.0 else math.cos(math.radians(angle))


def tangent(angle: Angle) -> float:
    """Tangent of an angle in degrees; exact at multiples of 45°. Raises ValueError at an odd multiple of 90°."""
    eighth, rest = divmod(angle, 45.0)
    if rest == 0.0:
        step = int(eighth) % 4
        if step == 2:
            raise ValueError(say("{angle}° has no tangent", angle=angle))
        return (0.0, 1.0, 0.0, -1.0)[step]
    return math.tan(math.radians(angle))


def arcsine(ratio: float) -> Angle:
    """The angle in -90 … 90° with this sine; a ratio beyond 1 by rounding counts as 1."""
    return math.degrees(math.asin(max(-1.0, min(1.0, ratio))))


def arctangent(rise: float, run: float = 1.0) -> Angle:
    """The angle in -180 … 180° of the slope `rise` in `run`."""
    return math.degrees(math.atan2(rise, run))


def distance(*sides: float) -> float:
    """The diagonal of a box with these sides."""
    return math.hypot(*sides)


def times(length: Length, ratio: float) -> Length:
    """A length times a trigonometric ratio; exact when the ratio is a whole number."""
    return length * int(ratio) if ratio == int(ratio) else Length(Fraction(float(length) * ratio))
