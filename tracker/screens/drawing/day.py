"""The day ahead: hours along the top, below them a bar for every running wait, with its name and its end."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Rectangle, SmoothRoundedRectangle
from kivy.properties import NumericProperty, ObjectProperty
from kivy.uix.widget import Widget

from tracker.cards.clocks.day import DayBar, DayMark
from tracker.screens.drawing.canvas import fill
from tracker.screens.toolkit.theme import SCALE, Themed
from tracker.screens.toolkit.typeset import DrawnText, Line

TYPE = SCALE["note"]
HEAD = 10.0
"""Room for the hours (mm)."""
BAR, ROW = 4.0, 13.0
"""The thickness of a bar, and its height with its words (mm)."""


class DayDrawing(Themed, Widget):
    """line: a tracker.cards.clocks.day.DayLine, or None. `high_mm`: the height it needs."""

    line = ObjectProperty(None, allownone=True)
    high_mm = NumericProperty(0.0)

    def __init__(self, **kwargs: Any) -> None:
        self.drawn_text: list[DrawnText] = []
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "line", "palette", "mm"):
            self.fbind(name, self._redraw)

    def on_line(self, *_: object) -> None:
        bars = len(self.line.bars) if self.line else 0
        self.high_mm = HEAD + ROW * bars if bars else 0.0

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        self.drawn_text = []
        if self.line is None or not self.line.bars or self.width < 40 * self.mm:
            return
        with self.canvas:
            for mark in self.line.marks:
                self._mark(mark)
            for row, bar in enumerate(self.line.bars):
                self._bar(bar, self.top - (HEAD + ROW * row) * self.mm)

    def _mark(self, mark: DayMark) -> None:
        x = self.x + mark.at * self.width
        Color(*self.palette.colour("edge" if mark.midnight else "hair"))
        Rectangle(pos=(x, self.y), size=((0.7 if mark.midnight else 0.4) * self.mm, self.height - HEAD * 0.8 * self.mm))
        line = Line(mark.word, TYPE, self.mm, bold=mark.midnight)
        left = x - line.width / 2
        if left >= self.x and left + line.width <= self.right:
            self._say(line, left, self.top - HEAD * 0.7 * self.mm, "ink" if mark.midnight else "soft")

    def _bar(self, bar: DayBar, top: float) -> None:
        mm = self.mm
        wide, low = max(bar.end * self.width, BAR * mm), top - BAR * mm
        Color(*self.palette.colour(bar.tone))
        SmoothRoundedRectangle(pos=(self.x, low), size=(wide, BAR * mm), radius=[BAR / 2 * mm])
        if bar.beyond:
            tip, half = self.right, BAR * mm
            middle = low + BAR / 2 * mm
            fill(
                [(tip, middle), (tip - 1.6 * half, middle + half), (tip - 1.6 * half, middle - half)],
                self.palette.colour(bar.tone),
            )
        baseline = low - TYPE * mm - 1.6 * mm
        name, end = Line(bar.title, TYPE, mm, bold=True), Line(bar.word, TYPE, mm)
        if name.width + end.width + 3 * mm > self.width:
            end = Line("", TYPE, mm)
        left = self.x + 1.0 * mm
        self._say(name, left, baseline, "ink")
        if end.text:
            self._say(end, left + name.width + 3 * mm, baseline, "soft")

    def _say(self, line: Line, x: float, baseline: float, colour_name: str) -> None:
        colour = self.palette.colour(colour_name)
        Color(*colour)
        line.put(x, baseline)
        self.drawn_text.append(line.drawn(x, baseline, colour))
