"""Short grain: fingers and bands where every line of grain is short, however wide they look."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, radians, sin

from msgspec import Struct

from tracker.plan.convex import Point

SHORT = 50.0
"""Millimetres: a shorter line of grain counts as short. Common practice, no source."""
LEAST = 8.0
"""Millimetres across the grain: a smaller reach isn't reported."""
STEP = 1.0
BREAKS = 0.7
"""The ratio of reach across the grain to the longest line of grain above which a place is reported. Common practice, no
source."""


class ShortGrain(Struct, frozen=True):
    """A place of short grain: its reach across the grain, its longest line of grain, and its middle."""

    reach: float
    longest: float
    at: Point

    @property
    def share(self) -> float:
        return self.reach / self.longest


class _Chain:
    """Neighbouring lines of grain that are all short."""

    def __init__(self, across: float, line: tuple[float, float]) -> None:
        self.lines = [(across, *line)]

    @property
    def last(self) -> tuple[float, float]:
        return self.lines[-1][1:]

    def found(self, step: float) -> tuple[float, float, Point]:
        longest = max(end - start for _, start, end in self.lines)
        across, start, end = self.lines[len(self.lines) // 2]
        return len(self.lines) * step, longest, ((start + end) / 2, across)


def short_grain(loops: Sequence[Sequence[Point]], grain: float, step: float = STEP) -> tuple[ShortGrain, ...]:
    """Places of short grain in a shape, the weakest first. `loops` are polygons, the outer one first; `grain` is in
    degrees."""
    c, s = cos(radians(grain)), sin(radians(grain))
    turned = [[(c * x + s * y, -s * x + c * y) for x, y in loop] for loop in loops]
    low, high = min(p[1] for p in turned[0]), max(p[1] for p in turned[0])
    count = max(1, int((high - low) / step))
    apart = (high - low) / count
    live: list[_Chain] = []
    done: list[_Chain] = []
    for row, lines in enumerate(_lines(turned, low, apart, count)):
        across = low + (row + 0.5) * apart
        grown: list[_Chain] = []
        for line in (line for line in lines if line[1] - line[0] < SHORT):
            chain = next((each for each in live if line[0] < each.last[1] and each.last[0] < line[1]), None)
            if chain is None:
                chain = _Chain(across, line)
            else:
                live.remove(chain)
                chain.lines.append((across, *line))
            grown.append(chain)
        done.extend(live)
        live = grown
    found = [chain.found(apart) for chain in (*done, *live)]
    kept = [
        ShortGrain(reach, longest, (c * x - s * y, s * x + c * y))
        for reach, longest, (x, y) in found
        if reach >= LEAST and reach / longest > BREAKS
    ]
    return tuple(sorted(kept, key=lambda each: -each.share))


def _lines(
    loops: Sequence[Sequence[Point]], low: float, apart: float, count: int
) -> Iterable[list[tuple[float, float]]]:
    """The lines of grain in every row: the stretches of a level line that are inside."""
    cuts: list[list[float]] = [[] for _ in range(count)]
    for loop in loops:
        for at, (qx, qy) in enumerate(loop):
            px, py = loop[at - 1]
            if py == qy:
                continue
            (ax, ay), (bx, by) = ((px, py), (qx, qy)) if py < qy else ((qx, qy), (px, py))
            first = max(0, int((ay - low) / apart - 0.5))
            for row in range(first, count):
                y = low + (row + 0.5) * apart
                if y >= by:
                    break
                if y >= ay:
                    cuts[row].append(ax + (y - ay) / (by - ay) * (bx - ax))
    for places in cuts:
        places.sort()
        yield list(zip(places[::2], places[1::2], strict=False))
