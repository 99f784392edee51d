"""An outline on its panel: its position, whether it fits, and what it leaves of each board."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.design.model import Build
from tracker.design.outline import Outline
from tracker.plan import convex
from tracker.plan.convex import Point
from tracker.plan.outline.crossings import CHORD as CROSSING_CHORD
from tracker.plan.outline.crossings import crossings
from tracker.plan.outline.curve import Loop, Move, anticlockwise, backwards, extent, flat, inside, moments, shift
from tracker.plan.outline.errors import OutlineError
from tracker.plan.outline.figures import cutout_loops, loops_of
from tracker.plan.outline.mirroring import Whole
from tracker.plan.outline.panel import Mark, Panel, panel_of
from tracker.plan.place.placer import Placer
from tracker.plan.trig import cosine, sine
from tracker.words import say

CHORD = 0.02
"""Millimetres: the error of the chords from which board areas are computed."""
GAP = 0.01
LEAST_AREA = 1.0
MOST_CHORDS = 10_000
"""The most cutouts compared. A seat has a hundred; comparing more would take seconds."""


class Outlined(Struct, frozen=True, kw_only=True):
    """An outline on its panel. Wood is on the left of every loop. Loops are in the outline's own coordinates; `place`
    moves them to the panel's.

    `hidden` is the other face of a piece whose edges are sawn at an angle, drawn dashed. `ends` are places on the wood
    near the ends A and B of a piece; an outline of a panel has none.
    """

    id: str
    name: str
    panel: Panel
    outer: Loop
    cutouts: tuple[Loop, ...] = ()
    place: Move = Move()
    margin: float = 0.0
    hidden: tuple[Point, ...] = ()
    ends: tuple[Point, ...] = ()

    @property
    def loops(self) -> tuple[Loop, ...]:
        return (self.outer, *self.cutouts)

    def own(self, point: Point) -> Point:
        """A point of the panel in the outline's own coordinates."""
        return (point[0] - self.place.e, point[1] - self.place.f)

    def on_panel(self, point: Point) -> Point:
        return self.place.of(point)

    @property
    def seams(self) -> tuple[tuple[Point, Point], ...]:
        return tuple((self.own(a), self.own(b)) for a, b in self.panel.seams)

    @property
    def marks(self) -> tuple[Mark, ...]:
        return tuple(Mark(self.own(each.at), each.diameter, each.words) for each in self.panel.marks)

    def grain_at(self, point: Point) -> float:
        return self.panel.grain_at(self.place.of(point))


class Fit(Struct, frozen=True):
    """`least`: what is left on `side` between the outline and the panel's edge, less the margin; negative where it runs
    off. `off_wood`: the area in square millimetres that lies on no board."""

    least: float
    side: str
    off_wood: float

    @property
    def fits(self) -> bool:
        return self.least >= -GAP and not self.off_wood


class Kept(Struct, frozen=True):
    """What remains of a board: its area, and its greatest width square to its grain."""

    name: str
    area: float
    widest: float


def outlined(build: Build, placer: Placer, outline: Outline) -> Outlined:
    """An outline on its panel. Raises OutlineError for one that can't be sawn."""
    panel = panel_of(build, placer, outline.of)
    kind = next(iter(key for key in ("corners", "path", "svg", "circle", "oval", "slot") if key in outline.lines), "")
    outer, *drawn = loops_of(outline.figure, kind)
    cut = [loop for at, each in enumerate(outline.cutouts) for loop in cutout_loops(each, f"cutouts.{at}")]
    whole = Whole(outer, [*drawn, *cut], outline.mirror)
    _sound(whole.outer, whole.cutouts, kind)
    if abs(moments(whole.outer)[0]) < LEAST_AREA:
        raise OutlineError(say("it encloses nothing"), key=kind)
    outer = anticlockwise(whole.outer)
    cutouts = tuple(backwards(anticlockwise(loop)) for loop in whole.cutouts)
    return Outlined(
        id=outline.id, name=outline.id, panel=panel, outer=outer, cutouts=cutouts,
        place=_place(outline, outer, panel), margin=float(outline.margin),
    )  # fmt: skip


def _place(outline: Outline, outer: Loop, panel: Panel) -> Move:
    """The move that puts its sides where `at` says on the panel, and otherwise in the middle."""
    at = {side: float(length) for side, length in outline.at}
    box = extent(outer)
    moves = []
    for axis, (low, high) in enumerate((("left", "right"), ("front", "back"))):
        if low in at:
            moves.append(at[low] - box[axis])
        elif high in at:
            moves.append(panel.size[axis] - at[high] - box[axis + 2])
        else:
            moves.append((panel.size[axis] - box[axis] - box[axis + 2]) / 2)
    return shift(moves[0], moves[1])


def _sound(outer: Loop, cutouts: Sequence[Loop], key: str) -> None:
    """Check that nothing crosses, that every cutout is inside, and that none is in another. Raises OutlineError."""
    if sum(segment.steps(CROSSING_CHORD) for loop in (outer, *cutouts) for segment in loop) > MOST_CHORDS:
        raise OutlineError(say("it is too large or too intricate"), key=key, hint=say("is its unit right?"))
    for each in crossings((outer, *cutouts), most=1):
        if each.second == 0:
            raise OutlineError(say("it crosses itself at {}, {}"), *each.at, key=key)
        if each.first == each.second:
            raise OutlineError(
                say("cutout {second} crosses itself at {{}}, {{}}", second=each.second), *each.at, key="cutouts"
            )
        if each.first == 0:
            raise OutlineError(
                say("cutout {second} runs over the edge at {{}}, {{}}", second=each.second), *each.at, key="cutouts"
            )
        raise OutlineError(
            say("cutouts {first} and {second} overlap at {{}}, {{}}", first=each.first, second=each.second),
            *each.at,
            key="cutouts",
        )
    polygons = [flat(loop, 0.1) for loop in (outer, *cutouts)]
    for number, loop in enumerate(cutouts, 1):
        if not inside(polygons[0], loop[0].start):
            raise OutlineError(say("cutout {number} is outside the outline", number=number), key="cutouts")
        other = next((at for at in range(1, len(polygons)) if at != number and inside(polygons[at], loop[0].start)), 0)
        if other:
            raise OutlineError(
                say("cutout {number} is inside cutout {other}", number=number, other=other), key="cutouts"
            )


def fit(each: Outlined) -> Fit:
    """Whether the outline lies on its panel with its margin, and on wood everywhere."""
    left, front, right, back = extent(each.place.loop(each.outer))
    wide, deep = each.panel.size
    rooms = (("back", deep - back), ("front", front), ("left", left), ("right", wide - right))
    side, least = min(rooms, key=lambda room: round(room[1], 6))  # of two that are equal the first
    outer = flat(each.place.loop(each.outer), CHORD)
    whole = convex.area(outer)
    on_wood = sum(convex.area(_clipped(outer, board.corners)) for board in each.panel.boards)
    off = whole - on_wood
    return Fit(least - each.margin, side, off if least >= 0 and off > max(LEAST_AREA, 1e-4 * whole) else 0.0)


def boards(each: Outlined) -> tuple[Kept, ...]:
    """What remains of each board of the panel."""
    loops = [flat(each.place.loop(loop), CHORD) for loop in each.loops]
    found = []
    for board in each.panel.boards:
        parts = [_clipped(loop, board.corners) for loop in loops]
        across = _across(board.grain)
        places = [p[0] * across[0] + p[1] * across[1] for p in parts[0]]
        widest = max(places) - min(places) if places else 0.0
        found.append(Kept(board.name, max(0.0, sum(map(convex.area, parts))), widest))
    return tuple(found)


def _across(grain: float) -> Point:
    return (-sine(grain), cosine(grain))


def _clipped(points: Sequence[Point], board: Sequence[Point]) -> Sequence[Point]:
    """The part of a polygon on a board; areas are right for every shape (Sutherland and Hodgman, 1974)."""
    for at, end in enumerate(board):
        if not points:
            break
        points = convex.left_of(points, board[at - 1], end)
    return points
