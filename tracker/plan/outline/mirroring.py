"""An outline whose one half is written: the half and its mirror image, joined to one closed outline."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot, pi

from tracker.design.place import Mirror
from tracker.plan.outline.curve import Line, Loop, Move, Segment, backwards, distance, extent, flat
from tracker.plan.outline.errors import OutlineError
from tracker.words import say
from tracker.words.sides import side

NEAR = 0.01
"""Millimetres: a point closer than this is on the line."""


class Whole:
    """An outline and its cutouts after mirroring. Raises OutlineError."""

    def __init__(self, outer: Loop, cutouts: Sequence[Loop], mirror: Mirror | None) -> None:
        self.outer, self.cutouts = outer, tuple(cutouts)
        axes = {None: (), "left-right": (0,), "front-back": (1,), "both": (0, 1)}[mirror]
        for axis in axes:
            self._mirror(axis)

    def _mirror(self, axis: int) -> None:
        low, high = extent(self.outer)[axis], extent(self.outer)[axis + 2]
        own = _about(axis, (low + high) / 2)
        half = self._half(axis, high)
        if half is None:
            if _same(own.loop(self.outer), self.outer):
                return  # both halves are written, and they agree
            where = ("right", "back")[axis]
            raise OutlineError(
                say(
                    "its half must end in one straight edge on the {where}, where the two halves meet",
                    where=side(where),
                ),
                key="mirror",
                hint=say("or leave out mirror, if the whole outline is written"),
            )  # fmt: skip
        image = _about(axis, high)
        self.outer = (*half, *backwards(image.loop(half)))
        mirrored = [image.loop(loop) for loop in self.cutouts]
        self.cutouts += tuple(
            turned for turned, loop in zip(mirrored, self.cutouts, strict=True) if not _same(turned, loop)
        )

    def _half(self, axis: int, high: float) -> Loop | None:
        """The loop without its single straight edge on the middle line; None without such an edge, or where it
        continues into a curve, which would leave a dent."""
        loop = self.outer
        in_middle = [_lies_on(each, axis, high) for each in loop]
        begins = [at for at, here in enumerate(in_middle) if not here and in_middle[at - 1]]
        if len(begins) != 1:
            return None
        half = [each for each in loop[begins[0] :] + loop[: begins[0]] if not _lies_on(each, axis, high)]
        ways = (half[0].way(0.0), half[-1].way(1.0))
        return None if any(abs(way[axis]) < 1e-3 * hypot(*way) for way in ways) else tuple(half)


def _lies_on(segment: Segment, axis: int, high: float) -> bool:
    """Whether a segment is straight and lies on the middle line."""
    ends = (segment.start[axis], segment.end[axis])
    return isinstance(segment, Line) and all(abs(end - high) < NEAR for end in ends)


def _about(axis: int, middle: float) -> Move:
    return Move(a=-1.0, e=2 * middle) if axis == 0 else Move(d=-1.0, f=2 * middle)


def _same(one: Loop, other: Loop) -> bool:
    """Whether a loop is its own mirror image: its corners and the middles of its segments lie on it."""
    points = flat(other, 0.005)
    return all(distance(points, each.at(t)) < 2 * NEAR for each in one for t in (0.0, 0.5))


def corner_turn(before: Segment, after: Segment) -> float:
    """The angle in radians by which the direction turns left between two segments."""
    (ax, ay), (bx, by) = before.way(1.0), after.way(0.0)
    turn = atan2(ax * by - ay * bx, ax * bx + ay * by)
    return turn if abs(turn) < pi - 1e-9 else pi
