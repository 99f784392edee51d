"""State marks, drawn as vectors: each tone has its own shape and colour, and a word below.

ready: an open ring. done: a filled square with a tick. waiting: an hourglass. caution: a triangle with a stroke and a
dot.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin
from typing import Any

from kivy.clock import Clock
from kivy.graphics import (
    Color,
    SmoothEllipse,
    SmoothLine,
    SmoothRoundedRectangle,
    SmoothTriangle,
)
from kivy.properties import BooleanProperty, ListProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout
from kivy.uix.widget import Widget

from tracker.screens.toolkit.palette import Colour, Palette, rgba
from tracker.screens.toolkit.text import measure_width
from tracker.screens.toolkit.theme import SCALE, Themed, font_size


def circle(x: float, y: float, radius: float, steps: int = 72) -> list[float]:
    """A seamless ring of points; draw it with `close`."""
    turns = [2 * pi * step / steps for step in range(steps)]
    return [value for turn in turns for value in (x + radius * cos(turn), y + radius * sin(turn))]


def draw_shape(tone: str, x: float, y: float, side: float, palette: Palette, ink: str = "", paper: str = "") -> None:
    """Draw on the open canvas: the shape of `tone` in a square box whose lower left corner is (x, y).

    `ink` and `paper` name colours of the palette that replace the tone's own, for a shape on a coloured ground. An
    unknown or empty tone draws a short bar, which means nothing to report.
    """
    draw = _SHAPES.get(tone)
    if draw is None:
        Color(*rgba(palette.edge))
        SmoothRoundedRectangle(
            pos=(x + side * 0.25, y + side * 0.44), size=(side * 0.5, side * 0.12), radius=[side * 0.06]
        )
        return
    Color(*palette.colour(ink or tone))
    draw(x, y, side, palette.colour(paper or ("done_ink" if tone == "done" else "card")))


def _ready(x: float, y: float, side: float, paper: Colour) -> None:
    SmoothLine(points=circle(x + side / 2, y + side / 2, side * 0.40), width=side * 0.075, close=True)


def _done(x: float, y: float, side: float, paper: Colour) -> None:
    inset = side * 0.06
    SmoothRoundedRectangle(
        pos=(x + inset, y + inset), size=(side - 2 * inset, side - 2 * inset), radius=[side * 0.16], segments=12
    )
    Color(*paper)
    tick = [x + side * 0.27, y + side * 0.50, x + side * 0.43, y + side * 0.33, x + side * 0.74, y + side * 0.68]
    SmoothLine(points=tick, width=side * 0.065, cap="round", joint="round")


def _waiting(x: float, y: float, side: float, paper: Colour) -> None:
    left, right, middle = x + side * 0.16, x + side * 0.84, x + side / 2
    low, high, waist = y + side * 0.10, y + side * 0.90, y + side / 2
    SmoothTriangle(points=[left, high, right, high, middle, waist - side * 0.06])
    SmoothTriangle(points=[left, low, right, low, middle, waist + side * 0.06])
    for edge in (low, high):
        SmoothRoundedRectangle(
            pos=(x + side * 0.10, edge - side * 0.06), size=(side * 0.80, side * 0.12), radius=[side * 0.06]
        )


def _caution(x: float, y: float, side: float, paper: Colour) -> None:
    points = [x + side * 0.02, y + side * 0.08, x + side * 0.98, y + side * 0.08, x + side / 2, y + side * 0.96]
    SmoothTriangle(points=points)
    Color(*paper)
    SmoothRoundedRectangle(
        pos=(x + side * 0.445, y + side * 0.36), size=(side * 0.11, side * 0.30), radius=[side * 0.05]
    )
    dot = side * 0.13
    SmoothEllipse(pos=(x + side / 2 - dot / 2, y + side * 0.17), size=(dot, dot))


_SHAPES = {"ready": _ready, "done": _done, "waiting": _waiting, "caution": _caution}

BESIDE = 7.2
"""What the small shape and its gap take beside a word, in millimetres (kv/widgets.kv)."""


class ToneShape(Themed, Widget):
    """Only the shape of a tone, as large as its box allows, centred. There is always a word nearby."""

    tone = StringProperty("")
    ink = StringProperty("")
    paper = StringProperty("")
    """Colours of the palette that replace the tone's own, on a coloured ground."""

    def __init__(self, **kwargs: Any) -> None:
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "tone", "ink", "paper", "palette"):
            self.fbind(name, self._redraw)
        self._redraw()

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        side = min(self.width, self.height)
        if side <= 0:
            return
        with self.canvas:
            corner = self.center_x - side / 2, self.center_y - side / 2
            draw_shape(self.tone, *corner, side, self.palette, self.ink, self.paper)


class Mark(Themed, BoxLayout):
    """A shape and its word: the word below, or beside a smaller shape when `beside`.

    word    `cut`
    tone    one of the four
    """

    word = StringProperty("")
    tone = StringProperty("")
    beside = BooleanProperty(False)


class MarksRow(Themed, GridLayout):
    """The states of the piece, in the order of its route. `marks` is a sequence of (word, tone); up to about ten.

    One row with the words below while every word fits; otherwise, or if it should be `low`, rows of smaller marks with
    their words beside.
    """

    marks = ListProperty([])
    low = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self._lay = Clock.create_trigger(self._fill, -1)
        super().__init__(**kwargs)
        self.bind(marks=self._lay, width=self._lay, mm=self._lay, low=self._lay)

    def on_marks(self, *_: object) -> None:
        """Set the words at once, so that what is read from the row is never older than the card."""
        self._fill()

    def _fill(self, *_: object) -> None:
        marks: Sequence[tuple[str, str]] = self.marks
        while len(self.children) > len(marks):
            self.remove_widget(self.children[0])
        while len(self.children) < len(marks):
            self.add_widget(Mark())
        for widget, view in zip(reversed(self.children), marks, strict=True):
            widget.word, widget.tone = view
        self._share_out()

    def row_width(self) -> float:
        """The width of one row of smaller marks, in points."""
        size = font_size(SCALE["fine"], self.mm)
        words = [measure_width(word, size) + 2 + (BESIDE + 1.6) * self.mm for word, _ in self.marks]
        return sum(words) - 1.6 * self.mm

    def _share_out(self) -> None:
        size, gap = font_size(SCALE["fine"], self.mm), 1.6 * self.mm
        words = [measure_width(word, size) + 2 for word, _ in self.marks]
        below = [max(10.0 * self.mm, width) for width in words]
        beside = [width + BESIDE * self.mm for width in words]
        one_row = not self.low and sum(below) + gap * (len(below) - 1) <= self.width
        self.spacing = [gap, 1.5 * self.mm]
        self.cols = max(1, len(words)) if one_row else _columns(beside, self.width, gap)
        for at, widget in enumerate(reversed(self.children)):
            widget.beside = not one_row
            # In rows each column is as wide as its widest mark.
            widget.size_hint_x = below[at] if one_row else max(beside[at % self.cols :: self.cols])


def _columns(widths: Sequence[float], room: float, gap: float) -> int:
    """The most columns whose widest marks still fit side by side, the rows as even as possible."""
    count = len(widths)
    for rows in range(1, count + 1):
        columns = -(-count // rows)
        needed = sum(max(widths[at::columns]) for at in range(columns)) + gap * (columns - 1)
        if needed <= room:
            return columns
    return 1
