"""Where curves cross themselves or one another: their chords, found by a sweep over x."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.plan.convex import Point
from tracker.plan.outline.curve import Loop, flat

CHORD = 0.05
"""Millimetres: how far a chord may be from its curve."""


class Crossing(Struct, frozen=True):
    """Loop number `first` and loop number `second` meet at `at`; if both are the same, the loop crosses itself."""

    first: int
    second: int
    at: Point


class _Edge(Struct, frozen=True):
    low: Point
    high: Point
    start: Point
    end: Point
    loop: int
    place: int
    of: int


def crossings(loops: Sequence[Loop], most: int) -> tuple[Crossing, ...]:
    """The first places, from the left, where the loops cross or touch."""
    edges = [edge for number, loop in enumerate(loops) for edge in _edges(number, flat(loop, CHORD))]
    edges.sort(key=lambda edge: edge.low[0])
    live: list[_Edge] = []
    found: list[Crossing] = []
    for edge in edges:
        live = [each for each in live if each.high[0] >= edge.low[0] - 1e-9]
        for each in live:
            at = _crossing(edge, each)
            if at is not None:
                found.append(Crossing(min(edge.loop, each.loop), max(edge.loop, each.loop), at))
                if len(found) >= most:
                    return tuple(found)
        live.append(edge)
    return tuple(found)


def _edges(number: int, points: Sequence[Point]) -> list[_Edge]:
    count = len(points)
    found = []
    for place, start in enumerate(points):
        end = points[(place + 1) % count]
        low = (min(start[0], end[0]), min(start[1], end[1]))
        high = (max(start[0], end[0]), max(start[1], end[1]))
        found.append(_Edge(low, high, start, end, number, place, count))
    return found


def _crossing(one: _Edge, other: _Edge) -> Point | None:
    if other.low[1] > one.high[1] or other.high[1] < one.low[1]:
        return None
    if one.loop == other.loop and (other.place - one.place) % one.of in (1, one.of - 1):
        return _folded(one, other)
    p, q, r, s = one.start, one.end, other.start, other.end
    a, b, c, d = _side(p, q, r), _side(p, q, s), _side(r, s, p), _side(r, s, q)
    if a * b > 0 or c * d > 0:
        return None
    if not (a or b or c or d):  # all on one line
        low, high = max(min(p, q), min(r, s)), min(max(p, q), max(r, s))
        return low if low <= high else None
    t = c / (c - d) if c != d else 0.0
    return (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]))


def _folded(one: _Edge, other: _Edge) -> Point | None:
    """Neighbours share a corner; they cross only where the second doubles back over the first."""
    first, second = (one, other) if (other.place - one.place) % one.of == 1 else (other, one)
    if first.of < 3:
        return None
    ax, ay = first.end[0] - first.start[0], first.end[1] - first.start[1]
    bx, by = second.end[0] - second.start[0], second.end[1] - second.start[1]
    straight_back = ax * bx + ay * by < 0 and abs(ax * by - ay * bx) <= 1e-9 * (ax * ax + ay * ay)
    return first.end if straight_back else None


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
