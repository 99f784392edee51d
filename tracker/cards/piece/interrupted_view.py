"""A long piece drawn in stretches: what is drawn where the middle is left out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]


def spread(spans: list[tuple[float, float]], spare: float, start: float, end: float) -> list[tuple[float, float]]:
    """Distribute the spare length equally among the sides that face a break."""
    faces = 2 * (len(spans) - 1)
    if faces <= 0 or spare <= 0:
        return spans
    share = spare / faces
    grown = []
    for at, (first, last) in enumerate(spans):
        grown.append((first if at == 0 else first - share, last if at == len(spans) - 1 else last + share))
    if any(first >= other for (_, first), (other, _) in pairwise(grown)):
        return spans
    return [(max(start, first), min(end, last)) for first, last in grown]


def clip(polygon: Sequence[Point], start: float, end: float) -> list[Point]:
    """The part of a polygon between two lines across the piece (Sutherland and Hodgman)."""
    for bound, keep in ((start, 1), (end, -1)):
        kept: list[Point] = []
        for one, two in zip(polygon, (*polygon[1:], *polygon[:1]), strict=True):
            inside, next_inside = (one[0] - bound) * keep >= -1e-9, (two[0] - bound) * keep >= -1e-9
            if inside:
                kept.append(one)
            if inside != next_inside:
                share = (bound - one[0]) / (two[0] - one[0])
                kept.append((bound, one[1] + share * (two[1] - one[1])))
        polygon = kept
        if not polygon:
            break
    return list(polygon)


def crossings(points: Sequence[Point], level: float) -> list[tuple[float, float]]:
    """The parts of a horizontal line that are inside a polygon, as pairs of x."""
    xs = sorted(
        one[0] + (level - one[1]) / (two[1] - one[1]) * (two[0] - one[0])
        for one, two in zip(points, (*points[1:], *points[:1]), strict=True)
        if (one[1] <= level) != (two[1] <= level)
    )
    return list(zip(xs[::2], xs[1::2], strict=False))
