"""State marks, drawn as vectors: each tone has a shape of its own, a colour, and a word below.

ready: an open ring. done: a filled square with a tick. waiting: an hourglass. caution: a triangle with a stroke
and a dot.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from kivy.clock import Clock
from kivy.graphics import (
    Color,
    SmoothEllipse,
    SmoothLine,
    SmoothRoundedRectangle,
    SmoothTriangle,
)
from kivy.properties import ListProperty, NumericProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout
from kivy.uix.widget import Widget

from tracker.screens.palette import Palette, Tone, rgba
from tracker.screens.theme import Themed


class MarkView(NamedTuple):
    """One state of the piece in hand: `cut`, `drilled`, `glued`, ... Any value with these two fields will do."""

    word: str
    tone: Tone


def draw_shape(tone: str, x: float, y: float, side: float, palette: Palette) -> None:
    """Draw into the open canvas: the shape of `tone` in a square box whose lower left corner is (x, y).

    An unknown or empty tone draws a short bar: nothing to say.
    """
    draw = _SHAPES.get(tone)
    if draw is None:
        Color(*rgba(palette.edge))
        SmoothRoundedRectangle(
            pos=(x + side * 0.25, y + side * 0.44), size=(side * 0.5, side * 0.12), radius=[side * 0.06]
        )
        return
    Color(*palette.colour(tone))
    draw(x, y, side, palette)


def _ready(x: float, y: float, side: float, palette: Palette) -> None:
    stroke = side * 0.15
    SmoothLine(circle=(x + side / 2, y + side / 2, side * 0.40, 0, 360, 72), width=stroke / 2)


def _done(x: float, y: float, side: float, palette: Palette) -> None:
    inset = side * 0.06
    SmoothRoundedRectangle(
        pos=(x + inset, y + inset), size=(side - 2 * inset, side - 2 * inset), radius=[side * 0.16], segments=12
    )
    Color(*rgba(palette.done_ink))
    tick = [x + side * 0.27, y + side * 0.50, x + side * 0.43, y + side * 0.33, x + side * 0.74, y + side * 0.68]
    SmoothLine(points=tick, width=side * 0.065, cap="round", joint="round")


def _waiting(x: float, y: float, side: float, palette: Palette) -> None:
    left, right, middle = x + side * 0.16, x + side * 0.84, x + side / 2
    low, high, waist = y + side * 0.10, y + side * 0.90, y + side / 2
    SmoothTriangle(points=[left, high, right, high, middle, waist - side * 0.06])
    SmoothTriangle(points=[left, low, right, low, middle, waist + side * 0.06])
    for edge in (low, high):
        SmoothRoundedRectangle(
            pos=(x + side * 0.10, edge - side * 0.06), size=(side * 0.80, side * 0.12), radius=[side * 0.06]
        )


def _caution(x: float, y: float, side: float, palette: Palette) -> None:
    points = [x + side * 0.02, y + side * 0.08, x + side * 0.98, y + side * 0.08, x + side / 2, y + side * 0.96]
    SmoothTriangle(points=points)
    Color(*rgba(palette.card))
    SmoothRoundedRectangle(
        pos=(x + side * 0.445, y + side * 0.36), size=(side * 0.11, side * 0.30), radius=[side * 0.05]
    )
    dot = side * 0.13
    SmoothEllipse(pos=(x + side / 2 - dot / 2, y + side * 0.17), size=(dot, dot))


_SHAPES = {"ready": _ready, "done": _done, "waiting": _waiting, "caution": _caution}


class ToneShape(Themed, Widget):
    """The shape of a tone alone, as large as its box allows, centred. Always goes with a word nearby."""

    tone = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        self.bind(pos=self._redraw, size=self._redraw, tone=self._redraw, palette=self._redraw)
        self._redraw()

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        side = min(self.width, self.height)
        if side <= 0:
            return
        with self.canvas:
            draw_shape(self.tone, self.center_x - side / 2, self.center_y - side / 2, side, self.palette)


class Mark(Themed, BoxLayout):
    """A shape with its word below.

    word    `cut`
    tone    one of the four
    shape_mm  side of the shape
    """

    word = StringProperty("")
    tone = StringProperty("")
    shape_mm = NumericProperty(9.0)


class MarksRow(Themed, GridLayout):
    """The states of the piece, in the order of its route. `marks` is a sequence of MarkView; up to about ten.

    One row while every word has room, else two; the shapes shrink before the words do.
    """

    marks = ListProperty([])

    def __init__(self, **kwargs: Any) -> None:
        self._lay = Clock.create_trigger(self._fill, -1)
        super().__init__(**kwargs)
        self.bind(marks=self._lay, width=self._lay, mm=self._lay)

    def on_marks(self, *_: object) -> None:
        """Words at once, so that what is read from the row is never older than the card."""
        self._fill()

    def _fill(self, *_: object) -> None:
        marks: Sequence[MarkView] = self.marks
        while len(self.children) > len(marks):
            self.remove_widget(self.children[0])
        while len(self.children) < len(marks):
            self.add_widget(Mark())
        for widget, view in zip(reversed(self.children), marks, strict=True):
            widget.word, widget.tone = view.word, view.tone
        self.cols = self._columns(len(marks))

    def _columns(self, count: int) -> int:
        """As many columns as have room for the widest word."""
        if not count:
            return 1
        from tracker.screens.theme import SCALE, font_size

        widest = max(len(view.word) for view in self.marks)
        needed = max(15.0, widest * 0.56 * font_size(SCALE["fine"], 1.0) + 1.0) * self.mm
        room = max(1, int(self.width / needed))
        rows = -(-count // min(room, count))
        return -(-count // rows)
