"""Walkers over a screen: each returns a list of problems, in words, which is empty when all is well.

They check only what is in view: not what has scrolled away, has no size, or is under a sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, wraps
from itertools import combinations
from typing import Any, TypeAlias

from kivy.core.text import LabelBase
from kivy.core.window import Window
from kivy.metrics import Metrics
from kivy.uix.behaviors import ButtonBehavior
from kivy.uix.label import Label
from kivy.uix.scrollview import ScrollView
from kivy.uix.textinput import TextInput
from kivy.uix.widget import Widget
from PIL import Image, ImageFont

from kit.colour import apca, contrast, contrast_in_glare
from tracker.screens.places.piece import LaySheet
from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.text import Text
from tracker.screens.toolkit.theme import CAP, GAP, GAP_DANGER, SCALE, SMALL, millimetre
from tracker.screens.toolkit.touch import Holdable, Tappable

Violation: TypeAlias = str
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
def _everything(root: Widget) -> list[Widget]:
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
def _layer(root: Widget) -> Widget:
    """What can be touched: the topmost sheet, or the whole screen."""
    sheets = [widget for widget in _everything(root) if isinstance(widget, Overlay | LaySheet)]
    return sheets[-1] if sheets else root


@_once
def targets(root: Widget) -> list[Widget]:
    """Everything in view that responds to a tap."""
    kinds = (Tappable, ButtonBehavior, TextInput)
    return [widget for widget in _everything(_layer(root)) if isinstance(widget, kinds) and in_view(widget)]


@_once
def words(root: Widget) -> list[Words]:
    """Every visible text: labels, and texts that widgets draw themselves and list in `drawn_text`."""
    found = []
    for widget in _everything(_layer(root)):
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


def small_targets(root: Widget) -> list[Violation]:
    """Targets smaller than their least side (`least_mm`, or 15 mm)."""
    wrong = []
    for widget in targets(root):
        least = getattr(widget, "least_mm", SMALL)
        width, height = (side / per_mm() for side in widget.size)
        if min(width, height) < least - SLACK:
            wrong.append(f"{name_of(widget)} is {width:.1f} × {height:.1f} mm; it needs {least:g}")
    return wrong


def close_targets(root: Widget) -> list[Violation]:
    """Targets closer than 3 mm, or 6 mm beside a destructive one."""
    wrong = []
    seen = [(widget, box_of(widget).meet(clip_of(widget))) for widget in targets(root)]
    for (one, here), (other, there) in combinations(seen, 2):
        least = GAP_DANGER if isinstance(one, Holdable) or isinstance(other, Holdable) else GAP
        gap = here.gap(there) / per_mm()
        if gap < least - SLACK and not _related(one, other):
            wrong.append(f"{name_of(one)} and {name_of(other)} are {gap:.1f} mm apart; they need {least:g}")
    return wrong


def small_text(root: Widget) -> list[Violation]:
    """Text with capitals under 3.5 mm."""
    least = min(SCALE.values())
    return [f"{_quote(each.text)} is {each.cap:.2f} mm high" for each in words(root) if each.cap < least - SLACK]


def truncated(root: Widget) -> list[Violation]:
    """Text that was cut, broken inside a word, or is larger than its box."""
    wrong = []
    for widget in _everything(_layer(root)):
        if not in_view(widget):
            continue
        if getattr(widget, "truncated", False):
            wrong.append(f"{_quote(getattr(widget, 'text', ''))} is cut short in {name_of(widget)}")
        elif getattr(widget, "broken", False):
            wrong.append(f"a word of {_quote(widget.text)} is broken")
        elif isinstance(widget, Label) and widget.text.strip():
            width, height = widget.texture_size
            if width > widget.width + 1 or height > widget.height + 0.12 * widget.font_size:
                wrong.append(f"{_quote(widget.text)} is larger than its box")
    return wrong


def cut_words(root: Widget) -> list[Violation]:
    """Words cut by the edge of a scroll view: half a line looks like a fault."""
    wrong = []
    for each in words(root):
        seen = each.ink.meet(clip_of(each.widget))
        cut = max(each.ink.width - seen.width, each.ink.height - seen.height) / per_mm()
        if cut > 0.3 and seen.height > 0:
            wrong.append(f"{_quote(each.text)} is cut by its list's edge by {cut:.1f} mm")
    return wrong


def overlaps(root: Widget) -> list[Violation]:
    """Texts whose glyphs overlap, and targets that overlap."""
    wrong = []
    inks = [(each, each.ink.meet(clip_of(each.widget))) for each in words(root)]
    for (one, here), (other, there) in combinations(inks, 2):
        gap = here.gap(there)
        if gap < -0.5 * per_mm():
            wrong.append(f"{_quote(one.text)} and {_quote(other.text)} overlap by {-gap / per_mm():.1f} mm")
    seen = [(widget, box_of(widget).meet(clip_of(widget))) for widget in targets(root)]
    for (first, mine), (second, its) in combinations(seen, 2):
        if mine.gap(its) < -1 and not _related(first, second):
            wrong.append(f"{name_of(first)} and {name_of(second)} lie on each other")
    return wrong


def off_screen(root: Widget) -> list[Violation]:
    """Targets and texts that extend outside the window (except those that a list has scrolled away)."""
    wrong = []
    for label, box, widget in [
        *((name_of(widget), box_of(widget), widget) for widget in targets(root)),
        *((_quote(each.text), each.ink, each.widget) for each in words(root)),
    ]:
        if _scrolls(widget):
            continue
        width, height = Window.size
        out = max(-box.left, -box.low, box.right - width, box.high - height)
        if out > 1:
            wrong.append(f"{label} reaches {out / per_mm():.1f} mm out of the window")
    return wrong


def missing_glyphs(root: Widget) -> list[Violation]:
    """Characters that the text's font lacks, which Kivy silently draws as a box."""
    wrong = []
    for each in words(root):
        lacking = {sign for sign in each.text if not sign.isspace() and not has_glyph(each.font, sign)}
        if lacking:
            wrong.append(f"{each.font} lacks {' '.join(sorted(lacking))} of {_quote(each.text)}")
    return wrong


def faint_text(root: Widget, picture: Image.Image, least: float = 7.0) -> list[Violation]:
    """Text with less contrast than `least` to the commonest colour around it on the picture of the window; less than an
    |Lc| of 75, or than 4.5 where a bright room is mirrored in the screen, will not do either. On what is disabled 4.5
    is enough."""
    wrong = []
    for each in words(root):
        seen = each.ink.meet(clip_of(each.widget))
        rim = 0.8 * per_mm()  # a single bold letter has more ink than paper
        area = (
            max(0, int(seen.left - rim)),
            max(0, int(picture.height - seen.high - rim)),
            int(seen.right + rim) + 1,
            int(picture.height - seen.low + rim) + 1,
        )
        if seen.width < 2 or seen.height < 2:
            continue
        patch = picture.crop(area)
        shades: list[Any] = list(patch.getcolors(patch.width * patch.height) or [(0, (0, 0, 0))])
        _, ground = max(shades)
        paper = tuple(value / 255 for value in ground)
        ratio, score = contrast(each.colour, paper), apca(each.colour, paper)
        glare = contrast_in_glare(each.colour, paper)
        if each.widget.disabled:
            ratio, score = ratio + least - 4.5, 75
        if ratio < least or score < 75 or glare < 4.5:
            wrong.append(f"{_quote(each.text)} has a contrast of {ratio:.1f}, |Lc| {score:.0f}, {glare:.1f} in glare")
    return wrong


ALL_RULES = (small_targets, close_targets, small_text, truncated, cut_words, overlaps, off_screen, missing_glyphs)
"""The rules for every screen, at every size, in both themes."""


@cache
def has_glyph(font: str, sign: str) -> bool:
    """Whether the file behind a Kivy font name has a glyph for `sign` other than its box for missing ones."""
    face = _face(font)
    return bytes(face.getmask(sign)) != bytes(face.getmask("\U000f1234"))


@cache
def _face(font: str) -> ImageFont.FreeTypeFont:
    from kivy.resources import resource_find

    known = LabelBase._fonts.get(font)
    path = known[0] if known else resource_find(font) or resource_find(f"{font}.ttf") or font
    return ImageFont.truetype(str(path), 40)


def name_of(widget: Any) -> str:
    """How a person would refer to it."""
    for field in ("text", "title", "word", "key"):
        value = getattr(widget, field, "")
        if isinstance(value, str) and value:
            return f"{type(widget).__name__} {_quote(value)}"
    return type(widget).__name__


def _quote(text: str) -> str:
    return f"“{text if len(text) <= 40 else text[:39] + '…'}”"


def _related(one: Widget, other: Widget) -> bool:
    """Whether one is inside the other, or both are in the same scroll view."""
    return one in _everything(other) or other in _everything(one)


def _scrolls(widget: Any) -> bool:
    while isinstance(widget, Widget):
        if isinstance(widget, ScrollView):
            return True
        widget = widget.parent
    return False


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
