"""Convex outlines in the plane: clipping by a line, area, inset and hull."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import dist

Point = tuple[float, float]


def left_of(corners: Sequence[Point], start: Point, end: Point) -> tuple[Point, ...]:
    """The part of a convex polygon (counter-clockwise) to the left of the line from `start` to `end`.

    One clip of the Sutherland-Hodgman algorithm (Communications of the ACM 17, 1974).
    """
    kept: list[Point] = []
    for at, here in enumerate(corners):
        before = corners[at - 1]
        side_before, side_here = _side(before, start, end), _side(here, start, end)
        if (side_before < 0 < side_here) or (side_here < 0 < side_before):
            share = side_before / (side_before - side_here)
            kept.append((before[0] + share * (here[0] - before[0]), before[1] + share * (here[1] - before[1])))
        if side_here >= 0:
            kept.append(here)
    return tuple(kept)


def area(corners: Sequence[Point]) -> float:
    """The signed area; positive for a counter-clockwise polygon."""
    return sum(corners[at - 1][0] * here[1] - here[0] * corners[at - 1][1] for at, here in enumerate(corners)) / 2


def inset(corners: Sequence[Point], point: Point) -> float:
    """How far inside a convex counter-clockwise polygon a point is; negative outside, or if there is no polygon."""
    sides = zip((corners[-1], *corners[:-1]), corners, strict=True) if corners else ()
    return min((_side(point, a, b) / dist(a, b) for a, b in sides if a != b), default=-1.0)


def _side(point: Point, start: Point, end: Point) -> float:
    """Positive to the left of the line, 0 on it."""
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])


def hull(points: Iterable[Point]) -> tuple[Point, ...]:
    """The convex hull of some points, counter-clockwise (Andrew's monotone chain). Points on an edge are left out, and
    points closer than a millionth of a millimetre are merged."""
    distinct = sorted({(round(x, 6), round(y, 6)) for x, y in points})

    def half(run: Sequence[Point]) -> list[Point]:
        out: list[Point] = []
        for c in run:
            while len(out) >= 2:
                a, b = out[-2], out[-1]
                if (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 1e-9:
                    break
                out.pop()
            out.append(c)
        return out[:-1]

    return (*half(distinct), *half(distinct[::-1]))
