"""The drawing of a piece, to be put to scale on a screen or a label.

Millimetres, seen from above as the piece lies: x to the right along the length from the leftmost point of the piece, y
from the near edge (0) to the far edge. A piece that is drilled from below is drawn turned over about its length: end A
stays at the left, and the far edge is toward the person.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import EndName, FaceName
from tracker.measure import Units
from tracker.measure.tape_reading import read_angle
from tracker.plan import convex
from tracker.plan.laps import LapShape
from tracker.plan.shape import ENDS, HoleShape, Solid
from tracker.words import say
from tracker.words.sides import side
from tracker.words.spelling import spelled

Point = tuple[float, float]


class EndNote(Struct, frozen=True, kw_only=True):
    """The note at one end of the drawing, in finished words: `15°`; empty when that angle is zero."""

    end: Literal["A", "B"]
    miter: str
    bevel: str
    swing: str
    """Which way, in words, e.g. `far edge longer`; empty for a square end."""
    long_point: Point | None
    """The tip of the top face at this end when the end is mitred."""
    trimmed: bool
    """False while the final cut at this end is still to be made."""
    next: bool
    """Whether that is the cut to make now, not a later one."""
    miter_word: str = say("mitre")
    """The word in the spelling of this build's units."""
    upper_longer: bool
    """Whether the upper face in the drawing is the longer one at this end, where it is bevelled."""

    @property
    def square(self) -> bool:
        return not (self.miter or self.bevel)


class HoleMark(Struct, frozen=True, kw_only=True):
    """A hole: where it enters, and where it leads to (the same point for a hole square to the face)."""

    start: Point
    tip: Point
    hidden: bool
    """Whether it is drilled from the face below, and so can't be seen from above."""
    pocket: bool
    done: bool


class Cutaway(Struct, frozen=True, kw_only=True):
    """What a taper or a half-lap removes, and the lines of its cuts."""

    waste: tuple[Point, ...]
    lines: tuple[tuple[Point, Point], ...]
    done: bool
    hidden: bool = False
    """Whether it is on the face below, and so can't be seen from above."""


class Progress(Struct, frozen=True, kw_only=True):
    """What has been done to a piece, as far as its drawing shows it. A label shows it finished."""

    cut: bool = True
    trimmed_a: bool = True
    trimmed_b: bool = True
    tapered: bool = True
    lapped: bool = True
    drilled: bool = True


FINISHED = Progress()


class Drawing(Struct, frozen=True, kw_only=True):
    """A piece from above, to scale."""

    outline: tuple[Point, ...]
    """The silhouette of the finished piece, both faces together, counter-clockwise."""
    top_face: tuple[Point, ...]
    """The upper face, counter-clockwise: what a bevel leaves of it."""
    hidden: tuple[tuple[Point, Point], ...]
    """Edges of the face below that can't be seen from above."""
    blank: tuple[Point, ...]
    """The rectangle of the blank around it; empty when the blank is the piece."""
    ends: tuple[EndNote, EndNote]
    """End A (left), then end B (right)."""
    holes: tuple[HoleMark, ...]
    grain: Literal["along", "across"]
    tapers: tuple[Cutaway, ...] = ()
    laps: tuple[Cutaway, ...] = ()
    near_edge: str = say("near edge")
    face: str = say("top face")


def draw(
    solid: Solid,
    *,
    done: Progress = FINISHED,
    laps: tuple[LapShape, ...] = (),
    up: FaceName = "top",
    units: Units = "mm",
) -> Drawing:
    """The drawing of one piece as far as it is `done`, with the face `up` toward the viewer."""
    a, b = done.trimmed_a, done.trimmed_b
    drawing = Drawing(
        outline=solid.silhouette(),
        top_face=solid.section(_height(solid, up)),
        hidden=tuple(_hidden(solid, up)),
        blank=_blank(solid, a, b),
        ends=(_note(solid, "A", a, done.cut, up, units), _note(solid, "B", b, done.cut, up, units)),
        holes=tuple(_hole(hole, done.drilled, up) for hole in solid.holes),
        grain=solid.grain,
        tapers=tuple(_tapers(solid, done.tapered)),
        laps=tuple(_lap(lap, solid, done.lapped, up) for lap in laps),
        near_edge=say("near edge") if up == "top" else say("far edge here, near edge at the top"),
        face=side(say("{up} face", up=up)),
    )
    return drawing if up == "top" else _turned_over(drawing, float(solid.width))


def _height(solid: Solid, face: FaceName) -> float:
    return float(solid.thickness) if face == "top" else 0.0


def _turned_over(drawing: Drawing, width: float) -> Drawing:
    """Every point mirrored about the centre line; polygons stay counter-clockwise."""

    def over(point: Point) -> Point:
        return point[0], width - point[1]

    def around(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple(over(point) for point in reversed(points))

    def cutaway(each: Cutaway) -> Cutaway:
        lines = tuple((over(one), over(two)) for one, two in each.lines)
        return replace(each, waste=around(each.waste), lines=lines)

    a, b = (replace(note, long_point=note.long_point and over(note.long_point)) for note in drawing.ends)
    return replace(
        drawing,
        outline=around(drawing.outline),
        top_face=around(drawing.top_face),
        hidden=tuple((over(one), over(two)) for one, two in drawing.hidden),
        blank=around(drawing.blank),
        ends=(a, b),
        holes=tuple(replace(hole, start=over(hole.start), tip=over(hole.tip)) for hole in drawing.holes),
        tapers=tuple(cutaway(each) for each in drawing.tapers),
        laps=tuple(cutaway(each) for each in drawing.laps),
    )


def _tapers(solid: Solid, done: bool) -> Iterator[Cutaway]:
    """What each taper removes from the piece with its ends cut."""
    whole = replace(solid, tapers=()).silhouette()
    width = float(solid.width)
    for taper in solid.tapers:
        if not taper.takes_wood:
            continue
        far = taper.edge == "far"
        start = (float(taper.start_x), width if far else 0.0)
        tip = (float(taper.end_x), width - float(taper.depth) if far else float(taper.depth))
        forward = (taper.end == "B") != far
        waste = convex.left_of(whole, tip, start) if forward else convex.left_of(whole, start, tip)
        yield Cutaway(waste=waste, lines=((start, tip),), done=done)


def _lap(lap: LapShape, solid: Solid, done: bool, up: FaceName) -> Cutaway:
    width = float(solid.width)
    (near, far), (near_2, far_2) = lap.shoulders
    lines = (((near, 0.0), (far, width)), ((near_2, 0.0), (far_2, width)))
    corners = (lines[0][0], lines[1][0], lines[1][1], lines[0][1])
    ordered = corners if near < near_2 else corners[::-1]
    return Cutaway(waste=ordered, lines=lines, done=done, hidden=lap.face != up)


def _hidden(solid: Solid, up: FaceName) -> Iterator[tuple[Point, Point]]:
    """The end lines of the lower face that lie under the upper face: at ends where the upper face is longer."""
    z = _height(solid, "bottom" if up == "top" else "top")
    below = solid.section(z)
    for end in ENDS:
        cut = solid.end(end)
        if not cut.bevel or cut.long_face != up:
            continue
        line = [point for point in below if abs(point[0] - solid.reach(end, point[1], z)) < 1e-6]
        if line:
            low, high = min(line, key=lambda point: point[1]), max(line, key=lambda point: point[1])
            yield low, high


def _blank(solid: Solid, trimmed_a: bool, trimmed_b: bool) -> tuple[Point, ...]:
    """The blank's rectangle; half of the allowance is drawn at each end that is still to be trimmed."""
    if not solid.needs_trim() or (trimmed_a and trimmed_b):
        return ()
    spare = float(solid.allowance) / 2
    left = 0.0 if trimmed_a else -spare
    right = float(solid.edges.overall) + (0.0 if trimmed_b else spare)
    width = float(solid.width)
    return ((left, 0.0), (right, 0.0), (right, width), (left, width))


def _note(solid: Solid, end: EndName, trimmed: bool, is_cut: bool, up: FaceName, units: Units) -> EndNote:
    cut = solid.end(end)
    miter, bevel = _degrees(cut.miter), _degrees(cut.bevel)
    longer = [
        say("{long} edge", long=side(cut.long)) if miter else "",
        say("{long_face} face", long_face=side(cut.long_face)) if bevel else "",
    ]
    said = say(" and ").join(word for word in longer if word)
    return EndNote(
        end=end,
        miter=miter,
        bevel=bevel,
        miter_word=spelled(say("mitre"), units),
        swing=say("{edges} longer", edges=said) if said else "",
        long_point=_long_point(solid, end, up) if miter else None,
        trimmed=trimmed,
        next=is_cut or not solid.needs_trim(),
        upper_longer=cut.long_face == up,
    )


def _degrees(angle: float) -> str:
    """`15°`; empty when a scale can't distinguish the angle from zero."""
    text = read_angle(angle)
    return "" if text == "0" else f"{text}°"


def _long_point(solid: Solid, end: EndName, up: FaceName) -> Point | None:
    face = solid.section(_height(solid, up))
    if not face:
        return None
    return min(face) if end == "A" else max(face)


def _hole(hole: HoleShape, done: bool, up: FaceName) -> HoleMark:
    return HoleMark(
        start=hole.enters[:2],
        tip=hole.leaves[:2],
        hidden=hole.face != up,
        pocket=hole.kind == "pocket" or hole.face not in ("top", "bottom"),
        done=done,
    )
