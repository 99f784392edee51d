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
BAR, ROW, BELOW = 4.0, 13.0, 1.4
"""The thickness of a bar, its height with a line of words, and the gap between lines (mm)."""
LEAST_WIDE = 40.0
"""In less width nothing is drawn (mm)."""


class DayDrawing(Themed, Widget):
    """line: a tracker.cards.clocks.day.DayLine, or None. `high_mm`: the height it needs."""

    line = ObjectProperty(None, allownone=True)
    high_mm = NumericProperty(0.0)

    def __init__(self, **kwargs: Any) -> None:
        self.drawn_text: list[DrawnText] = []
        self._rows: list[float] = []
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "palette"):
            self.fbind(name, self._redraw)
        for name in ("line", "width", "mm"):
            self.fbind(name, self._measure)

    def _measure(self, *_: object) -> None:
        """The height of each row follows from the lines of its name."""
        bars = self.line.bars if self.line and self.width >= LEAST_WIDE * self.mm else ()
        self._rows = [ROW + (len(self._name(bar)) - 1) * (TYPE + BELOW) for bar in bars]
        self.high_mm = HEAD + sum(self._rows) if bars else 0.0
        self._redraw()

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        self.drawn_text = []
        if self.line is None or not self.line.bars or self.width < LEAST_WIDE * self.mm:
            return
        with self.canvas:
            for mark in self.line.marks:
                self._mark(mark)
            for row, bar in enumerate(self.line.bars):
                self._bar(bar, self.top - (HEAD + sum(self._rows[:row])) * self.mm)

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
        end = Line(bar.word, TYPE, mm)
        left, baseline = self.x + mm, low - 1.6 * mm
        for name in self._name(bar):
            baseline -= TYPE * mm
            self._say(name, left, baseline, "ink")
            last = name
            baseline -= BELOW * mm
        self._say(end, left + last.width + 3 * mm, baseline + BELOW * mm, "soft")

    def _name(self, bar: DayBar) -> list[Line]:
        """The name on one line beside its end; a longer one in smaller type, and on as many lines as it needs."""
        mm = self.mm
        room = self.width - Line(bar.word, TYPE, mm).width - 5 * mm
        whole = Line(bar.title, TYPE, mm, bold=True)
        if whole.width <= room:
            return [whole]
        lines = [Line("", SCALE["fine"], mm, bold=True)]
        for word in bar.title.split(" "):
            longer = Line(f"{lines[-1].text} {word}".strip(), SCALE["fine"], mm, bold=True)
            if longer.width > room and lines[-1].text:
                lines.append(Line(word, SCALE["fine"], mm, bold=True))
            else:
                lines[-1] = longer
        return lines

    def _say(self, line: Line, x: float, baseline: float, colour_name: str) -> None:
        colour = self.palette.colour(colour_name)
        Color(*colour)
        line.put(x, baseline)
        self.drawn_text.append(line.drawn(x, baseline, colour))
