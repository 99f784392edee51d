"""Chaining loose lines and arcs end to end, regardless of the direction in which they were drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import dist, floor

from tracker.plan.convex import Point
from tracker.plan.outline.curve import Line, Loop, Segment

JOIN = 0.05
"""Millimetres: ends this close are meant to meet."""


def chained(segments: Sequence[Segment]) -> tuple[list[Loop], list[tuple[Point, Point]]]:
    """The closed loops, and the two ends of each chain that doesn't close."""
    ends = _Ends(segments)
    loops: list[Loop] = []
    opened: list[tuple[Point, Point]] = []
    for at in range(len(segments)):
        if not ends.free(at):
            continue
        run = ends.run_from(at)
        gap = dist(run[0].start, run[-1].end)
        if gap > JOIN:
            opened.append((run[0].start, run[-1].end))
            continue
        loops.append(tuple(run) if gap < 1e-9 else (*run, Line(run[-1].end, run[0].start)))
    return loops, opened


class _Ends:
    """The ends of unused segments near a point, found through a grid of squares."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        self._free: dict[int, Segment] = dict(enumerate(segments))
        self._squares: dict[tuple[int, int], list[int]] = {}
        for at, segment in self._free.items():
            for end in (segment.start, segment.end):
                self._squares.setdefault(_square(end), []).append(at)

    def free(self, at: int) -> bool:
        return at in self._free

    def run_from(self, at: int) -> list[Segment]:
        """A segment and those that follow it end to end, until the chain closes or nothing follows."""
        run = [self._free.pop(at)]
        while dist(run[0].start, run[-1].end) > JOIN:
            here = run[-1].end
            nearest = min(self._near(here), default=None)
            if nearest is None:
                break
            segment = self._free.pop(nearest[1])
            run.append(segment if dist(segment.start, here) <= dist(segment.end, here) else segment.reversed())
            if dist(here, run[-1].start) > 1e-9:
                run.insert(-1, Line(here, run[-1].start))
        return run

    def _near(self, point: Point) -> Iterator[tuple[float, int]]:
        x, y = _square(point)
        for square in ((x + dx, y + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)):
            for at in self._squares.get(square, ()):
                if at in self._free:
                    segment = self._free[at]
                    gap = min(dist(segment.start, point), dist(segment.end, point))
                    if gap <= JOIN:
                        yield gap, at


def _square(point: Point) -> tuple[int, int]:
    return (floor(point[0] / (2 * JOIN)), floor(point[1] / (2 * JOIN)))
