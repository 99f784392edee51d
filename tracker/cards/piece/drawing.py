"""The drawing of a piece, ready to be put to scale on a screen or a label.

Millimetres, seen from above as the piece lies: x to the right along the length from the leftmost point of the piece,
y from the near edge (0) to the far edge.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import EndName
from tracker.measure.reading import read_angle
from tracker.plan import convex
from tracker.plan.laps import LapShape
from tracker.plan.shape import ENDS, HoleShape, Solid

Point = tuple[float, float]


class EndNote(Struct, frozen=True, kw_only=True):
    """What stands at one end of the drawing. Words are ready: `15°`; empty when that angle is nought."""

    end: Literal["A", "B"]
    miter: str
    bevel: str
    swing: str
    """Which way, in words, e.g. `far edge longer`; empty for a square end."""
    long_point: Point | None
    """The tip of the top face at this end when the end is mitred."""
    trimmed: bool
    """False while the final cut at this end is still to be made."""
    next: bool = True
    """Whether that is the cut to make now, and not a later one."""

    @property
    def square(self) -> bool:
        return not (self.miter or self.bevel)


class HoleMark(Struct, frozen=True, kw_only=True):
    """A hole: where it enters, and where it leads to (the same point for a hole square to the face)."""

    start: Point
    tip: Point
    hidden: bool
    """True when it is drilled from the bottom face and so can't be seen from above."""
    pocket: bool
    done: bool = True


class Cutaway(Struct, frozen=True, kw_only=True):
    """What a taper or a half-lap takes away, and the lines along which it is cut."""

    waste: tuple[Point, ...]
    lines: tuple[tuple[Point, Point], ...]
    done: bool
    hidden: bool = False
    """True when it is on the bottom face and so can't be seen from above."""


class Stop(Struct, frozen=True, kw_only=True):
    """The distance that is cut to with a stop, from `start` to `end` along the piece, in words: `stop 9 1⁄4″`."""

    start: float
    end: float
    words: str


class Progress(Struct, frozen=True, kw_only=True):
    """What has been done to a piece, as far as it shows on its drawing. A label shows it finished."""

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
    """Edges of the bottom face that can't be seen from above."""
    blank: tuple[Point, ...]
    """The blank around it, a rectangle; empty when the blank is the piece."""
    ends: tuple[EndNote, EndNote]
    """End A (left), then end B (right)."""
    holes: tuple[HoleMark, ...]
    grain: Literal["along", "across"]
    tapers: tuple[Cutaway, ...] = ()
    laps: tuple[Cutaway, ...] = ()
    stop: Stop | None = None
    near_edge: str = "near edge"
    face: str = "top face"


def draw(solid: Solid, *, done: Progress = FINISHED, laps: tuple[LapShape, ...] = (), stop: str = "") -> Drawing:
    """The drawing of one piece as far as it is `done`. `stop` says the distance of the cut to make now."""
    a, b = done.trimmed_a, done.trimmed_b
    blank = _blank(solid, a, b)
    outer = blank or solid.silhouette()
    return Drawing(
        outline=solid.silhouette(),
        top_face=solid.section(float(solid.thickness)),
        hidden=tuple(_hidden(solid)),
        blank=blank,
        ends=(_note(solid, "A", a, done.cut), _note(solid, "B", b, done.cut)),
        holes=tuple(_hole(hole, done.drilled) for hole in solid.holes),
        grain=solid.grain,
        tapers=tuple(_tapers(solid, done.tapered)),
        laps=tuple(_lap(lap, solid, done.lapped) for lap in laps),
        stop=_stop(stop, solid, outer, done.cut) if stop else None,
    )


def _stop(words: str, solid: Solid, blank: tuple[Point, ...], cut: bool) -> Stop:
    """From tip to tip of the piece, or of its blank while that is to be cut."""
    xs = [x for x, _ in (solid.silhouette() if cut else blank)]
    return Stop(start=min(xs), end=max(xs), words=words)


def _tapers(solid: Solid, done: bool) -> Iterator[Cutaway]:
    """What each taper takes off the piece as its ends were cut."""
    whole = replace(solid, tapers=()).silhouette()
    width = float(solid.width)
    for taper in solid.tapers:
        if taper.length.mm <= 0:
            continue
        far = taper.edge == "far"
        start = (float(taper.start_x), width if far else 0.0)
        tip = (float(taper.end_x), width - float(taper.depth) if far else float(taper.depth))
        forward = (taper.end == "B") != far
        waste = convex.left_of(whole, tip, start) if forward else convex.left_of(whole, start, tip)
        yield Cutaway(waste=waste, lines=((start, tip),), done=done)


def _lap(lap: LapShape, solid: Solid, done: bool) -> Cutaway:
    width = float(solid.width)
    (near, far), (near_2, far_2) = lap.shoulders
    lines = (((near, 0.0), (far, width)), ((near_2, 0.0), (far_2, width)))
    corners = (lines[0][0], lines[1][0], lines[1][1], lines[0][1])
    ordered = corners if near < near_2 else corners[::-1]
    return Cutaway(waste=ordered, lines=lines, done=done, hidden=lap.face == "bottom")


def _hidden(solid: Solid) -> Iterator[tuple[Point, Point]]:
    """The bottom face's end lines that lie under the top face: at ends whose top face is the longer."""
    bottom = solid.section(0.0)
    for end in ENDS:
        cut = solid.end(end)
        if not cut.bevel or cut.long_face != "top":
            continue
        line = [point for point in bottom if _on_end(solid, end, point)]
        if len(line) >= 2:
            low, high = min(line, key=lambda point: point[1]), max(line, key=lambda point: point[1])
            yield low, high


def _on_end(solid: Solid, end: EndName, point: Point) -> bool:
    return abs(point[0] - solid.reach(end, point[1], 0.0)) < 1e-6


def _blank(solid: Solid, trimmed_a: bool, trimmed_b: bool) -> tuple[Point, ...]:
    """The blank's rectangle; the allowance is drawn half at each end that is still to be trimmed."""
    if not solid.needs_trim() or (trimmed_a and trimmed_b):
        return ()
    spare = float(solid.allowance) / 2
    left = 0.0 if trimmed_a else -spare
    right = float(solid.edges.overall) + (0.0 if trimmed_b else spare)
    width = float(solid.width)
    return ((left, 0.0), (right, 0.0), (right, width), (left, width))


def _note(solid: Solid, end: EndName, trimmed: bool, is_cut: bool) -> EndNote:
    cut = solid.end(end)
    miter, bevel = _degrees(cut.miter), _degrees(cut.bevel)
    longer = [f"{cut.long} edge" if miter else "", f"{cut.long_face} face" if bevel else ""]
    said = " and ".join(word for word in longer if word)
    return EndNote(
        end=end,
        miter=miter,
        bevel=bevel,
        swing=f"{said} longer" if said else "",
        long_point=_long_point(solid, end) if miter else None,
        trimmed=trimmed,
        next=is_cut or not solid.needs_trim(),
    )


def _degrees(angle: float) -> str:
    """`15°`; empty when a scale can't tell the angle from nought."""
    text = read_angle(angle)
    return "" if text == "0" else f"{text}°"


def _long_point(solid: Solid, end: EndName) -> Point | None:
    face = solid.section(float(solid.thickness))
    if not face:
        return None
    return min(face) if end == "A" else max(face)


def _hole(hole: HoleShape, done: bool) -> HoleMark:
    return HoleMark(
        start=hole.enters[:2],
        tip=hole.leaves[:2],
        hidden=hole.face == "bottom",
        pocket=hole.kind == "pocket",
        done=done,
    )
