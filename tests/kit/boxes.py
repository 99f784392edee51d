"""Where widgets and their words are on the screen, and which of them are in view: not what has scrolled away, has no
size, or is under a sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import wraps
from typing import Any

from kivy.core.window import Window
from kivy.metrics import Metrics
from kivy.uix.behaviors import ButtonBehavior
from kivy.uix.label import Label
from kivy.uix.scrollview import ScrollView
from kivy.uix.textinput import TextInput
from kivy.uix.widget import Widget

from tracker.screens.places.piece import LaySheet
from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.text import Text
from tracker.screens.toolkit.theme import CAP, millimetre
from tracker.screens.toolkit.touch import Tappable

SLACK = 0.05
"""Millimetres lost by rounding to whole points."""


@dataclass(frozen=True, slots=True)
class Box:
    """A box in points of the window, from its lower left corner."""

    left: float
    low: float
    right: float
    high: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.high - self.low

    def meet(self, other: Box) -> Box:
        return Box(
            max(self.left, other.left),
            max(self.low, other.low),
            min(self.right, other.right),
            min(self.high, other.high),
        )

    def gap(self, other: Box) -> float:
        """Distance between two boxes along the axes; negative when they overlap."""
        across = max(other.left - self.right, self.left - other.right)
        along = max(other.low - self.high, self.low - other.high)
        return max(across, along)


@dataclass(frozen=True, slots=True)
class Words:
    """A visible text: the box of its glyphs, and its cap height (mm)."""

    text: str
    ink: Box
    cap: float
    font: str
    widget: Any
    colour: tuple[float, ...]


def per_mm() -> float:
    """Points per layout millimetre, which is a true one unless the screen is smaller than the layout's minimum."""
    return millimetre(Window.size, Metrics.dpi)


_kept: dict[tuple[Any, Widget], Any] | None = None


@contextmanager
def at_rest() -> Iterator[None]:
    """While nothing moves, the measurements of a widget are shared by all rules."""
    global _kept
    _kept = {}
    try:
        yield
    finally:
        _kept = None


def _once(measure: Callable[[Widget], Any]) -> Callable[[Widget], Any]:
    """On a screen at rest each widget is measured only once."""

    @wraps(measure)
    def measured(widget: Widget) -> Any:
        if _kept is None:
            return measure(widget)
        key = (measure, widget)
        if key not in _kept:
            _kept[key] = measure(widget)
        return _kept[key]

    return measured


def walk_all(root: Widget) -> Iterator[Widget]:
    yield root
    for child in reversed(root.children):
        yield from walk_all(child)


@_once
def everything(root: Widget) -> list[Widget]:
    return list(walk_all(root))


@_once
def box_of(widget: Widget) -> Box:
    left, low = widget.to_window(widget.x, widget.y)
    right, high = widget.to_window(widget.right, widget.top)
    return Box(left, low, right, high)


@_once
def clip_of(widget: Widget) -> Box:
    """The part of the window in which the widget is visible: scroll views clip what is outside them."""
    parent = widget.parent
    if not isinstance(parent, Widget):
        return Box(0, 0, *Window.size)
    seen = clip_of(parent)
    return seen.meet(box_of(parent)) if isinstance(parent, ScrollView) else seen


@_once
def _opaque(widget: Widget) -> bool:
    """Whether neither the widget nor a parent is transparent."""
    return widget.opacity != 0 and (not isinstance(widget.parent, Widget) or _opaque(widget.parent))


@_once
def in_view(widget: Widget) -> bool:
    """Whether any of it is visible."""
    if widget.width <= 1 or widget.height <= 1 or not _opaque(widget) or widget.get_root_window() is None:
        return False
    seen = box_of(widget).meet(clip_of(widget))
    return seen.width > 1 and seen.height > 1


@_once
def layer(root: Widget) -> Widget:
    """What can be touched: the topmost sheet, or the whole screen."""
    sheets = [widget for widget in everything(root) if isinstance(widget, Overlay | LaySheet)]
    return sheets[-1] if sheets else root


@_once
def targets(root: Widget) -> list[Widget]:
    """Everything in view that responds to a tap."""
    kinds = (Tappable, ButtonBehavior, TextInput)
    return [widget for widget in everything(layer(root)) if isinstance(widget, kinds) and in_view(widget)]


@_once
def words(root: Widget) -> list[Words]:
    """Every visible text: labels, and texts that widgets draw themselves and list in `drawn_text`."""
    found = []
    for widget in everything(layer(root)):
        is_label, drawn = isinstance(widget, Label), getattr(widget, "drawn_text", ())
        if not (is_label or drawn) or not in_view(widget):
            continue
        if is_label and widget.text.strip() and widget.color[3] > 0:
            found.append(
                Words(_shown(widget), _ink(widget), _cap(widget), widget.font_name, widget, tuple(widget.color))
            )
        for text, (x, y, width, height), cap, colour in drawn:
            left, low = widget.to_window(x, y)
            found.append(Words(text, Box(left, low, left + width, low + height), cap, "Roboto", widget, colour))
    return found


def name_of(widget: Any) -> str:
    """How a person would refer to it."""
    for field in ("text", "title", "word", "key"):
        value = getattr(widget, field, "")
        if isinstance(value, str) and value:
            return f"{type(widget).__name__} {quoted(value)}"
    return type(widget).__name__


def quoted(text: str) -> str:
    return f"“{text if len(text) <= 40 else text[:39] + '…'}”"


def _shown(label: Label) -> str:
    return label.shown if isinstance(label, Text) else label.text


def _cap(label: Label) -> float:
    return float(label.font_size) * CAP / per_mm()


def _ink(label: Label) -> Box:
    """Where the label's text is drawn: its texture, less the space above the capitals and below the descenders."""
    box = box_of(label)
    width, height = label.texture_size
    wide = min(width, box.width)
    tall = min(height, box.height)
    align = label.halign if label.text_size[0] else "center"
    longest = _longest_line(label)
    left = box.left + {"left": 0.0, "center": (box.width - longest) / 2, "right": box.width - longest}.get(align, 0.0)
    if wide < box.width - 1 and not label.text_size[0]:
        left = box.left + (box.width - wide) / 2
    lines = max(1, len(getattr(label._label, "_cached_lines", ())))
    if label.text_size[1]:
        tall = min(tall, lines * label.font_size * 1.172)
    middle = (box.low + box.high) / 2
    low = {"top": box.high - tall, "bottom": box.low}.get(label.valign, middle - tall / 2)
    air = 0.15 * label.font_size
    return Box(left, low + air, left + longest, low + tall - air)


def _longest_line(label: Label) -> float:
    lines = getattr(label._label, "_cached_lines", ())
    return float(max((line.w for line in lines), default=label.texture_size[0]))
