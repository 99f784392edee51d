"""Where a taper is marked out and what it leaves, as a tape measures it: on the top face, from existing corners.

A piece is tapered after its ends are cut. Each taper is marked from a corner that no earlier taper has cut off. What it
leaves is measured along the cut end: at a mitred end that is more than the width across the piece.
"""

from __future__ import annotations

from fractions import Fraction
from math import dist

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import EdgeName, EndName
from tracker.measure import Angle, Length
from tracker.plan.convex import Point
from tracker.plan.shape import Solid, TaperShape

NEAR = 1e-6


class TaperMark(Struct, frozen=True, kw_only=True):
    """One taper on the top face. The line to cut to goes from `start_at` to `leaves_at` (mm in the piece's frame)."""

    edge: EdgeName
    end: EndName
    start: Length
    """Measured along the edge, from the corner at end `start_from`."""
    start_from: EndName
    leaves: Length
    """Measured along the tapered end, from its corner at edge `leaves_from`; the finished end measures this until
    another taper takes that corner."""
    leaves_from: EdgeName
    angle: Angle
    start_at: Point
    leaves_at: Point


def taper_marks(solid: Solid) -> tuple[TaperMark, ...]:
    """The tapers of a piece in the order of cutting; one that takes nothing is left out."""
    marks = []
    for at, taper in enumerate(solid.tapers):
        mark = _mark(solid, at, taper) if taper.takes_wood else None
        if mark is not None:
            marks.append(mark)
    return tuple(marks)


def finished_width(solid: Solid, end: EndName) -> Length:
    """What a tape reads along the finished end, on the top face."""
    one, two = _on_end(solid, end, solid.section(float(solid.thickness)))
    return _length(dist(one, two))


def _mark(solid: Solid, at: int, taper: TaperShape) -> TaperMark | None:
    height = float(solid.thickness)
    before = replace(solid, tapers=solid.tapers[:at]).section(height)
    after = replace(solid, tapers=solid.tapers[: at + 1]).section(height)
    y = float(solid.width) if taper.edge == "far" else 0.0
    start = (float(taper.start_x), y)
    on_end = _on_end(solid, taper.end, after)
    leaves_at, corner = sorted(on_end, key=lambda point: abs(point[1] - y))
    other: EndName = "A" if taper.end == "B" else "B"
    left_from, from_x = other, solid.reach(other, y, height)
    if not any(dist((from_x, y), point) < NEAR for point in before):  # an earlier taper has cut that corner off
        left_from, from_x = taper.end, solid.reach(taper.end, y, height)
    return TaperMark(
        edge=taper.edge,
        end=taper.end,
        start=_length(abs(start[0] - from_x)),
        start_from=left_from,
        leaves=_length(dist(leaves_at, corner)),
        leaves_from="near" if taper.edge == "far" else "far",
        angle=taper.angle,
        start_at=start,
        leaves_at=leaves_at,
    )


def _on_end(solid: Solid, end: EndName, outline: tuple[Point, ...]) -> tuple[Point, Point]:
    """The two corners of an outline of the top face that are on an end."""
    height = float(solid.thickness)
    points = [point for point in outline if abs(point[0] - solid.reach(end, point[1], height)) < NEAR]
    one, two = min(points, key=lambda point: point[1]), max(points, key=lambda point: point[1])
    return one, two


def _length(mm: float) -> Length:
    return Length(Fraction(mm).limit_denominator(10**9))
