"""What a person gets from a glance at a screen, measured on what is drawn: texts by their glyphs, drawings by strokes
and fills."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from kivy.graphics import Instruction
from kivy.uix.widget import Widget

from kit.boxes import Box, Words, box_of, clip_of, in_view, walk_all, words
from tracker.measure.tape_reading import SLASH
from tracker.screens.base import CardView
from tracker.screens.drawing.shape import ShapeView
from tracker.screens.places.batch_bar import BatchBar
from tracker.screens.shell import ClockStack
from tracker.screens.toolkit.buttons import RailButton
from tracker.screens.toolkit.list_rows import StripCell
from tracker.screens.toolkit.lists import QueueList
from tracker.screens.toolkit.marks import MarksRow
from tracker.screens.toolkit.touch import Holdable, Tappable

ARM_CAP = 4.65
"""The cap height that covers 16 minutes of arc at 1 m (mm): the minimum of ISO 9241-3 as quoted in NUREG-0700."""
STANDS_OUT = 1.25
"""How many times higher the headline's capitals are than those of any other text."""


def seen_words(root: Widget) -> list[Words]:
    """Every text that is at least half visible."""
    return [
        each
        for each in words(root)
        if (seen := each.ink.meet(clip_of(each.widget))).height > 0.5 * each.ink.height and seen.width > 0
    ]


def ink_of(widget: Widget) -> Box | None:
    """The bounding box of everything a drawing puts on its canvas; None for an empty one."""
    points = [point for each in walk_all(widget) for point in _points(each.canvas)]
    if not points:
        return None
    xs, ys = zip(*points, strict=True)
    left, low = widget.to_window(min(xs), min(ys))
    right, high = widget.to_window(max(xs), max(ys))
    return Box(left, low, right, high).meet(box_of(widget))


def _points(group: Any) -> Iterator[tuple[float, float]]:
    for each in getattr(group, "children", ()):
        if not isinstance(each, Instruction):
            continue
        yield from _points(each)
        if points := getattr(each, "points", None):
            flat = [value for point in points for value in (point if isinstance(point, tuple | list) else (point,))]
            yield from zip(flat[::2], flat[1::2], strict=True)
        elif hasattr(each, "vertices") and len(each.vertices):
            yield from zip(each.vertices[::4], each.vertices[1::4], strict=True)
        elif hasattr(each, "pos") and hasattr(each, "size"):
            (x, y), (width, height) = each.pos, each.size
            if width > 0 and height > 0:
                yield x, y
                yield x + width, y + height


def headlines(root: Widget) -> list[Words]:
    """The texts that stand out: the largest, and all others of nearly its size."""
    seen = seen_words(root)
    highest = max((each.cap for each in seen), default=0.0)
    return [each for each in seen if each.cap * STANDS_OUT > highest]


def blocks(root: Widget) -> list[list[str]]:
    """The blocks of text, by the rows of the card that they are in; what a row has beside a drawing is another block.
    Above the card a heading, a list and the clocks are one block each. Text on buttons doesn't count: it is searched
    for, not read."""
    found: dict[int, list[str]] = {}
    for each in seen_words(root):
        line = [each.widget, *_parents(each.widget)]
        if not isinstance(each.widget, StripCell) and not any(isinstance(one, _LOOKED_FOR) for one in line):
            found.setdefault(id(_block_of(line)), []).append(each.text)
    return list(found.values())


_LOOKED_FOR = (Tappable, Holdable, RailButton)
_WHOLE = (QueueList, MarksRow, ClockStack)


def _block_of(line: list[Any]) -> Any:
    """The block of a text: the list, the drawing, or the row of the card or of the bar above it."""
    for at, widget in enumerate(line):
        if isinstance(widget, _WHOLE) or (hasattr(widget, "drawn_text") and not hasattr(widget, "reading")):
            return widget
        if isinstance(widget, CardView | BatchBar) or at == len(line) - 1:
            row = line[at - 1]
            return row if not _holds_drawing(row) else _below(line, row)
    return line[0]


def _below(line: list[Any], row: Any) -> Any:
    """The part of a row, or of a column in it, without a drawing."""
    return next(widget for widget in reversed(line[: line.index(row)]) if not _holds_drawing(widget))


def _holds_drawing(row: Any) -> bool:
    return any(isinstance(each, ShapeView) for each in walk_all(row))


def _parents(widget: Any) -> Iterator[Any]:
    while isinstance(widget.parent, Widget) and widget.parent is not widget:
        widget = widget.parent
        yield widget


def too_small(seen: Iterable[Words]) -> list[str]:
    """Texts whose capitals are too small to read at arm's length and a little more."""
    return [f"“{each.text}” has capitals of {each.cap:.2f} mm" for each in seen if each.cap < ARM_CAP]


def small_fractions(seen: Iterable[Words]) -> list[str]:
    """Fractions inside a line that aren't set in one of our fonts, whose figures are measured in test_toolkit_base:
    0.67 of the whole figures' height or more."""
    return [
        f"the fraction of “{each.text}” is set in {each.font}"
        for each in seen
        if SLASH in each.text and each.font != "Roboto"
    ]


def twice(root: Widget) -> list[str]:
    """Sentences of three words or more that a screen shows more than once."""
    said = Counter(
        sentence
        for each in seen_words(root)
        if not isinstance(each.widget, StripCell)
        for sentence in re.split(r"(?<=[.:])\s+| · |\n", each.text.strip())
        if len(sentence.split()) >= 3 and re.search(r"[^\W\d]{3}", sentence)  # `1 d 00 h` is what two clocks may say
    )
    return [f"“{sentence}” is said {count} times" for sentence, count in said.items() if count > 1]


def left_out(root: Widget) -> list[str]:
    """Words that end in an ellipsis, added by the screen or written in the text."""
    return [f"“{each.text}” isn't said whole" for each in seen_words(root) if "…" in each.text or "..." in each.text]


def shown(root: Widget, kind: type) -> list[Any]:
    """Visible widgets of a class."""
    return [each for each in walk_all(root) if isinstance(each, kind) and in_view(each)]
