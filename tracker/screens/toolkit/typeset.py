"""Lines of type drawn directly on a canvas, by their baseline: for figures and drawings, where a label's box would put
the glyphs a little off."""

from __future__ import annotations

from typing import Any

from kivy.core.text import Label as Render
from kivy.graphics import Rectangle

from tracker.screens.toolkit.theme import font_size

ASCENT = 1900 / 2048
"""The distance from the top of a line of Roboto to its baseline, relative to the font size (hhea table of the bundled
file)."""

DrawnText = tuple[str, tuple[float, float, float, float], float, tuple[float, ...]]
"""A text, its box (x, y, width, height of the glyphs, in the widget's coordinates), cap height (mm), colour."""


class Line:
    """One run of type whose capitals are `cap` millimetres high. Empty text takes no room."""

    def __init__(self, text: str, cap: float, mm: float, *, bold: bool = False) -> None:
        self.text, self.cap = text, cap
        self.height = cap * mm
        """The cap height in points."""
        self._texture: Any = None
        self._em = font_size(cap, mm)
        self.width = 0.0
        if text:
            label = Render(text=text, font_size=self._em, bold=bold)
            label.refresh()
            self._texture = label.texture
            self.width = float(self._texture.width)

    def put(self, x: float, baseline: float) -> None:
        """Draw on the open canvas, in its present colour."""
        if self._texture is not None:
            below = self._texture.height - round(ASCENT * self._em)
            Rectangle(texture=self._texture, pos=(round(x), round(baseline) - below), size=self._texture.size)

    def drawn(self, x: float, baseline: float, colour: tuple[float, ...]) -> DrawnText:
        """What the tests that walk the widgets know about it."""
        return self.text, (x, baseline, self.width, self.height), self.cap, colour
