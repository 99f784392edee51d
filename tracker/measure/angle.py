"""Angles, in degrees, as a person writes them."""

from __future__ import annotations

import math
import re
from typing import TypeAlias

from tracker.words import say

Angle: TypeAlias = float
"""Degrees. A saw's scale reads 0 for a square cut."""

_LONGEST = 60
_NUMBER = r"([0-9]{1,6}(?:\.[0-9]{0,9})?|\.[0-9]{1,9})"
_DEGREES = re.compile(rf"\s*(-?){_NUMBER}\s*(?:°|deg|degrees?)?\s*\Z")
_SLOPE = re.compile(rf"\s*{_NUMBER}\s*:\s*{_NUMBER}\s*\Z")


def parse_angle(text: str) -> Angle:
    """Read `15`, `15 deg`, `15°` or the slope `1:8` (rise to run) as degrees.

    Raises ValueError with a sentence for people.
    """
    if len(text) > _LONGEST:
        raise ValueError(say("this is too long for an angle"))
    degrees = _DEGREES.match(text)
    if degrees:
        return float(degrees[1] + degrees[2])
    slope = _SLOPE.match(text)
    if slope:
        rise, run = float(slope[1]), float(slope[2])
        if run == 0:
            raise ValueError(say("the slope {text!r} has no run", text=text))
        return math.degrees(math.atan2(rise, run))
    raise ValueError(say("can't read {text!r} as an angle", text=text))


def complement(angle: Angle) -> Angle:
    """90° minus the angle: the setting when the stock is at 90° to the fence."""
    return 90.0 - angle


def slope(angle: Angle) -> float:
    """The run for a rise of 1: 8 for the slope 1:8. Raises ValueError unless the angle is between 0 and 90°."""
    if not 0 < angle < 90:
        raise ValueError(say("{angle:g}° has no slope 1 : n", angle=angle))
    return 1 / math.tan(math.radians(angle))
