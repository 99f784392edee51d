"""A thin batten bent round nails: the cubic spline over its chords, as cubic curves."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import dist

from tracker.plan.convex import Point
from tracker.plan.outline.curve import Cubic


def batten(nails: Sequence[Point]) -> tuple[Cubic, ...]:
    """An open batten through all nails: equal curvature on both sides of each nail and none at its ends, as a thin
    strip bends."""
    chords = [dist(a, b) for a, b in itertools.pairwise(nails)]
    x, y = (_natural([nail[axis] for nail in nails], chords) for axis in (0, 1))
    return _curves(nails, chords, x, y)


def closed_batten(nails: Sequence[Point]) -> tuple[Cubic, ...]:
    """A closed batten through all nails, three or more: equal curvature on both sides of each nail."""
    around = [*nails, nails[0]]
    chords = [dist(a, b) for a, b in itertools.pairwise(around)]
    x, y = (_periodic([nail[axis] for nail in nails], chords) for axis in (0, 1))
    return _curves(around, chords, x, y)


def _curves(
    nails: Sequence[Point], chords: Sequence[float], x: Sequence[float], y: Sequence[float]
) -> tuple[Cubic, ...]:
    curves = []
    for at, chord in enumerate(chords):
        (px, py), (qx, qy) = nails[at], nails[at + 1]
        first = (px + chord * x[at] / 3, py + chord * y[at] / 3)
        second = (qx - chord * x[at + 1] / 3, qy - chord * y[at + 1] / 3)
        curves.append(Cubic((px, py), first, second, (qx, qy)))
    return tuple(curves)


def _natural(heights: Sequence[float], chords: Sequence[float]) -> list[float]:
    """First derivatives of the natural cubic spline."""
    last = len(chords)
    below, middle, above, right = list[float](), [2.0], [1.0], [3 * (heights[1] - heights[0]) / chords[0]]
    for at in range(1, last):
        _row(chords[at - 1], chords[at], heights[at - 1 : at + 2], below, middle, above, right)
    below.append(1.0)
    middle.append(2.0)
    right.append(3 * (heights[last] - heights[last - 1]) / chords[-1])
    return _solved(below, middle, above, right)


def _periodic(heights: Sequence[float], chords: Sequence[float]) -> list[float]:
    """First derivatives of the cubic spline that closes on itself, the first repeated at the end.

    The two corners of its matrix are split off as a product (Sherman and Morrison, 1950).
    """
    count = len(heights)
    below: list[float] = []
    middle: list[float] = []
    above: list[float] = []
    right: list[float] = []
    for at in range(count):
        around = (heights[at - 1], heights[at], heights[(at + 1) % count])
        _row(chords[at - 1], chords[at], around, below, middle, above, right)
    low, high = above.pop(), below.pop(0)
    corner = -middle[0]
    middle[0] -= corner
    middle[-1] -= low * high / corner
    plain = _solved(below, middle, above, right)
    split = _solved(below, middle, above, [corner, *[0.0] * (count - 2), low])
    share = (plain[0] + high * plain[-1] / corner) / (1 + split[0] + high * split[-1] / corner)
    slopes = [a - share * b for a, b in zip(plain, split, strict=True)]
    return [*slopes, slopes[0]]


def _row(
    before: float, after: float, heights: Sequence[float],
    below: list[float], middle: list[float], above: list[float], right: list[float],
) -> None:  # fmt: skip
    """One nail's equation: the second derivative is equal on both sides of it."""
    below.append(after)
    middle.append(2 * (before + after))
    above.append(before)
    right.append(3 * (after * (heights[1] - heights[0]) / before + before * (heights[2] - heights[1]) / after))


def _solved(
    below: Sequence[float], middle: Sequence[float], above: Sequence[float], right: Sequence[float]
) -> list[float]:
    """A tridiagonal system, solved by elimination and back substitution (Thomas). `below` begins in the second row."""
    pivots, values = [middle[0]], [right[0]]
    for at in range(1, len(middle)):
        share = below[at - 1] / pivots[-1]
        pivots.append(middle[at] - share * above[at - 1])
        values.append(right[at] - share * values[-1])
    found = [values[-1] / pivots[-1]]
    for at in range(len(middle) - 2, -1, -1):
        found.append((values[at] - above[at] * found[-1]) / pivots[at])
    return found[::-1]
