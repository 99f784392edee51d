"""A straight taper from any two of its measures: where it begins or how long it is, what it leaves, its angle."""

from __future__ import annotations

from tracker.design.model import Taper
from tracker.measure import Angle, Length
from tracker.plan.trig import arctangent, tangent, times
from tracker.words import say


def start_and_depth(taper: Taper, along: Length, depth: Length | None) -> tuple[Length, Length]:
    """Where a taper of an edge `along` begins, from the other end, and its depth, from its two measures."""
    start = along - taper.length if taper.length is not None else taper.start
    if start is not None and depth is not None:
        return start, depth
    if start is not None and taper.angle is not None:
        return start, taper_depth(along - start, taper.angle)
    if depth is not None and taper.angle is not None:
        return along - taper_length(depth, taper.angle), depth
    raise ValueError(say("a taper is set by two of: start or length, leave, angle"))


def taper_angle(depth: Length, length: Length) -> Angle:
    """The angle between a straight edge and a tapered edge that goes in by `depth` over `length`."""
    return arctangent(float(depth), float(length))


def taper_depth(length: Length, angle: Angle) -> Length:
    """How far a tapered edge goes in over `length`: length · tan angle."""
    return times(length, tangent(angle))


def taper_length(depth: Length, angle: Angle) -> Length:
    """The length over which a tapered edge goes in by `depth`: depth / tan angle. Raises ValueError without an
    angle."""
    if angle <= 0:
        raise ValueError(say("a taper without an angle has no length"))
    return times(depth, 1 / tangent(angle))
