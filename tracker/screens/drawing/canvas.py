"""The strokes and fills of the drawings, put on the open canvas. Coordinates are points on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin

from kivy.graphics import Color, Mesh, SmoothLine
from kivy.graphics.tesselator import Tesselator

from tracker.cards.piece.drawing import Point
from tracker.screens.toolkit.palette import Colour, Palette


def fill(polygon: Sequence[Point], colour: Colour) -> None:
    """A polygon of any shape."""
    if len(polygon) < 3:
        return
    shape = Tesselator()
    shape.add_contour(flat(polygon))
    if not shape.tesselate():
        return
    Color(*colour)
    for vertices, indices in shape.meshes:
        Mesh(vertices=vertices, indices=indices, mode="triangle_fan")


def stroke(line: Sequence[Point], colour: Colour, width: float, *, close: bool = False) -> None:
    Color(*colour)
    SmoothLine(points=flat(line), width=width / 2, cap="round", joint="round", close=close)


def dashes(line: Sequence[Point], colour: Colour, width: float, dash: float) -> None:
    """A dashed line through the points; every stretch begins and ends with a dash."""
    Color(*colour)
    for one, two in pairwise(line):
        count = max(1, round(hypot(two[0] - one[0], two[1] - one[1]) / (dash * 1.6)))
        for step in range(count):
            ends = [between(one, two, share) for share in (step / count, (step + 0.62) / count)]
            SmoothLine(points=flat(ends), width=width / 2)


def arrow(start: Point, tip: Point, colour: Colour, width: float, head: float) -> None:
    """A line with a head at its tip."""
    stroke([start, tip], colour, width)
    way = degrees(atan2(tip[1] - start[1], tip[0] - start[0]))
    back = arc(tip, head, way + 180 - 24, 48)
    fill([tip, back[0], back[-1]], colour)


def hatched(polygon: Sequence[Point], lines: Sequence[tuple[Point, Point]], palette: Palette, mm: float) -> None:
    """Waste, with the lines across it."""
    fill(polygon, palette.colour("waste"))
    Color(*palette.colour("hatch"))
    for one, two in lines:
        SmoothLine(points=flat((one, two)), width=0.18 * mm)


def flat(points: Sequence[Point]) -> list[float]:
    return [value for point in points for value in point]


def between(one: Point, two: Point, share: float) -> Point:
    return one[0] + (two[0] - one[0]) * share, one[1] + (two[1] - one[1]) * share


def beyond(one: Point, two: Point, over: float) -> Point:
    """The point `over` past `two` on the line from `one`."""
    long = hypot(two[0] - one[0], two[1] - one[1]) or 1.0
    return two[0] + (two[0] - one[0]) / long * over, two[1] + (two[1] - one[1]) / long * over


def arc(middle: Point, radius: float, start: float = 0.0, turn: float = 360.0) -> list[Point]:
    """From `start`, through `turn` (degrees)."""
    steps = max(3, int(abs(turn) / 4))
    turns = [radians(start + turn * step / steps) for step in range(steps + 1)]
    return [(middle[0] + radius * cos(a), middle[1] + radius * sin(a)) for a in turns]


def capsule(one: Point, two: Point, radius: float) -> list[Point]:
    """The outline of a slot from one point to another, closed."""
    way = degrees(atan2(two[1] - one[1], two[0] - one[0]))
    around = [*arc(two, radius, way - 90, 180), *arc(one, radius, way + 90, 180)]
    return [*around, around[0]]
