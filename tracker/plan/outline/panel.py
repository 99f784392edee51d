"""The panel that an outline is sawn from: its size, its boards as seen from above, its seams, its holes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import atan2, degrees, dist, hypot

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.design.model import Build
from tracker.plan import convex
from tracker.plan.convex import Point
from tracker.plan.outline.errors import OutlineError
from tracker.plan.place.bodies import Vector, bounds
from tracker.plan.place.placed import PlaceError
from tracker.plan.place.placer import Placer
from tracker.plan.shape import HoleShape, Solid
from tracker.words import say

TOUCH = 0.5
"""Millimetres: boards closer than this touch; `place` allows the same for joints."""
LEAST_SEAM = 1.0
STACKED = 1.9
"""An assembly thicker than this many times its thickest piece isn't a panel."""


class Board(Struct, frozen=True, kw_only=True):
    """A board of the panel: a convex polygon, counter-clockwise, and the direction of its grain in degrees."""

    key: Numbered
    name: str
    corners: tuple[Point, ...]
    grain: float


class Mark(Struct, frozen=True):
    """The middle of a hole drilled into the panel, its diameter if known, and its words."""

    at: Point
    diameter: float | None
    words: str


class Panel(Struct, frozen=True, kw_only=True):
    """`size` is its bounding box; `seams` are lines along which two boards meet."""

    id: str
    name: str
    size: Point
    boards: tuple[Board, ...]
    seams: tuple[tuple[Point, Point], ...] = ()
    marks: tuple[Mark, ...] = ()

    def grain_at(self, point: Point) -> float:
        """The grain direction, in degrees, of the board at a point, or of the nearest one."""
        return max(self.boards, key=lambda board: convex.inset(board.corners, point)).grain


def panel_of(build: Build, placer: Placer, id_: str) -> Panel:
    """The panel of a part or of an assembly. Raises OutlineError where it isn't a panel, or isn't known."""
    part = next((each for each in build.parts if each.id == id_), None)
    if part is None:
        return _glued(build, placer, id_)
    solid = placer.shapes.of(id_, part.first_hand).solid
    corners = solid.silhouette()
    if not corners:
        raise OutlineError(say("its part has no shape: its ends cross"), key="of")
    low = min(p[0] for p in corners)
    grain = 90.0 if part.grain == "across" else 0.0
    board = Board(key=(id_, 1), name=part.name, corners=_shifted(corners, (-low, 0.0)), grain=grain)
    marks = tuple(_mark(hole, (hole.enters[0] - low, hole.enters[1])) for hole in in_faces(solid))
    size = (max(p[0] for p in board.corners), float(solid.width))
    return Panel(id=id_, name=part.name, size=size, boards=(board,), marks=marks)


def _glued(build: Build, placer: Placer, id_: str) -> Panel:
    assembly = build.assembly(id_)
    try:
        placed = placer.placed(id_)
    except PlaceError as wrong:
        raise OutlineError(
            say("where the boards of its panel are isn't said"), key="of",
            hint=say("boards of one sequence, or 'place' of the assembly"),
        ) from wrong  # fmt: skip
    low, high = bounds([point for piece in placed for point in piece.points])
    sizes = [high[axis] - low[axis] for axis in range(3)]
    flat = min(range(3), key=lambda axis: (sizes[axis], -axis))
    right, back = (axis for axis in range(3) if axis != flat)
    thickest = max(_thick(piece.points, flat) for piece in placed)
    if sizes[flat] > STACKED * thickest:
        raise OutlineError(say("it isn't flat: its pieces lie one above another"), key="of")
    many = len({piece.part for piece in placed})

    def on_panel(p: Vector) -> Point:
        return (p[right] - low[right], p[back] - low[back])

    boards: list[Board] = []
    marks: list[Mark] = []
    for number, piece in enumerate(placed, 1):
        part = piece.shape.part
        way = piece.pose.turned((0.0, 1.0, 0.0) if part.grain == "across" else (1.0, 0.0, 0.0))
        corners = convex.hull(on_panel(point) for point in piece.points)
        name = part.name if many == len(placed) else f"{part.name} {piece.number if many > 1 else number}"
        grain = degrees(atan2(way[back], way[right])) % 180.0
        boards.append(Board(key=piece.key, name=name, corners=corners, grain=grain))
        marks.extend(_mark(hole, on_panel(piece.pose.of(hole.enters))) for hole in in_faces(piece.shape.solid))
    return Panel(
        id=id_, name=assembly.name, size=(sizes[right], sizes[back]), boards=tuple(boards),
        seams=tuple(_seams(boards)), marks=tuple(marks),
    )  # fmt: skip


def _thick(points: Sequence[Vector], axis: int) -> float:
    return max(p[axis] for p in points) - min(p[axis] for p in points)


def _shifted(corners: Sequence[Point], by: Point) -> tuple[Point, ...]:
    return tuple((x + by[0], y + by[1]) for x, y in corners)


def in_faces(solid: Solid) -> Iterator[HoleShape]:
    """The holes bored into the top or the bottom face."""
    return (hole for hole in solid.holes if hole.face in ("top", "bottom"))


def _mark(hole: HoleShape, at: Point) -> Mark:
    return Mark(at, None if hole.diameter is None else float(hole.diameter), say("{kind} hole", kind=hole.kind))


def faces(solid: Solid) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """The top and the bottom face of a piece without its tapers, the leftmost point at x = 0."""
    top, bottom = solid.section(float(solid.thickness)), solid.section(0.0)
    low = min(p[0] for p in (*top, *bottom))
    return _shifted(top, (-low, 0.0)), _shifted(bottom, (-low, 0.0))


def _seams(boards: Sequence[Board]) -> Iterator[tuple[Point, Point]]:
    """Where an edge of one board touches an edge of another that runs the other way."""
    for one, other in combinations(boards, 2):
        for at, end in enumerate(one.corners):
            start = one.corners[at - 1]
            length = dist(start, end)
            along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
            for place, q in enumerate(other.corners):
                shared = _shared(start, along, length, other.corners[place - 1], q)
                if shared is not None:
                    yield shared


def _shared(start: Point, along: Point, length: float, p: Point, q: Point) -> tuple[Point, Point] | None:
    """The part of an edge shared with the edge from p to q."""
    if (q[0] - p[0]) * along[0] + (q[1] - p[1]) * along[1] > -0.99 * hypot(q[0] - p[0], q[1] - p[1]):
        return None
    places = []
    for point in (p, q):
        dx, dy = point[0] - start[0], point[1] - start[1]
        if abs(dx * along[1] - dy * along[0]) > TOUCH:
            return None
        places.append(dx * along[0] + dy * along[1])
    low, high = max(0.0, min(places)), min(length, max(places))
    if high - low < LEAST_SEAM:
        return None
    a, b = ((start[0] + along[0] * t, start[1] + along[1] * t) for t in (low, high))
    return a, b
