"""A label that never hides text silently: it wraps to a known number of lines, shortens with an ellipsis only when it
must, and reports that."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from kivy.core.text import Label as Measure
from kivy.core.text import LabelBase
from kivy.properties import BooleanProperty, ListProperty, NumericProperty
from kivy.uix.label import Label

from tracker.fonts import BOLD, MONO, REGULAR, font_path

LINE = 1.172
"""The height of a line of Roboto relative to its font size (hhea ascent, descent and gap of the bundled file)."""
SLACK = 0.01
"""Points by which a height may be off, computed in another way."""
ELLIPSIS = "…"
_HELD = re.compile(r"(?<=\d) (?=(?:mm|min|h|s|days?|of \d+)\b|[%°])|(?<=\d of) (?=\d)")
"""Spaces at which no line may break: `600 mm`, `45 min`, `100 %`, `19 °C`, `2 of 4`."""


def register_fonts() -> None:
    """Let Kivy use our own font files: a packaged app has lost Kivy's before."""
    regular, bold, mono = (str(font_path(file)) for file in (REGULAR, BOLD, MONO))
    LabelBase.register("Roboto", fn_regular=regular, fn_bold=bold, fn_bolditalic=bold)
    LabelBase.register("RobotoMono-Regular", fn_regular=mono)


@lru_cache(4096)
def held(text: str) -> str:
    """`text` with non-breaking spaces where a number would be separated from its unit."""
    return _HELD.sub("\u00a0", text)


@lru_cache(4096)
def count_lines(text: str, font_size: float, width: float, bold: bool = False, font: str = "Roboto") -> int:
    """How many lines `text` takes when wrapped to `width`, both in points; 0 for no text."""
    if not text or width <= 1:
        return 0
    measure = Measure(text=held(text), font_size=font_size, bold=bold, font_name=font, text_size=(width, None))
    measure.render()
    return len(measure._cached_lines)


def largest_type(
    text: str, width: float, choices: Sequence[tuple[float, int]], least: float, bold: bool = False
) -> float:
    """The first font size of some (size, most lines) at which `text` takes at most so many lines of `width`; `least`
    where it takes more at each of them."""
    return next((size for size, most in choices if count_lines(text, size, width, bold) <= most), least)


@lru_cache(256)
def line_height(font_size: float) -> float:
    """The height of one line, in points: the font's own is in whole points, and may be more than `LINE` says. Kivy
    leaves out a line that its box is too low for, even by one point, and reports nothing."""
    return max(font_size * LINE, float(Measure(font_size=font_size, font_name="Roboto").get_extents("A")[1]))


def lines_height(lines: float, font_size: float) -> float:
    """The height of this many lines, in whole points."""
    return math.ceil(lines * line_height(font_size))


@lru_cache(4096)
def measure_width(text: str, font_size: float, bold: bool = False, font: str = "Roboto") -> float:
    """The width of `text` on one line, in points."""
    return float(Measure(font_size=font_size, bold=bold, font_name=font).get_extents(text)[0])


class Text(Label):
    """Words in a box.

    lines           most lines it may take (1)
    choices         font sizes to choose from, largest first: the first at which all words fit; none: `font_size`
    lines_height    the height of this many lines, for kv: `height: self.lines_height`
    truncated       True when words had to be left out, or are cut off by the box
    broken          True when a single word is wider than the box, so that it is broken
    shown           what is drawn: `text`, or its beginning and an ellipsis
    """

    lines = NumericProperty(1)
    choices = ListProperty([])
    lines_height = NumericProperty(0)
    truncated = BooleanProperty(False)
    broken = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self.shown = ""
        super().__init__(**kwargs)
        self.bind(lines=self._measure, font_size=self._measure)
        self.bind(lines=self._again, choices=self._again)
        self._measure()

    def _again(self, *_: object) -> None:
        self._trigger_texture()

    def _measure(self, *_: object) -> None:
        self.lines_height = lines_height(self.lines, self.font_size)

    def texture_update(self, *_: object) -> None:
        """Kivy's hook, called at most once a frame."""
        self.truncated = self.broken = False
        self.shown = held(self.text)
        if not self.markup and self.text and self.text_size[0] and self.text_size[0] > 1:
            self._choose()
            self._fit()
        self._label.text = self.shown
        super().texture_update()

    def _choose(self) -> None:
        """The size is set only once, at the end: setting a font size on the way would trigger this again."""
        chosen: float = self.font_size
        for chosen in self.choices:
            if self._needs(self.text, chosen) <= self._room(chosen) and not self._breaks(chosen):
                break
        self.font_size = chosen

    @property
    def _inner(self) -> float:
        """The width available to a line of words: the box less its padding."""
        return float(self.text_size[0] - self.padding[0] - self.padding[2])

    def _fit(self) -> None:
        size, width, height = self.font_size, self._inner, self.text_size[1]
        room = self._room(size)
        self.broken = self._breaks(size)
        self.truncated = bool(height) and min(room, self._needs(self.text, size)) * line_height(size) > height + SLACK
        if self._needs(self.text, size) <= room and not (room == 1 and self.broken):
            return
        self.truncated = True
        low, high = 0, len(self.text)
        while low < high:
            middle = (low + high + 1) // 2
            cut = self.text[:middle].rstrip() + ELLIPSIS
            fits = self._needs(cut, size) <= room and (room > 1 or self._wide(cut, size) <= width)
            low, high = (middle, high) if fits else (low, middle - 1)
        self.shown = held(self.text[:low].rstrip() + ELLIPSIS)

    def _room(self, size: float) -> int:
        """How many lines are allowed and fit; one is always drawn."""
        if not self.text_size[1]:
            return int(self.lines)
        return max(1, min(int(self.lines), int((self.text_size[1] + SLACK) // line_height(size))))

    def _breaks(self, size: float) -> bool:
        return any(self._wide(word, size) > self._inner + 1 for word in held(self.text).split(" "))

    def _needs(self, text: str, size: float) -> int:
        return count_lines(text, size, self._inner, self.bold, self.font_name)

    def _wide(self, text: str, size: float) -> float:
        return measure_width(text, size, self.bold, self.font_name)
