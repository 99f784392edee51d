"""Narrow places of an outline, and how the grain affects their strength."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import atan2, cos, degrees, dist, hypot, radians, sin

from msgspec import Struct

from tracker.plan.convex import Point
from tracker.plan.outline.curve import Segment, perimeter

ACROSS = 0.07
"""Bending strength across the grain as a fraction of that along it; 0.04 to 0.10, from memory."""
WIDEST = 200.0
"""Millimetres: wider necks aren't reported."""
FACING = -0.8
"""The cosine limit between the normals of the two edges of a neck."""
STEP = 2.0
MOST_PLACES = 400


class Neck(Struct, frozen=True):
    """A narrow place: its width, its middle, the angle between its length and the grain in degrees, and the width of a
    straight-grained strip of equal strength."""

    width: float
    at: Point
    off_grain: float
    as_strong_as: float


def hankinson(angle: float, across: float = ACROSS) -> float:
    """Strength at an angle in degrees to the grain, as a fraction of that along it (Hankinson, 1921)."""
    s, c = sin(radians(angle)) ** 2, cos(radians(angle)) ** 2
    return across / (s + across * c)


def necks(
    outer: Sequence[Segment], cutouts: Iterable[Sequence[Segment]], grain: Callable[[Point], float]
) -> tuple[Neck, ...]:
    """The narrow places, narrowest first, one for each place. The wood is on the left of every loop.

    For points p along the edge, the largest circle is found that touches there and stays inside: r = |q - p|² / 2(q -
    p)·n over all other points q. It spans a neck where the two edges face each other.
    """
    step = max(STEP, perimeter(outer) / MOST_PLACES)
    places = [place for loop in (outer, *cutouts) for place in _places(loop, step)]
    found = []
    for at, across in enumerate(_spans(places)):
        if across is None:
            continue
        (p, m), (o, n) = places[at], places[across]
        if m[0] * n[0] + m[1] * n[1] <= FACING:
            middle = ((p[0] + o[0]) / 2, (p[1] + o[1]) / 2)
            found.append((dist(p, o), middle, degrees(atan2(o[1] - p[1], o[0] - p[0]))))
    kept: list[tuple[float, Point, float]] = []
    for width, middle, angle in sorted(found):
        if all(dist(middle, other) >= max(width, wide) for wide, other, _ in kept):
            kept.append((width, middle, angle))
    return tuple(_neck(width, middle, angle, grain(middle)) for width, middle, angle in kept)


def _neck(width: float, middle: Point, angle: float, grain: float) -> Neck:
    off = abs((angle + 90.0 - grain + 90.0) % 180.0 - 90.0)
    return Neck(width, middle, off, width * hankinson(off))


_Place = tuple[Point, Point]
"""A point on the edge, and the unit normal into the wood."""


def _places(loop: Sequence[Segment], step: float) -> list[_Place]:
    """Points `step` apart along a loop, however short its segments are."""
    found = []
    along = step / 2
    for segment in loop:
        length = segment.length
        while along < length:
            t = along / length
            x, y = segment.way(t)
            size = hypot(x, y)
            if size > 1e-12:
                found.append((segment.at(t), (-y / size, x / size)))
            along += step
        along -= length
    return found


def _spans(places: Sequence[_Place]) -> list[int | None]:
    """For each point, the opposite point that the largest inside circle touches first; None beyond WIDEST.

    `least` is the circle's diameter so far. Most of the time is spent here: points × points, in plain floats.
    """
    numbered = [(at, x, y) for at, ((x, y), _) in enumerate(places)]
    found: list[int | None] = []
    for (px, py), (nx, ny) in places:
        least, across, behind = WIDEST, None, px * nx + py * ny + 1e-9
        for at, x, y in numbered:
            depth = x * nx + y * ny - behind
            if depth > 0.0:
                square = (x - px) * (x - px) + (y - py) * (y - py)
                if square < least * depth:
                    least, across = square / depth, at
        found.append(across)
    return found
