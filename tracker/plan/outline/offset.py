"""An outline moved inward for a router that follows a template with a guide bush."""

from __future__ import annotations

from msgspec.structs import replace

from tracker.plan.convex import Point, area
from tracker.plan.outline.curve import Line, Loop, flat
from tracker.plan.outline.errors import OutlineError
from tracker.plan.outline.outlined import Outlined
from tracker.words import say

CHORD = 0.002
"""Millimetres: the error of the chords of the moved line."""
GRID = 100_000
"""Steps in a millimetre: Clipper uses integers."""
MISSING = say("guide bushes need pyclipper: pip install 'kerfcard[templates]'")


def for_bush(each: Outlined, bush: float, bit: float) -> Outlined:
    """The template's edge, for a bush of this outside diameter and a bit of that one.

    The bit follows the outline and the bush follows the template: the template is smaller than the piece, and its
    cutouts are larger, by half the difference of the diameters. Raises OutlineError where nothing is left.
    """
    moved = inward(each.loops, (bush - bit) / 2)
    outer = [loop for loop in moved if area(loop) > 0]
    if len(outer) != 1:
        raise OutlineError(say("its template for this bush falls into parts, or nothing of it is left"))
    cutouts = tuple(_lines(loop) for loop in moved if area(loop) < 0)
    return replace(each, outer=_lines(outer[0]), cutouts=cutouts)


def inward(loops: tuple[Loop, ...], by: float) -> list[list[Point]]:
    """Loops moved into the wood, as polygons; loops that the move makes cross are removed (Clipper's offsetting)."""
    try:
        import pyclipper
    except ImportError:
        raise OutlineError(MISSING) from None
    clipper = pyclipper.PyclipperOffset(2.0, CHORD * GRID)
    for loop in loops:
        points = [(round(x * GRID), round(y * GRID)) for x, y in flat(loop, CHORD)]
        clipper.AddPath(points, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    return [[(x / GRID, y / GRID) for x, y in path] for path in clipper.Execute(-by * GRID)]


def _lines(points: list[Point]) -> Loop:
    return tuple(Line(points[at - 1], point) for at, point in enumerate(points))
