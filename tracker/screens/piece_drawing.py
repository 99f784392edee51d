"""The piece as it lies on the saw, seen from above: the best thing on the card.

Wood where there will be wood, paler where there is still waste; grain the way it runs; a bevelled end's slope as a
darker strip; the cut that is still to be made as a dashed line in the accent, a cut that is made as a firm edge. Each
end's angles stand above that end; at a mitre the drawing shows which way to swing from square, and where the long
point is. A long thin piece is broken, never squeezed, so that every angle on the glass is true.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Mesh, SmoothEllipse, SmoothLine, SmoothTriangle
from kivy.graphics.tesselator import Tesselator
from kivy.properties import ListProperty, ObjectProperty
from kivy.uix.widget import Widget

from tracker.cards.drawing import Drawing, EndNote, HoleMark, Point
from tracker.screens.marks import draw_shape
from tracker.screens.palette import rgba
from tracker.screens.piece_layout import Layout, Section, clip, end_chain, grain_lines, lay_out, swing
from tracker.screens.piece_words import FINE, AngleSaid, Head, angles_of
from tracker.screens.theme import Themed
from tracker.screens.typeset import DrawnText, Line

LEAST_BREADTH = 17.0
"""How wide a long thin piece is drawn, at least, where there is room (mm of glass)."""
BREAK = 3.4


class PieceDrawing(Themed, Widget):
    """drawing: a tracker.cards.drawing.Drawing, or None.

    said       what stands at end A and end B instead of the drawing's own angles, where the saw's scale reads otherwise
               than the wood: two sequences of AngleSaid(angle, scale, way), e.g. [[("15°", "mitre", "left")], ...]
    truncated  True when the words at an end had no room
    """

    drawing = ObjectProperty(None, allownone=True)
    said = ListProperty([])

    def __init__(self, **kwargs: Any) -> None:
        self.drawn_text: list[DrawnText] = []
        self.truncated = False
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "drawing", "said", "palette", "mm"):
            self.fbind(name, self._redraw)

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        self.drawn_text = []
        self.truncated = False
        if self.drawing is None or self.width < 40 * self.mm or self.height < 20 * self.mm:
            return
        with self.canvas:
            _Sheet(self).draw()

    def say(self, line: Line, x: float, baseline: float, colour_name: str) -> None:
        """Put a line into the open canvas and list it for those who check what is drawn."""
        colour = self.palette.colour(colour_name)
        Color(*colour)
        line.put(x, baseline)
        self.drawn_text.append(line.drawn(x, baseline, colour))


class _Sheet:
    """One drawing, at one size, in one palette; made and thrown away with every change."""

    def __init__(self, widget: PieceDrawing) -> None:
        self.widget, self.mm, self.palette = widget, widget.mm, widget.palette
        self.drawing: Drawing = widget.drawing
        said = widget.said if len(widget.said) == 2 else [angles_of(note) for note in self.drawing.ends]
        self.said: list[Sequence[AngleSaid]] = list(said)

    def _arranged(self, beside: bool) -> tuple[list[Head], Layout]:
        """The words beside the piece or above it, and the piece in the room that they leave."""
        box, mm = self.widget, self.mm
        heads = [
            Head(note, angles, mm, beside=beside, room=box.width * 0.49)
            for note, angles in zip(self.drawing.ends, self.said, strict=True)
        ]
        foot = (FINE + 3.6) * mm
        top = (FINE + 2.6) * mm if any(self._far(note) for note in self.drawing.ends) else 2.0 * mm
        left = right = 2 * mm
        if beside:
            left, right = (head.width + 4 * mm for head in heads)
        else:
            top += max(head.height for head in heads)
        width, height = max(10 * mm, box.width - left - right), max(6 * mm, box.height - foot - top)
        room = (box.x + left, box.y + foot, width, height)
        return heads, lay_out(self.drawing, *room, LEAST_BREADTH * mm, BREAK * mm)

    def draw(self) -> None:
        box = self.widget
        above, beside = self._arranged(False), self._arranged(True)
        fits = max(head.height for head in beside[0]) <= box.height
        self.beside = fits and beside[1].worth > above[1].worth
        self.heads, layout = beside if self.beside else above
        for at, section in enumerate(layout.sections):
            self._section(layout, section)
            if at:
                self._break(layout, section)
        for hole in self.drawing.holes:
            self._hole(layout, hole)
        for side, note in enumerate(self.drawing.ends):
            self._end(layout, side, note)
            self._put_head(side, note)
        self._foot(layout)
        for note in self.drawing.ends:
            self._long_point(layout, note)
        limit = box.width if self.beside else box.width / 2
        box.truncated = any(head.width > limit for head in self.heads)

    # The wood

    def _section(self, layout: Layout, section: Section) -> None:
        def placed(polygon: Sequence[Point]) -> list[Point]:
            return [layout.place(point, section) for point in clip(polygon, section.start, section.end)]

        blank, outline, face = placed(self.drawing.blank), placed(self.drawing.outline), placed(self.drawing.top_face)
        if blank:
            _fill(blank, rgba(self.palette.waste))
            self._edges(placed(self.drawing.blank), layout, section, "edge", 0.25, dashed=True)
        drop = 0.7 * self.mm
        _fill([(x + drop * 0.6, y - drop) for x, y in outline], (0, 0, 0, 0.16))
        _fill(outline, rgba(self.palette.bevel if face else self.palette.wood))
        _fill(face, rgba(self.palette.wood))
        Color(*rgba(self.palette.grain))
        grain = face or outline
        for at, line in enumerate(
            grain_lines(grain, self.drawing.grain == "along", 2.3 * self.mm, 0.32 * self.mm, 1.0 * self.mm)
        ):
            SmoothLine(points=_flat(line), width=(0.11 + 0.07 * (at % 3)) * self.mm)
        if face != outline:
            self._edges(face, layout, section, "bark", 0.16)
        for start, end in self.drawing.hidden:
            if max(start[0], end[0]) >= section.start and min(start[0], end[0]) <= section.end:
                self._dashes([layout.place(start, section), layout.place(end, section)], "bark", 0.16)
        self._edges(outline, layout, section, "bark", 0.28)

    def _edges(
        self, polygon: list[Point], layout: Layout, section: Section, colour: str, width: float, *, dashed: bool = False
    ) -> None:
        """The outline of a polygon, but for where the piece is broken away."""
        torn = [
            layout.place((x, 0.0), section)[0]
            for x, first in ((section.start, 0), (section.end, -1))
            if section is not layout.sections[first]
        ]
        for one, two in zip(polygon, polygon[1:] + polygon[:1], strict=True):
            if any(abs(one[0] - x) < 0.5 and abs(two[0] - x) < 0.5 for x in torn):
                continue
            if dashed:
                self._dashes([one, two], colour, width)
            else:
                Color(*self.palette.colour(colour))
                SmoothLine(points=[*one, *two], width=width * self.mm, cap="round")

    def _dashes(self, line: Sequence[Point], colour: str, width: float, dash: float = 1.8) -> None:
        Color(*self.palette.colour(colour))
        for one, two in zip(line, line[1:], strict=False):
            long = hypot(two[0] - one[0], two[1] - one[1])
            count = max(1, round(long / (dash * 1.6 * self.mm)))
            for step in range(count):
                first, last = step / count, (step + 0.62) / count
                ends = [value for share in (first, last) for value in _between(one, two, share)]
                SmoothLine(points=ends, width=width * self.mm)

    def _break(self, layout: Layout, section: Section) -> None:
        """Two wavering lines where a plain stretch is left out."""
        _, low = layout.place((section.start, min(y for _, y in self.drawing.outline)), section)
        _, high = layout.place((section.start, max(y for _, y in self.drawing.outline)), section)
        Color(*rgba(self.palette.bark))
        over = 1.6 * self.mm
        for x in (section.left - BREAK * self.mm, section.left):
            points = []
            for step in range(25):
                share = step / 24
                points += [x + 0.7 * self.mm * sin(share * 6.283), low - over + (high - low + 2 * over) * share]
            SmoothLine(points=points, width=0.17 * self.mm)

    def _hole(self, layout: Layout, hole: HoleMark) -> None:
        section = min(
            layout.sections,
            key=lambda each: max(each.start - hole.start[0], hole.start[0] - each.end, 0.0),
        )
        start, tip = layout.place(hole.start, section), layout.place(hole.tip, section)
        radius = max(1.1 * self.mm, 4.0 * layout.scale)
        long = hypot(tip[0] - start[0], tip[1] - start[1])
        if hole.pocket and long > radius:
            body = _between(start, tip, min(1.0, 0.55))
            if hole.hidden:
                self._dashes(_capsule(start, body, radius * 0.8), "bark", 0.16, dash=1.1)
            else:
                _fill(_capsule(start, body, radius * 0.8), rgba(self.palette.bark))
                Color(*rgba(self.palette.bark))
                SmoothLine(points=_flat(_capsule(start, body, radius * 0.8)), width=0.1 * self.mm)
            self._dashes([body, tip], "bark", 0.16, dash=1.1)
            return
        if hole.hidden:
            self._dashes(_circle(start, radius), "bark", 0.16, dash=1.1)
            return
        Color(*rgba(self.palette.bark))
        SmoothEllipse(pos=(start[0] - radius, start[1] - radius), size=(2 * radius, 2 * radius))

    # The ends

    def _end(self, layout: Layout, side: int, note: EndNote) -> None:
        section = layout.sections[0 if side == 0 else -1]
        swung = swing(self.drawing, note)
        if swung is not None:
            self._swing(*(layout.place(point, section) for point in swung))
        chain = [
            layout.place(point, section) for point in end_chain(self.drawing.top_face or self.drawing.outline, side)
        ]
        if len(chain) < 2:
            return
        if note.trimmed:
            Color(*rgba(self.palette.bark))
            SmoothLine(points=_flat(chain), width=0.5 * self.mm, cap="round", joint="round")
            return
        over = 3.0 * self.mm  # the line of the cut runs out over the edges, as it is drawn on wood
        first, last = _beyond(chain[1], chain[0], over), _beyond(chain[-2], chain[-1], over)
        self._dashes([first, *chain[1:-1], last], "accent", 0.42, dash=2.4)

    def _swing(self, long: Point, square: Point, short: Point) -> None:
        """From square to the mitre: the wedge, its square side dashed, and an arc with a head."""
        Color(*rgba(self.palette.accent, 0.26))
        SmoothTriangle(points=[*long, *square, *short])
        self._dashes([_beyond(short, square, 0.0), long], "accent", 0.18, dash=1.2)
        reach = 0.72 * abs(square[1] - long[1])
        start = atan2(square[1] - long[1], square[0] - long[0])
        end = atan2(short[1] - long[1], short[0] - long[0])
        turn = (degrees(end - start) + 180) % 360 - 180
        steps = max(3, int(abs(turn) / 2))
        arc = [
            (long[0] + reach * cos(a), long[1] + reach * sin(a))
            for a in (start + radians(turn) * step / steps for step in range(steps + 1))
        ]
        Color(*rgba(self.palette.accent))
        SmoothLine(points=_flat(arc), width=0.24 * self.mm)
        if reach * radians(abs(turn)) > 2.4 * self.mm:
            way = end + radians(90 if turn > 0 else -90)
            tip, size = arc[-1], 1.7 * self.mm
            back = (tip[0] - size * cos(way), tip[1] - size * sin(way))
            side = (0.42 * size * -sin(way), 0.42 * size * cos(way))
            SmoothTriangle(points=[*tip, back[0] + side[0], back[1] + side[1], back[0] - side[0], back[1] - side[1]])

    def _put_head(self, side: int, note: EndNote) -> None:
        box, head = self.widget, self.heads[side]
        top = box.top
        if self.beside:
            top = min(box.top, box.center_y + head.height / 2 + 1.0 * self.mm)
        outer = box.x if side == 0 else box.right
        mark = outer if side == 0 else outer - head.mark
        draw_shape("done" if note.trimmed else "ready", mark, top - head.mark, head.mark, self.palette)
        for placed in head.lines:
            self.widget.say(placed.line, head.left_of(placed, outer), top - placed.y, "soft" if placed.soft else "ink")

    # Words below and beside

    def _far(self, note: EndNote) -> bool:
        """Whether the end's long point is at the far edge."""
        if note.long_point is None:
            return False
        ys = [y for _, y in self.drawing.outline]
        return note.long_point[1] > (min(ys) + max(ys)) / 2

    def _long_point(self, layout: Layout, note: EndNote) -> None:
        if note.long_point is None:
            return
        section = layout.sections[0 if note.end == "A" else -1]
        x, y = layout.place(note.long_point, section)
        up = 1 if self._far(note) else -1
        size = 1.5 * self.mm
        Color(*rgba(self.palette.accent))
        foot = y + up * 0.9 * self.mm
        SmoothTriangle(points=[x, foot, x - size * 0.7, foot + up * size * 1.3, x + size * 0.7, foot + up * size * 1.3])
        line = Line("long point", FINE, self.mm)
        left = x + size * 1.3 if note.end == "A" else x - size * 1.3 - line.width
        baseline = y + 1.2 * self.mm if up > 0 else y - (FINE + 1.2) * self.mm
        if not self._taken(left, baseline, line):
            self.widget.say(line, left, baseline, "ink")

    def _foot(self, layout: Layout) -> None:
        """Which edge is nearest, which face is up, and that something was left out; what has no room is dropped last."""
        box = self.widget
        low = layout.place((0.0, min(y for _, y in (*self.drawing.outline, *self.drawing.blank))), layout.sections[0])[
            1
        ]
        baseline = max(box.y + 0.9 * self.mm, low - (FINE + 2.2) * self.mm)
        first, last = layout.sections[0], layout.sections[-1]
        middle = (first.left + last.left + (last.end - last.start) * layout.scale) / 2
        words = [self.drawing.near_edge, f"{self.drawing.face} up", "middle left out" if layout.broken else ""]
        for count in (3, 2, 1):
            line = Line("  ·  ".join(word for word in words[:count] if word), FINE, self.mm)
            left = min(max(middle - line.width / 2, box.x), box.right - line.width)
            if line.width <= box.width and not self._taken(left, baseline, line):
                self.widget.say(line, left, baseline, "soft")
                return

    def _taken(self, left: float, baseline: float, line: Line) -> bool:
        here = (left - self.mm, baseline - self.mm, line.width + 2 * self.mm, line.height + 2 * self.mm)
        return any(_meet(here, box) for _, box, _, _ in self.widget.drawn_text)


def _fill(polygon: Sequence[Point], colour: tuple[float, ...]) -> None:
    if len(polygon) < 3:
        return
    shape = Tesselator()
    shape.add_contour(_flat(polygon))
    if not shape.tesselate():
        return
    Color(*colour)
    for vertices, indices in shape.meshes:
        Mesh(vertices=vertices, indices=indices, mode="triangle_fan")


def _flat(points: Sequence[Point]) -> list[float]:
    return [value for point in points for value in point]


def _between(one: Point, two: Point, share: float) -> Point:
    return one[0] + (two[0] - one[0]) * share, one[1] + (two[1] - one[1]) * share


def _beyond(one: Point, two: Point, over: float) -> Point:
    """The point that lies `over` past `two`, coming from `one`."""
    long = hypot(two[0] - one[0], two[1] - one[1]) or 1.0
    return two[0] + (two[0] - one[0]) / long * over, two[1] + (two[1] - one[1]) / long * over


def _circle(middle: Point, radius: float, start: float = 0.0, turn: float = 360.0) -> list[Point]:
    steps = [radians(start + turn * step / 16) for step in range(17)]
    return [(middle[0] + radius * cos(a), middle[1] + radius * sin(a)) for a in steps]


def _capsule(one: Point, two: Point, radius: float) -> list[Point]:
    """The outline of a slot."""
    way = degrees(atan2(two[1] - one[1], two[0] - one[0]))
    around = [*_circle(two, radius, way - 90, 180), *_circle(one, radius, way + 90, 180)]
    return [*around, around[0]]


def _meet(one: tuple[float, ...], two: tuple[float, ...]) -> bool:
    return (
        one[0] < two[0] + two[2] and two[0] < one[0] + one[2] and one[1] < two[1] + two[3] and two[1] < one[1] + one[3]
    )
