"""The one number to cut to: figures as tall as the card allows, with a stacked fraction that is readable at two
metres."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, SmoothRoundedRectangle
from kivy.properties import (
    BooleanProperty,
    ListProperty,
    NumericProperty,
    ObjectProperty,
    OptionProperty,
    StringProperty,
)
from kivy.uix.widget import Widget
from msgspec import Struct

from tracker.measure.tape_reading import MINUS, SLASH, Reading
from tracker.screens.toolkit.palette import COLOURS
from tracker.screens.toolkit.theme import SCALE, Themed
from tracker.screens.toolkit.typeset import DrawnText, Line

SHARE = 0.7
"""The height of a fraction's figures relative to the whole number's."""
UNIT_SHARE = 0.34
"""The height of `mm` relative to the number's figures: it is read once, the number with every cut."""
LARGEST = (SCALE["reading_huge"], SCALE["reading_large"], SCALE["reading"])


class Figures(Struct, frozen=True):
    """A number divided into its parts for typesetting."""

    whole: str
    numerator: str = ""
    denominator: str = ""
    unit: str = ""

    @property
    def text(self) -> str:
        """The number in a line of text."""
        fraction = f"{self.numerator}{SLASH}{self.denominator}" if self.numerator else ""
        return " ".join(part for part in (self.whole, fraction) if part) + self.unit


def take_apart(value: Reading | Figures | str | None) -> Figures:
    """`23 5⁄8″` in its four parts; a word or an angle stays whole."""
    if isinstance(value, Figures):
        return value
    if value is None:
        return Figures("")
    if isinstance(value, str):
        return Figures(value)
    if value.units == "mm":
        return Figures(value.digits, unit=value.unit_sign)
    whole = str(value.whole) if value.whole or not value.numerator else ""
    if not value.numerator:
        return Figures(value.sign + whole, unit=value.unit_sign)
    return Figures(value.sign + whole, str(value.numerator), str(value.denominator), value.unit_sign)


class BigReading(Themed, Widget):
    """A Reading (or finished text, such as `15°`) as large as fits.

    reading   a tracker.measure.tape_reading.Reading, Figures that are still being typed, text, or None
    sizes     heights of its figures to choose from, in mm, largest first; the last is used even when too wide
    cap_mm    the height chosen
    text      the reading in a line of text, for tests and screen readers
    truncated True when even the smallest is too wide
    halign    "left", "center" or "right"
    ink_name  a colour of the palette
    """

    reading = ObjectProperty(None, allownone=True)
    sizes = ListProperty(LARGEST)
    cap_mm = NumericProperty(LARGEST[-1])
    text = StringProperty("")
    truncated = BooleanProperty(False)
    halign = OptionProperty("left", options=["left", "center", "right"])
    ink_name = OptionProperty("ink", options=list(COLOURS))

    def __init__(self, **kwargs: Any) -> None:
        self.drawn_text: list[DrawnText] = []
        self._redraw = Clock.create_trigger(self._draw, -1)
        super().__init__(**kwargs)
        for name in ("pos", "size", "reading", "sizes", "halign", "palette", "mm", "ink_name"):
            self.fbind(name, self._redraw)
        self._redraw()

    def on_reading(self, *_: object) -> None:
        value = self.reading
        self.text = value.text if isinstance(value, Reading | Figures) else (value or "")

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        self.drawn_text = []
        figures = take_apart(self.reading)
        if self.width <= 1 or self.height <= 1 or not (figures.whole or figures.numerator):
            return
        for cap in self.sizes:
            setting = _Setting(figures, cap, self.mm)
            if setting.width <= self.width and setting.height <= self.height:
                break
        self.cap_mm = cap
        self.truncated = setting.width > self.width + 1 or setting.height > self.height + 1
        spare = self.width - setting.width
        x = self.x + {"left": 0.0, "center": spare / 2, "right": spare}[self.halign]
        colour = self.palette.colour(self.ink_name)
        with self.canvas:
            Color(*colour)
            setting.put(x, self.center_y)
        box = (x, self.center_y - setting.height / 2, setting.width, setting.height)
        self.drawn_text = [(self.text, box, cap, colour)]


class _Setting:
    """Figures at one size: the room they need, and the position of each part."""

    def __init__(self, figures: Figures, cap: float, mm: float) -> None:
        self.cap = cap * mm
        self.gap = self.cap * 0.11
        self.bar = max(2.0, self.cap * 0.065)
        inches = figures.unit == "″"
        self.whole = Line(figures.whole, cap, mm, bold=True)
        self.numerator = Line(figures.numerator, cap * SHARE, mm, bold=True)
        self.denominator = Line(figures.denominator, cap * SHARE, mm, bold=True)
        self.unit = Line(figures.unit, cap if inches else max(SCALE["note"], cap * UNIT_SHARE), mm)
        self.unit_gap = self.cap * (0.04 if inches else 0.22)
        self.stack = max(self.numerator.width, self.denominator.width) if figures.numerator else 0.0
        self.stack_gap = self.cap * 0.16 if figures.numerator and figures.whole not in ("", MINUS) else self.cap * 0.05
        self.height = self.cap
        if figures.numerator:
            self.height = 2 * (self.cap * SHARE + self.gap) + self.bar
        self.width = self.whole.width + self.unit.width + (self.unit_gap if figures.unit else 0.0)
        if figures.numerator:
            self.width += self.stack_gap + self.stack

    def put(self, x: float, middle: float) -> None:
        """Draw on the open canvas; `middle` is the height of the figures' middle and of the fraction's bar."""
        self.whole.put(x, middle - self.cap / 2)
        x += self.whole.width
        if self.stack:
            x += self.stack_gap
            SmoothRoundedRectangle(pos=(x, middle - self.bar / 2), size=(self.stack, self.bar), radius=[self.bar / 2])
            for part, foot in (
                (self.numerator, middle + self.bar / 2 + self.gap),
                (self.denominator, middle - self.bar / 2 - self.gap - self.cap * SHARE),
            ):
                part.put(x + (self.stack - part.width) / 2, foot)
            x += self.stack
        if self.unit.width:
            self.unit.put(x + self.unit_gap, middle - self.cap / 2)


@lru_cache(256)
def figures_width(reading: Reading | Figures | str | None, cap: float) -> float:
    """The width of a number when its figures are `cap` millimetres high (mm)."""
    return _Setting(take_apart(reading), cap, 10.0).width / 10.0
