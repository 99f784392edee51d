"""How tightly an outline bends inward, and which of the shop's tools can follow it: a saw blade, a router bit, a
sanding drum."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import inf, radians, sqrt

from msgspec import Struct

from tracker.plan.convex import Point
from tracker.plan.outline.curve import Arc, Cubic, Segment
from tracker.plan.outline.mirroring import corner_turn

_LOOKED_AT = 64
"""Sample points on a cubic curve."""
_CORNER = radians(0.5)
"""A smaller turn between two segments isn't a corner."""
CLEARANCE = 0.32
"""Millimetres by which a bandsaw's kerf is wider than the body of its blade. Common practice: with it, w² / 8c gives
about the radii in charts of bandsaw blades (3 mm: 4, 6 mm: 16, 10 mm: 35, 13 mm: 63); the charts are from memory."""


class Bend(Struct, frozen=True):
    """The tightest inward bend: its radius (0 at a sharp inside corner) and where it is."""

    radius: float
    at: Point


def tightest(outer: Sequence[Segment], cutouts: Iterable[Sequence[Segment]] = ()) -> Bend | None:
    """The tightest bend into the wood; None where nothing bends inward. The outer loop runs anticlockwise and cutouts
    clockwise, so the wood is on the left and an inward bend turns right."""
    found = [bend for loop in (outer, *cutouts) for bend in _inward(loop)]
    return min(found, key=lambda bend: bend.radius, default=None)


def _inward(loop: Sequence[Segment]) -> Iterable[Bend]:
    for at, segment in enumerate(loop):
        if corner_turn(loop[at - 1], segment) < -_CORNER:
            yield Bend(0.0, segment.start)
        for t in _places(segment):
            bend = segment.bend(t)
            if bend < -1e-6:
                yield Bend(-1 / bend, segment.at(t))


def _places(segment: Segment) -> Sequence[float]:
    """Where on a segment to look at its bend."""
    if isinstance(segment, Cubic):
        return tuple(step / _LOOKED_AT for step in range(_LOOKED_AT + 1))
    return (0.5,) if isinstance(segment, Arc) else ()


def least_turn(outer: Sequence[Segment], cutouts: Iterable[Sequence[Segment]] = ()) -> float:
    """The least radius of any bend, either way, which a saw's blade must follow. Infinite where everything is straight.

    A sharp corner doesn't count: it is sawn from two sides.
    """
    segments = (segment for loop in (outer, *cutouts) for segment in loop)
    bends = (abs(segment.bend(t)) for segment in segments for t in _places(segment))
    return min((1 / bend for bend in bends if bend > 1e-9), default=inf)


def blade_turns(width: float, clearance: float = CLEARANCE) -> float:
    """The tightest radius that a blade of this width can turn in its kerf: the sagitta w² / 8R of its width must not
    exceed the clearance."""
    return width * width / (8 * clearance)


def widest_blade(radius: float, clearance: float = CLEARANCE) -> float:
    """The widest blade that can turn in a radius."""
    return sqrt(8 * clearance * radius)
