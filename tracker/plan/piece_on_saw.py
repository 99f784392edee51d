"""A piece as it lies on the saw for one pass, computed from the pass alone: the drawing shows what would be cut.

Millimetres in the saw's frame, seen from where the person stands: X to the right along the fence, 0 at the long point
of the end that is cut; Y toward the fence, which is at 0; Z up from the table. The blade's plane is X = tan(swing) Y -
tan(tilt) / cos(swing) Z, shifted along X, with angles to the left counted positive: swung left, the handle goes to -X;
tilted left, the top of the blade leans to -X.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from tracker.design.model import EndName
from tracker.plan.convex import Point
from tracker.plan.cuts import Pass
from tracker.plan.saw_setting import SIDES, Side, Vector, cross
from tracker.plan.shape import ENDS, Solid
from tracker.plan.trig import cosine, tangent
from tracker.words import say
from tracker.words.sides import side

Spot = tuple[float, float, float]
Edges = list[float]
"""x on each of the four long edges of the board."""
KEPT: dict[Side, Vector] = {"left of the blade": (-1, 0, 0), "right of the blade": (1, 0, 0), "toward you": (0, -1, 0)}
"""The direction in which the piece extends from the blade."""
BOARD = 0.7
"""How much of the board beyond the cut of a blank is drawn, in widths of the board."""


class Block(Struct, frozen=True):
    """A part of the stock between two cuts: the corners of its upper and its lower side, in order around it."""

    upper: tuple[Point, ...]
    lower: tuple[Point, ...]


class OnSaw(Struct, frozen=True, kw_only=True):
    """The stock on the saw just before a pass. It consists of the kept piece, the kerf and the waste."""

    kept: Block
    waste: Block
    """The waste beyond the kerf."""
    kerf: tuple[Point, ...]
    """The kerf on the upper side, on the waste side of the line."""
    line: tuple[Point, Point]
    """The line on the upper side that is cut to; its point nearer the fence comes first."""
    under: tuple[Point, Point]
    """The same line on the lower side."""
    breadth: float
    """The size of the stock from the fence toward the person."""
    height: float
    """The height of the stock above the table."""
    kept_left: bool
    """Whether the kept wood is to the left of the blade, as the end view shows it."""
    ends: tuple[Point, Point]
    """The positions of end A and end B of the piece: the middle of each on the upper side."""
    long_point: Point
    """The tip of the end that is cut, on whichever side it is."""
    far_point: Point
    """The tip of the other end, which rests against the stop."""


def lay_on_saw(solid: Solid, each: Pass, others: Sequence[Pass], kerf: float) -> OnSaw:
    """One crosscut of a piece; `others` are its ends that are already cut. `kerf` in mm.

    Raises ValueError when the values of the pass contradict each other: it would cut another end than the one named, or
    the piece would have to be mirrored.
    """
    return _Stock(solid, others, each).cut(kerf)


class _Stock:
    """The stock before the pass: its extent along the piece on each long edge of the board."""

    def __init__(self, solid: Solid, others: Sequence[Pass], each: Pass) -> None:
        self.each, self.end = each, each.end or "B"
        self.width = float(solid.width)
        self.overall, self.spare = float(solid.edges.overall), float(solid.allowance) / 2
        self.edges = tuple((y, z) for y in (0.0, self.width) for z in (0.0, float(solid.thickness)))
        self.axes = _axes(each)
        heights = [_dot(self.axes[2], (0.0, *edge)) for edge in self.edges]
        self.height = max(heights) - min(heights)
        self.levels = [[at for at in range(4) if heights[at] == level] for level in (max(heights), min(heights))]
        """The long edges of the upper side, then of the lower."""
        self.reach = [self._reach(others, end) for end in ENDS]
        self.origin: Point = (0.0, 0.0)
        """The origin along the fence and toward it: the long point, and the fence."""

    def _reach(self, others: Sequence[Pass], end: EndName) -> Edges:
        """Where the stock ends: at a finished cut, or at the blank's square end."""
        if self.each.end is None:  # the blank: its length is set, and the board continues beyond the cut
            return [float(self.each.set) + BOARD * self.width if end == "B" else 0.0] * 4
        done = next((other for other in others if other.end == end), None)
        if done is not None:
            return self._plane(_normal(done), self.overall if end == "B" else 0.0)
        return [self.overall + self.spare if end == "B" else -self.spare] * 4

    def _plane(self, normal: Spot, tip: float) -> Edges:
        """Where a cut meets the long edges; the longest one is at `tip`."""
        slopes = [-(normal[1] * y + normal[2] * z) / normal[0] for y, z in self.edges]
        farthest = max(slopes) if normal[0] > 0 else min(slopes)
        return [tip + slope - farthest for slope in slopes]

    def cut(self, kerf: float) -> OnSaw:
        normal = _normal(self.each)
        outward = 1 if normal[0] > 0 else -1
        if (outward > 0) != (self.end == "B"):
            raise ValueError(say("a piece that lies so is cut at its other end, not at end {end}", end=self.end))
        near, far = self.reach if outward > 0 else self.reach[::-1]
        tip = 0.0 if outward < 0 else float(self.each.set) if self.each.end is None else self.overall
        line = self._plane(normal, tip)
        beyond = [x + outward * kerf / abs(normal[0]) for x in line]
        past = [max(x * outward, b * outward) * outward for x, b in zip(far, beyond, strict=True)]
        everything = [self._point(at, reach) for reach in (near, line, past) for at in range(4)]
        self.origin = (self._tip(line, outward)[0], max(back for _, back in everything))
        upper, lower = (self._line(line, level) for level in self.levels)
        other, here = (_middle(self._line(reach, self.levels[0])) for reach in (near, line))
        return OnSaw(
            kept=self._block(near, line),
            waste=self._block(beyond, past),
            kerf=self._block(line, beyond).upper,
            line=upper,
            under=lower,
            breadth=max(back for _, back in everything) - min(back for _, back in everything),
            height=self.height,
            kept_left=_kept_way(self.each) > 0,
            ends=(other, here) if outward > 0 else (here, other),
            long_point=self._tip(line, outward),
            far_point=self._tip(near, -outward),
        )

    def _point(self, at: int, reach: Edges) -> Point:
        """A point on a long edge, from above."""
        spot = (reach[at], *self.edges[at])
        return _dot(self.axes[0], spot) - self.origin[0], _dot(self.axes[1], spot) - self.origin[1]

    def _tip(self, reach: Edges, outward: int) -> Point:
        return self._point(max(range(4), key=lambda at: reach[at] * outward), reach)

    def _line(self, reach: Edges, level: list[int]) -> tuple[Point, Point]:
        one, two = sorted((self._point(at, reach) for at in level), key=lambda point: -point[1])
        return one, two

    def _block(self, first: Edges, last: Edges) -> Block:
        upper, lower = (
            (*(self._point(at, first) for at in level), *(self._point(at, last) for at in reversed(level)))
            for level in self.levels
        )
        return Block(upper, lower)


def _axes(each: Pass) -> tuple[Vector, Vector, Vector]:
    """The saw's X, Y and Z in the board's frame, for the way the piece lies."""
    ends: dict[str, Vector] = {"end A": (-1, 0, 0), "end B": (1, 0, 0)}
    z_axis = SIDES[each.up]
    y_axis = (SIDES | ends)[each.fence]
    if _dot(y_axis, z_axis):
        raise ValueError(
            say("{up} can't be up with the {fence} against the fence", up=side(each.up), fence=side(each.fence))
        )
    return cross(y_axis, z_axis), y_axis, z_axis


def _blade(each: Pass) -> Spot:
    """The normal of the blade's plane in the saw's frame."""
    swing = {"left": 1, "right": -1, "none": 0}[each.swing] * each.swing_deg
    tilt = {"left": 1, "none": 0}[each.tilt] * each.tilt_deg
    return 1.0, -tangent(swing), tangent(tilt) / cosine(swing)


def _kept_way(each: Pass) -> Literal[-1, 1]:
    """1 when the normal with a positive X points away from the piece that is kept."""
    return 1 if _dot(_blade(each), KEPT[each.piece]) < 0 else -1


def _normal(each: Pass) -> Spot:
    """The cut's unit normal in the board's frame, pointing away from the kept piece."""
    blade, axes = _blade(each), _axes(each)
    long = _kept_way(each) * _dot(blade, blade) ** 0.5
    x, y, z = (_dot(blade, (axes[0][at], axes[1][at], axes[2][at])) / long for at in range(3))
    return x, y, z


def _dot(one: Spot, two: Spot) -> float:
    return one[0] * two[0] + one[1] * two[1] + one[2] * two[2]


def _middle(side: tuple[Point, Point]) -> Point:
    return (side[0][0] + side[1][0]) / 2, (side[0][1] + side[1][1]) / 2
