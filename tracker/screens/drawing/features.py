"""The side of a piece that is worked, to scale: what is cut into it, and the numbers that are marked out, large.

One scale in both directions. A long piece is broken where nothing is cut, never squeezed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color
from kivy.properties import ObjectProperty
from kivy.uix.widget import Widget

from tracker.cards.piece.features import Cut, FeatureView, Measure, Point
from tracker.screens.drawing.canvas import arc, arrow, fill, hatched, stroke
from tracker.screens.drawing.piece_layout import clip, grain_lines, hatch, spread
from tracker.screens.toolkit.theme import Themed
from tracker.screens.toolkit.typeset import DrawnText, Line

FINE, NUMBER = 3.5, 4.7
"""Heights of a capital, in mm."""
ROW = 7.4
"""Of a row of measures above the piece."""
MOST_ROWS, MOST_COLUMNS = 3, 2
BREAK = 3.0
LEAST_HIGH = 12.0
"""How high a side is drawn, at least, where there is room."""


class FeatureDrawing(Themed, Widget):
    """view: a tracker.cards.piece.features.FeatureView, or None.

    truncated  True when a measure had no room; the words beside the drawing have them all
    """

    view: FeatureView | None = ObjectProperty(None, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        self.drawn_text: list[DrawnText] = []
        self.truncated = False
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "view", "palette", "mm"):
            self.fbind(name, self._redraw)

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        self.drawn_text = []
        if self.view is None or self.width < 40 * self.mm or self.height < 14 * self.mm:
            return
        with self.canvas:
            _Sheet(self, self.view).draw()

    def say(self, line: Line, x: float, baseline: float, colour_name: str) -> None:
        """Put a line into the open canvas and list it for those who check what is drawn."""
        colour = self.palette.colour(colour_name)
        Color(*colour)
        line.put(x, baseline)
        self.drawn_text.append(line.drawn(x, baseline, colour))


class _Sheet:
    """One drawing, at one size, in one palette."""

    def __init__(self, widget: FeatureDrawing, view: FeatureView) -> None:
        self.widget, self.view, self.mm, self.palette = widget, view, widget.mm, widget.palette
        xs, ys = [x for x, _ in view.outline], [y for _, y in view.outline]
        self.low, self.high = min(ys), max(ys)
        self.start, self.end = min(xs), max(xs)
        along = [each for each in view.measures if not each.upright]
        self.upright = [each for each in view.measures if each.upright][:MOST_COLUMNS]
        self.high_rows = min(len(along), MOST_ROWS, int(0.55 * widget.height / (ROW * self.mm)))
        self._lay_out()
        self.rows = self._rows(along)

    def _lay_out(self) -> None:
        box, mm = self.widget, self.mm
        sides = [Line(words, FINE, mm) for words in (self.view.left, self.view.right)]
        columns = sum(Line(each.text, NUMBER, mm, bold=True).width + 4 * mm for each in self.upright)
        left = box.x + sides[0].width + 3 * mm
        right = box.right - max(sides[1].width + 3 * mm, columns + 2 * mm)
        foot, head = (FINE + 3) * mm, self.high_rows * ROW * mm + 2 * mm
        width, height = max(10 * mm, right - left), max(6 * mm, box.height - foot - head)
        breadth = max(self.high - self.low, 1e-6)
        whole = min(width / max(self.end - self.start, 1e-6), height / breadth)
        wanted = min(LEAST_HIGH * mm, height) / breadth
        self.scale, self.spans = whole, [(self.start, self.end)]
        scale = min(max(wanted, whole), height / breadth)
        while scale > whole:
            spans = self._kept(BREAK * mm / scale)
            used = sum(b - a for a, b in spans) * scale + (len(spans) - 1) * BREAK * mm
            if used <= width:
                self.scale, self.spans = scale, spread(spans, (width - used) / scale, self.start, self.end)
                break
            scale *= 0.93
        used = sum(b - a for a, b in self.spans) * self.scale + (len(self.spans) - 1) * BREAK * mm
        self.x0 = left + (width - used) / 2
        self.y0 = box.y + foot + (height - breadth * self.scale) / 2
        self.top = self.y0 + breadth * self.scale

    def _kept(self, merge: float) -> list[tuple[float, float]]:
        """Both ends and the surroundings of every cut."""
        reach = 0.6 * (self.high - self.low)
        spans = [(self.start, self.start + reach), (self.end - reach, self.end)]
        for cut in self.view.cuts:
            xs = (
                [x for x, _ in cut.outline]
                if cut.centre is None
                else [cut.centre[0] - cut.radius, cut.centre[0] + cut.radius]
            )
            if max(xs) - min(xs) > 0.9 * (self.end - self.start):
                continue  # from end to end: it may be broken, too
            spans.append((max(self.start, min(xs) - reach), min(self.end, max(xs) + reach)))
        joined: list[tuple[float, float]] = []
        for first, last in sorted(spans):
            if joined and first - joined[-1][1] < 2 * merge:
                joined[-1] = (joined[-1][0], max(joined[-1][1], last))
            else:
                joined.append((first, last))
        return joined

    def place(self, point: Point) -> Point:
        """Points on the screen."""
        x, left = point[0], self.x0
        for at, (first, last) in enumerate(self.spans):
            if x <= last or at == len(self.spans) - 1:
                return left + (max(x, first) - first) * self.scale, self.y0 + (point[1] - self.low) * self.scale
            left += (last - first) * self.scale + BREAK * self.mm
        return left, self.y0

    def _rows(self, measures: Sequence[Measure]) -> list[list[Measure]]:
        """Measures along the piece in rows in which none lies over another, the short ones nearest the piece."""
        rows: list[list[Measure]] = []
        taken: list[list[tuple[float, float]]] = []
        for each in sorted(measures, key=lambda one: abs(one.end[0] - one.start[0])):
            low, high = sorted((self.place(each.start)[0], self.place(each.end)[0]))
            text = Line(each.text, NUMBER, self.mm, bold=True).width
            if high - low <= text + 6 * self.mm:  # its number is beside it
                low, high = (low, high + text + 2 * self.mm) if high + text < self.widget.right else (low - text, high)
            row = next(
                (at for at, spans in enumerate(taken) if all(high <= a or low >= b for a, b in spans)), len(rows)
            )
            if row == len(rows):
                rows.append([])
                taken.append([])
            rows[row].append(each)
            taken[row].append((low, high))
        self.widget.truncated = len(rows) > self.high_rows
        return rows[: self.high_rows]

    def draw(self) -> None:
        mm = self.mm
        for first, last in self.spans:
            wood = [self._in(point, first) for point in clip(self.view.outline, first, last)]
            fill(wood, self.palette.colour("wood"))
            if self.view.grain:
                for line in grain_lines(wood, True, 4 * mm, 0.4 * mm, 1.2 * mm):
                    stroke(line, self.palette.colour("grain"), 0.25 * mm)
            for cut in self.view.cuts:
                self._cut(cut, first, last)
            stroke(wood, self.palette.colour("bark"), 0.5 * mm, close=True)
        for row, measures in enumerate(self.rows):
            for each in measures:
                self._along(each, self.top + (row * ROW + 3.2) * mm)
        self._columns()
        self._words()

    def _in(self, point: Point, first: float) -> Point:
        """A point of one stretch: its ends are where it is broken."""
        left = self.x0
        for start, end in self.spans:
            if start == first:
                return left + (point[0] - start) * self.scale, self.y0 + (point[1] - self.low) * self.scale
            left += (end - start) * self.scale + BREAK * self.mm
        return self.place(point)

    def _cut(self, cut: Cut, first: float, last: float) -> None:
        accent, mm = self.palette.colour("accent"), self.mm
        if cut.centre is not None:
            if first <= cut.centre[0] <= last:
                ring = arc(self._in(cut.centre, first), max(cut.radius * self.scale, 0.9 * mm))
                fill(ring, self.palette.colour("card"))
                stroke(ring, accent, 0.6 * mm, close=True)
            return
        shape = [self._in(point, first) for point in clip(cut.outline, first, last)]
        if len(shape) < 3:
            return
        if not cut.kept:
            hatched(shape, hatch(shape, 2.0 * mm), self.palette, mm)
        stroke(shape, accent, 0.7 * mm, close=True)

    def _along(self, each: Measure, y: float) -> None:
        """A measure above the piece, its ends carried up from where it is."""
        mm, ink = self.mm, self.palette.colour("ink")
        (x0, y0), (x1, y1) = self.place(each.start), self.place(each.end)
        for x, foot in ((x0, y0), (x1, y1)):
            stroke([(x, foot), (x, y + 1.2 * mm)], self.palette.colour("soft"), 0.2 * mm)
        line = Line(each.text, NUMBER, mm, bold=True)
        middle = (x0 + x1) / 2
        wide = abs(x1 - x0)
        if wide > line.width + 6 * mm:
            low, high = min(x0, x1), max(x0, x1)
            arrow((middle - line.width / 2 - mm, y), (low, y), ink, 0.35 * mm, 1.6 * mm)
            arrow((middle + line.width / 2 + mm, y), (high, y), ink, 0.35 * mm, 1.6 * mm)
            self._say(line, middle - line.width / 2, y - line.height / 2)
            return
        stroke([(x0, y), (x1, y)], ink, 0.35 * mm)
        right = max(x0, x1) + mm
        left = right if right + line.width < self.widget.right else min(x0, x1) - mm - line.width
        self._say(line, left, y - line.height / 2)

    def _say(self, line: Line, x: float, baseline: float) -> None:
        """A number on a slip of paper, so that no line runs through it."""
        mm = self.mm
        x = min(max(x, self.widget.x), self.widget.right - line.width)
        box = [
            (x - 0.5 * mm, baseline - 0.8 * mm), (x + line.width + 0.5 * mm, baseline - 0.8 * mm),
            (x + line.width + 0.5 * mm, baseline + line.height + 0.8 * mm),
            (x - 0.5 * mm, baseline + line.height + 0.8 * mm),
        ]  # fmt: skip
        fill(box, self.palette.colour("card"))
        self.widget.say(line, x, baseline, "ink")

    def _columns(self) -> None:
        """Measures across the side, right of the piece."""
        mm, ink = self.mm, self.palette.colour("ink")
        x = self.place((self.end, self.low))[0] + 3 * mm
        for each in self.upright:
            line = Line(each.text, NUMBER, mm, bold=True)
            (x0, y0), (x1, y1) = self.place(each.start), self.place(each.end)
            for foot, y in ((x0, y0), (x1, y1)):
                stroke([(foot, y), (x, y)], self.palette.colour("soft"), 0.2 * mm)
            stroke([(x, y0), (x, y1)], ink, 0.5 * mm)
            self._say(line, x + 1.2 * mm, (y0 + y1) / 2 - line.height / 2)
            x += line.width + 4 * mm

    def _words(self) -> None:
        """What is at the left, at the right and below, and which side this is."""
        mm, box = self.mm, self.widget
        left, right = Line(self.view.left, FINE, mm), Line(self.view.right, FINE, mm)
        first, last = self.place((self.start, self.low))[0], self.place((self.end, self.low))[0]
        self.widget.say(left, max(box.x, first - left.width - 2 * mm), self.top - FINE * mm - mm, "soft")
        if not self.upright:
            self.widget.say(right, min(box.right - right.width, last + 2 * mm), self.top - FINE * mm - mm, "soft")
        words = f"{self.view.title}  ·  {self.view.low}"
        words += "  ·  middle left out" if len(self.spans) > 1 else ""
        foot = Line(words, FINE, mm)
        x = min(max((first + last - foot.width) / 2, box.x), box.right - foot.width)
        self.widget.say(foot, x, max(box.y + 0.9 * mm, self.y0 - (FINE + 2) * mm), "soft")
