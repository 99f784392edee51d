"""The worked side of a piece, to scale: its cuts, and the numbers for marking out, large.

One scale in both directions. A long piece is broken where nothing is cut, never squeezed.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sin

from kivy.properties import ObjectProperty

from tracker.cards.piece.feature_layout import BREAK, ROW, SCREEN_HIGH, FeatureLayout, Type
from tracker.cards.piece.feature_view import Cut, FeatureView, Measure, Point
from tracker.cards.piece.interrupted_view import clip
from tracker.screens.drawing.canvas import arc, arrow, fill, hatched, stroke
from tracker.screens.drawing.drawing_widget import DrawingWidget
from tracker.screens.drawing.piece_layout import grain_lines, hatch
from tracker.screens.toolkit.typeset import Line

NUMBER = 4.7
"""The cap height of numbers and words, in mm."""


class FeatureDrawing(DrawingWidget):
    """view: a tracker.cards.piece.feature_view.FeatureView, or None.

    truncated  True when a dimension had no room; the words beside the drawing have all of them
    """

    least = (40.0, 14.0)

    view: FeatureView | None = ObjectProperty(None, allownone=True)

    def put(self) -> None:
        assert self.view is not None
        if self.view.drilled:
            from tracker.screens.drawing.drilled import DrilledSheet  # most pieces have no holes

            DrilledSheet(self, self.view).draw()
        else:
            FeatureSheet(self, self.view).draw()


class FeatureSheet:
    """One drawing of a side at one size, in one palette."""

    layout: type[FeatureLayout] = FeatureLayout

    def __init__(self, widget: FeatureDrawing, view: FeatureView) -> None:
        self.widget, self.view, self.mm, self.palette = widget, view, widget.mm, widget.palette

        def width(text: str, capital: float, bold: bool) -> float:
            return Line(text, capital, widget.mm, bold=bold).width

        self.at = self.layout(
            view, (widget.x, widget.y, widget.width, widget.height),
            Type(fine=NUMBER, number=NUMBER, width=width, mm=widget.mm, high=SCREEN_HIGH, below=True),
        )  # fmt: skip
        widget.truncated = self.at.truncated

    def draw(self) -> None:
        mm = self.mm
        for first, last in self.at.spans:
            wood = [self.at.within(point, first) for point in clip(self.view.outline, first, last)]
            fill(wood, self.palette.colour("wood"))
            if self.view.grain:
                for line in grain_lines(wood, True, 4 * mm, 0.4 * mm, 1.2 * mm):
                    stroke(line, self.palette.colour("grain"), 0.25 * mm)
            for cut in self.view.cuts:
                self._cut(cut, first, last)
            self._edges(wood, first, last)
        for first, _ in self.at.spans[1:]:
            self._break(first)
        for row, measures in enumerate(self.at.rows):
            for each in measures:
                self._along(each, self.at.top + (row * ROW + 3.2) * mm)
        self._columns()
        self._words()

    def _edges(self, wood: Sequence[Point], first: float, last: float) -> None:
        """Draw the outline of a stretch, except where the piece is broken."""
        torn = [self.at.within((x, 0.0), first)[0] for x in (first, last) if x not in (self.at.start, self.at.end)]
        for one, two in zip(wood, (*wood[1:], *wood[:1]), strict=True):
            if not any(abs(one[0] - x) < 0.01 and abs(two[0] - x) < 0.01 for x in torn):
                stroke([one, two], self.palette.colour("bark"), 0.5 * self.mm)

    def _break(self, first: float) -> None:
        """Draw two wavy lines where a plain stretch is left out."""
        mm, right = self.mm, self.at.within((first, 0.0), first)[0]
        low, high = self.at.y0 - 1.4 * mm, self.at.top + 1.4 * mm
        shares = [step / 24 for step in range(25)]
        for x in (right - BREAK * mm, right):
            line = [(x + 0.7 * mm * sin(2 * pi * share), low + (high - low) * share) for share in shares]
            stroke(line, self.palette.colour("bark"), 0.34 * mm)

    def _cut(self, cut: Cut, first: float, last: float) -> None:
        accent, mm = self.palette.colour("accent"), self.mm
        if cut.centre is not None:
            if first <= cut.centre[0] <= last:
                ring = arc(self.at.within(cut.centre, first), max(cut.radius * self.at.scale, 0.9 * mm))
                fill(ring, self.palette.colour("card"))
                stroke(ring, accent, 0.6 * mm, close=True)
            return
        shape = [self.at.within(point, first) for point in clip(cut.outline, first, last)]
        if len(shape) < 3:
            return
        if not cut.kept:
            hatched(shape, hatch(shape, 2.0 * mm), self.palette, mm)
        stroke(shape, accent, 0.7 * mm, close=True)

    def _along(self, each: Measure, y: float) -> None:
        """A dimension above the piece, with extension lines from its ends."""
        mm, ink = self.mm, self.palette.colour("ink")
        (x0, y0), (x1, y1) = self.at.place(each.start), self.at.place(each.end)
        for x, foot in ((x0, y0), (x1, y1)):
            stroke([(x, foot), (x, y + 1.2 * mm)], self.palette.colour("soft"), 0.2 * mm)
        line = Line(each.text, NUMBER, mm, bold=True)
        middle, left = (x0 + x1) / 2, self.at.number_left(each)
        if left is None:
            low, high = min(x0, x1), max(x0, x1)
            arrow((middle - line.width / 2 - mm, y), (low, y), ink, 0.35 * mm, 1.6 * mm)
            arrow((middle + line.width / 2 + mm, y), (high, y), ink, 0.35 * mm, 1.6 * mm)
            self._say(line, middle - line.width / 2, y - line.height / 2)
            return
        stroke([(x0, y), (x1, y)], ink, 0.35 * mm)
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
        """Dimensions across the side, to the right of the piece."""
        mm, ink = self.mm, self.palette.colour("ink")
        x = self.at.place((self.at.end, self.at.low))[0] + 3 * mm
        columns: list[tuple[Line, float, float]] = []
        for each in self.at.upright:
            line = Line(each.text, NUMBER, mm, bold=True)
            (x0, y0), (x1, y1) = self.at.place(each.start), self.at.place(each.end)
            for foot, y in ((x0, y0), (x1, y1)):
                stroke([(foot, y), (x, y)], self.palette.colour("soft"), 0.2 * mm)
            stroke([(x, y0), (x, y1)], ink, 0.5 * mm)
            baseline = max((y0 + y1) / 2 - line.height / 2, self.at.y0)  # clear of the words below
            columns.append((line, x + 1.2 * mm, baseline))
            x += line.width + 4 * mm
        for line, left, baseline in columns:  # over the lines that lead to the others
            self._say(line, left, baseline)

    def _words(self) -> None:
        """The names of the ends at the corners below the piece, and between them, or below, which side this is."""
        mm, box, at = self.mm, self.widget, self.at
        left, right = Line(self.view.left, NUMBER, mm), Line(self.view.right, NUMBER, mm)
        first, last = at.place((at.start, at.low))[0], at.place((at.end, at.low))[0]
        foot = Line(at.words(), NUMBER, mm)
        if at.foot_rows == 1 or foot.width > box.width:
            foot = Line(at.side_words(), NUMBER, mm)
        gap, y = 4 * mm, at.y0 - (NUMBER + 2) * mm
        between = foot.width + 2 * gap if at.foot_rows == 1 else gap
        first = max(box.x, min(first, box.right - left.width - between - right.width))
        last = min(box.right, max(last, first + left.width + between + right.width))
        self.widget.say(left, first, y, "soft")
        self.widget.say(right, last - right.width, y, "soft")
        x, low, high = (first + last - foot.width) / 2, box.x, box.right - foot.width
        if at.foot_rows == 1:
            low, high = first + left.width + gap, last - right.width - gap - foot.width
        else:
            y -= (NUMBER + 2.4) * mm
        self.widget.say(foot, min(max(x, low), high), max(box.y + 0.6 * mm, y), "ink")
