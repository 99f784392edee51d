"""The wood of a piece's drawing: what stays and what comes off, its grain, its edges, its holes, its cuts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import atan2, degrees, hypot, pi, radians, sin

from kivy.graphics import Color, SmoothLine

from tracker.cards.piece.drawing import Cutaway, Drawing, EndNote, HoleMark, Point
from tracker.cards.piece.interrupted_view import clip
from tracker.screens.drawing.canvas import arc, between, beyond, capsule, dashes, fill, flat, hatched, stroke
from tracker.screens.drawing.piece_layout import Layout, Section, end_chain, grain_lines, hatch, swing, within
from tracker.screens.toolkit.palette import Colour, Palette, rgba

BREAK = 3.4
"""Width of a break (mm on the screen)."""


class Wood:
    """Draws on the open canvas; `mm` is points per millimetre of the screen."""

    def __init__(self, drawing: Drawing, layout: Layout, palette: Palette, mm: float) -> None:
        self.drawing, self.layout, self.palette, self.mm = drawing, layout, palette, mm
        self.coming = tuple(_coming(drawing))

    def put(self) -> None:
        for at, section in enumerate(self.layout.sections):
            self._section(section)
            for cutaway in (*self.drawing.tapers, *self.drawing.laps):
                self._cutaway(cutaway, section)
            if at:
                self._break(section)
        for hole in self.drawing.holes:
            self._hole(hole)
        for note in self.drawing.ends:
            self._end(note)

    def _colour(self, name: str) -> Colour:
        return self.palette.colour(name)

    def _section(self, section: Section) -> None:
        def clipped(polygon: Sequence[Point]) -> list[Point]:
            return clip(polygon, section.start, section.end)

        def placed(polygon: Sequence[Point]) -> list[Point]:
            return [self.layout.place(point, section) for point in polygon]

        outline, face = clipped(self.drawing.outline), clipped(self.drawing.top_face)
        for waste in (self.drawing.blank, *(taper.waste for taper in self.drawing.tapers if not taper.done)):
            off = clipped(waste)
            hatched(placed(off), hatch(placed(off), 2.4 * self.mm), self.palette, self.mm)
            self._edges(off, section, "hatch", 0.5, dashed=True)
        fill([(x, y - 0.7 * self.mm) for x, y in placed(outline)], (0, 0, 0, 0.16))
        fill(placed(outline), self._colour("bevel" if face else "wood"))
        fill(placed(face), self._colour("wood"))
        self._grain(placed(face or outline))
        if face != outline:
            self._edges(face, section, "bark", 0.32)
        for start, end in self.drawing.hidden:
            if max(start[0], end[0]) >= section.start and min(start[0], end[0]) <= section.end:
                line = [self.layout.place(start, section), self.layout.place(end, section)]
                dashes(line, self._colour("wood_ink"), 0.32 * self.mm, 1.8 * self.mm)
        self._edges(outline, section, "bark", 0.56)

    def _cutaway(self, cutaway: Cutaway, section: Section) -> None:
        """A taper or a half-lap: when done, its lines are firm and a lap's floor is darker; before that, they are
        dashed."""
        if not any(section.start <= x <= section.end for x, _ in cutaway.waste):
            return
        if cutaway in self.drawing.laps and not cutaway.hidden:
            floor = [self.layout.place(point, section) for point in clip(cutaway.waste, section.start, section.end)]
            fill(floor, self._colour("bevel") if cutaway.done else rgba(self.palette.accent, 0.2))
        for one, two in cutaway.lines:
            line = [self.layout.place(point, section) for point in within(one, two, section.start, section.end)]
            if len(line) < 2 or (cutaway.done and cutaway in self.drawing.tapers):
                continue  # a finished taper is an edge like the others
            if cutaway.done:
                stroke(line, self._colour("bark"), (0.32 if cutaway.hidden else 0.6) * self.mm)
            else:
                self._to_cut(line, 0.84)

    def _to_cut(self, line: Sequence[Point], width: float) -> None:
        """A line to cut to, on its own ground, because it lies between wood and waste."""
        stroke(line, self._colour("kerf"), (width + 1.0) * self.mm)
        dashes(line, self._colour("accent"), width * self.mm, 2.4 * self.mm)

    def _grain(self, polygon: list[Point]) -> None:
        Color(*self._colour("grain"))
        lines = grain_lines(polygon, self.drawing.grain == "along", 2.3 * self.mm, 0.32 * self.mm, 1.0 * self.mm)
        for at, line in enumerate(lines):
            SmoothLine(points=flat(line), width=(0.11 + 0.07 * (at % 3)) * self.mm)

    def _edges(
        self, polygon: Sequence[Point], section: Section, colour: str, width: float, *, dashed: bool = False
    ) -> None:
        """The outline of a polygon of the wood, except where the piece is broken or a cut is still to come."""
        whole = (self.layout.sections[0].start, self.layout.sections[-1].end)
        torn = [x for x in (section.start, section.end) if x not in whole]
        for one, two in zip(polygon, (*polygon[1:], *polygon[:1]), strict=True):
            if any(abs(one[0] - x) < 1e-6 and abs(two[0] - x) < 1e-6 for x in torn):
                continue
            if any(_along(line, one) and _along(line, two) for line in self.coming):
                continue
            line = [self.layout.place(one, section), self.layout.place(two, section)]
            if dashed:
                dashes(line, self._colour(colour), width * self.mm, 1.8 * self.mm)
            else:
                stroke(line, self._colour(colour), width * self.mm)

    def _break(self, section: Section) -> None:
        """Two wavering lines where a plain stretch is left out."""
        ys = [y for _, y in self.drawing.outline]
        over = 1.6 * self.mm
        low = self.layout.place((section.start, min(ys)), section)[1] - over
        high = self.layout.place((section.start, max(ys)), section)[1] + over
        for x in (section.left - BREAK * self.mm, section.left):
            shares = [step / 24 for step in range(25)]
            line = [(x + 0.7 * self.mm * sin(2 * pi * share), low + (high - low) * share) for share in shares]
            stroke(line, self._colour("bark"), 0.34 * self.mm)

    def _hole(self, hole: HoleMark) -> None:
        """Drilled: dark, and only an outline when it is on the lower face. To be drilled: dashed, in the accent
        colour."""
        section = self.layout.holding(hole.start)
        start, tip = self.layout.place(hole.start, section), self.layout.place(hole.tip, section)
        radius = max(1.1 * self.mm, 4.0 * self.layout.scale)
        colour, thin, dash = self._colour("wood_ink" if hole.done else "accent"), 0.36 * self.mm, 1.1 * self.mm
        shape = arc(start, radius)
        if hole.pocket and hypot(tip[0] - start[0], tip[1] - start[1]) > radius:
            body = between(start, tip, 0.55)
            shape = capsule(start, body, radius * 0.8)
            dashes([body, tip], colour, thin, dash)
        if not hole.done:
            dashes(shape, colour, 1.5 * thin, dash)
            return
        if not hole.hidden:
            fill(shape, colour)
        stroke(shape, colour, thin)

    def _end(self, note: EndNote) -> None:
        """A finished cut is a firm edge; a cut still to be made is a dashed line in the accent colour, extended over
        the edges as it is marked on wood."""
        side = 0 if note.end == "A" else 1
        section = self.layout.sections[-side]
        swung = swing(self.drawing, note)
        if swung is not None and note.next and not note.trimmed:
            self._swing(*(self.layout.place(point, section) for point in swung))
        face = self.drawing.top_face or self.drawing.outline
        chain = [self.layout.place(point, section) for point in end_chain(face, side)]
        if len(chain) < 2:
            return
        if note.trimmed:
            stroke(chain, self._colour("bark"), 1.0 * self.mm)
            return
        over, width = 2.0 * self.mm, 0.84 if note.next else 0.4
        first, last = beyond(chain[1], chain[0], over), beyond(chain[-2], chain[-1], over)
        self._to_cut([first, *chain[1:-1], last], width)
        if not note.next:
            self._blank_end(section, side)

    def _blank_end(self, section: Section, side: int) -> None:
        """The square cut of the blank, while that is the present cut."""
        xs, ys = zip(*self.drawing.blank, strict=True)
        x, over = (max(xs) if side else min(xs)), 2.0 * self.mm / self.layout.scale
        line = [self.layout.place((x, y), section) for y in (min(ys) - over, max(ys) + over)]
        self._to_cut(line, 0.84)

    def _swing(self, long: Point, square: Point, short: Point) -> None:
        """From square to the mitre: the wedge, its square side dashed, and an arc with an arrowhead."""
        accent = self._colour("accent")
        fill([long, square, short], rgba(self.palette.accent, 0.26))
        dashes([square, long], accent, 0.36 * self.mm, 1.2 * self.mm)
        reach = 0.72 * abs(square[1] - long[1])
        start = degrees(atan2(square[1] - long[1], square[0] - long[0]))
        end = degrees(atan2(short[1] - long[1], short[0] - long[0]))
        turn = (end - start + 180) % 360 - 180
        line = arc(long, reach, start, turn)
        stroke(line, accent, 0.48 * self.mm)
        if reach * radians(abs(turn)) > 2.4 * self.mm:
            self._head(line[-1], radians(end + (90 if turn > 0 else -90)), accent)

    def _head(self, tip: Point, way: float, colour: Colour) -> None:
        """An arrowhead that points along `way`."""
        back = arc(tip, 1.7 * self.mm, degrees(way) + 180 - 22, 44)
        fill([tip, back[0], back[-1]], colour)


Segment = tuple[Point, Point]


def _coming(drawing: Drawing) -> Iterator[Segment]:
    """Where edges of the finished piece are still to be cut (mm of wood)."""
    for side, note in enumerate(drawing.ends):
        if not note.trimmed:
            for polygon in (drawing.outline, drawing.top_face):
                yield from pairwise(end_chain(polygon, side))
    for taper in drawing.tapers:
        if not taper.done:
            yield from taper.lines


def _along(line: Segment, point: Point) -> bool:
    """Whether a point is on the line through a segment."""
    (x, y), (x2, y2) = line
    long = hypot(x2 - x, y2 - y)
    return long > 0 and abs((x2 - x) * (point[1] - y) - (y2 - y) * (point[0] - x)) / long < 0.01
