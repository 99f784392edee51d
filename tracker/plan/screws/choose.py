"""Which marks of the tape are best for a row of screws: those with the largest minimum clearance."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

ROUNDING = 1e-9
GIVEN_UP = 0.1
"""The fraction of the least clearance that an even row may cost."""


class Choice(Struct, frozen=True):
    """The clearance of a choice, and the indices of the chosen marks."""

    clearance: float
    marks: tuple[int, ...]


def choose(
    values: Sequence[float], places: Sequence[float], count: int, spacing: float, thickness: float
) -> Choice | None:
    """`count` of the places (rising) that maximise the least of all values, and of all gaps less the screws' thickness,
    with at least `spacing` between neighbours. Exact; None where that many don't fit.

    The answer is one of the values or one of the gaps: bisection over them, each time with the first places that
    suffice.
    """
    if count == 1:
        middle = (len(places) - 1) / 2
        best = max(range(len(places)), key=lambda at: (values[at], -abs(at - middle)), default=None)
        return None if best is None else Choice(values[best], (best,))
    levels = _levels(values, places, thickness)
    found: Choice | None = None
    low, high = 0, len(levels) - 1
    while low <= high:
        middle_level = (low + high) // 2
        level = levels[middle_level]
        marks = _first_fit(values, places, count, max(spacing, level + thickness), level)
        if marks:
            found, low = Choice(level, marks), middle_level + 1
        else:
            high = middle_level - 1
    return found


def _levels(values: Sequence[float], places: Sequence[float], thickness: float) -> list[float]:
    """The possible answers. Marks of a tape are evenly spaced, so there are few different gaps."""
    steps = {round(b - a, 9) for a, b in pairwise(places)}
    if len(steps) == 1:
        gaps = {place - places[0] for place in places[1:]}
    else:
        gaps = {b - a for at, a in enumerate(places) for b in places[at + 1 :]}
    return sorted({*values, *(gap - thickness for gap in gaps)})


def _first_fit(
    values: Sequence[float], places: Sequence[float], count: int, spacing: float, level: float
) -> tuple[int, ...]:
    chosen: list[int] = []
    last = -1e18
    for at, place in enumerate(places):
        if values[at] >= level - 1e-12 and place - last >= spacing - ROUNDING:
            chosen.append(at)
            last = place
            if len(chosen) == count:
                return tuple(chosen)
    return ()


def evened(values: Sequence[float], places: Sequence[float], spacing: float, thickness: float, found: Choice) -> Choice:
    """The same number of marks in nearly equal steps, the outer ones as far out as allowed, where that costs less than
    a tenth of the clearance; otherwise what was found."""
    count = len(found.marks)
    level = found.clearance - GIVEN_UP * abs(found.clearance)
    good = [at for at, value in enumerate(values) if value >= level]
    if count < 2 or not good:
        return found
    first, last = places[good[0]], places[good[-1]]
    step = (last - first) / (count - 1)

    def nearest(place: float) -> int:
        return min(good, key=lambda at: abs(places[at] - place))

    marks = tuple(nearest(first + step * which) for which in range(count))
    gaps = [places[b] - places[a] for a, b in pairwise(marks)]
    if min(gaps) < max(spacing, level + thickness) - ROUNDING:
        return found
    return Choice(min(*(values[at] for at in marks), *(gap - thickness for gap in gaps)), marks)
