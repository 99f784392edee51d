"""A label that never hides what it could not show: it wraps to a known number of lines, shortens with an ellipsis only
when it must, and says so."""

from __future__ import annotations

from typing import Any

from kivy.core.text import Label as Measure
from kivy.properties import BooleanProperty, NumericProperty
from kivy.uix.label import Label

LINE = 1.172
"""Height of a line of Roboto over its font size (hhea ascent, descent and gap of the bundled file)."""
ELLIPSIS = "…"


class Text(Label):
    """Words in a box.

    lines           most lines it may take (1)
    lines_height    the height of so many lines, for kv: `height: self.lines_height`
    truncated       True when words had to be left out
    broken          True when a word alone is wider than the box, so that it is broken
    shown           what is drawn: `text`, or its beginning and an ellipsis
    """

    lines = NumericProperty(1)
    lines_height = NumericProperty(0)
    truncated = BooleanProperty(False)
    broken = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self.shown = ""
        super().__init__(**kwargs)
        self.bind(lines=self._measure, font_size=self._measure)
        self.bind(lines=lambda *_: self._trigger_texture())
        self._measure()

    def _measure(self, *_: object) -> None:
        self.lines_height = -(-self.lines * self.font_size * LINE // 1)

    def texture_update(self, *_: object) -> None:
        """Kivy's hook, called at most once a frame."""
        self.shown = self.text if self.markup else self._fitting(self.text)
        self._label.text = self.shown
        super().texture_update()

    def _fitting(self, text: str) -> str:
        width = self.text_size[0]
        self.truncated = self.broken = False
        if not text or not width or width <= 1:
            return text
        measure = self._measurer(width)
        room = self._room()
        self.broken = any(measure.get_extents(word)[0] > width + 1 for word in text.split())
        if self._count(measure, text) <= room and not (room == 1 and self.broken):
            return text
        self.truncated = True
        low, high = 0, len(text)
        while low < high:
            middle = (low + high + 1) // 2
            cut = text[:middle].rstrip() + ELLIPSIS
            fits = self._count(measure, cut) <= room and (room > 1 or measure.get_extents(cut)[0] <= width)
            low, high = (middle, high) if fits else (low, middle - 1)
        return text[:low].rstrip() + ELLIPSIS

    def _room(self) -> int:
        """How many lines are allowed and have room."""
        if not self.text_size[1]:
            return int(self.lines)
        return max(1, min(int(self.lines), int((self.text_size[1] + 2) // (self.font_size * LINE))))

    def _measurer(self, width: float) -> Any:
        return Measure(
            font_size=self.font_size,
            font_name=self.font_name,
            bold=self.bold,
            italic=self.italic,
            text_size=(width, None),
        )

    @staticmethod
    def _count(measure: Any, text: str) -> int:
        measure.text = text
        measure.render()
        return len(measure._cached_lines)
