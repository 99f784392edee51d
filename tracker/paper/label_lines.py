"""The lines of a label at one scale: its title, what is above its drawing, and what is below it. Measured in dots."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from tracker.cards.labels.label import Label
from tracker.paper import type as setting
from tracker.paper.ink import Placed
from tracker.paper.type import CAPITAL, Weight
from tracker.words import say
from tracker.work.codes import grouped

LEADING = 1.16
"""The line spacing, as a multiple of the font size."""
# Font sizes in millimetres at which a label is ideally set; all shrink together until everything fits.
TITLE, FINAL, PLAIN, SMALL = 7.0, 4.6, 3.8, 3.0
LEAST = 1.9
"""The smallest type on any label: capitals of 1.35 mm."""
LEAST_TITLE = 3.0


class TextLine(Struct, frozen=True):
    text: str
    weight: Weight
    dots: int
    lead: str = ""
    """Words set in bold before the text."""

    @property
    def advance(self) -> float:
        return self.dots * LEADING

    @property
    def width(self) -> float:
        return setting.width(self.lead, "bold", self.dots) + setting.width(self.text, self.weight, self.dots)

    def placed(self, x: float, top: float) -> Iterator[Placed]:
        baseline = self._baseline(top)
        if self.lead:
            yield from setting.placed_by_glyph(x, baseline, self.lead, "bold", self.dots)
            x += setting.width(self.lead, "bold", self.dots)
        yield from setting.placed(x, baseline, self.text, self.weight, self.dots)

    def placed_by_glyph(self, x: float, top: float) -> list[Placed]:
        """Like `placed`, for words that are on one label only."""
        return setting.placed_by_glyph(x, self._baseline(top), self.text, self.weight, self.dots)

    def _baseline(self, top: float) -> float:
        return top + self.dots * (CAPITAL + (LEADING - 1) / 2)


class Box(Struct, frozen=True):
    """The room for words, in dots."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


def size_at(millimetres: float, mm: float, scale: float) -> int:
    return max(round(LEAST * mm), round(millimetres * mm * scale))


def blank_words(label: Label) -> str:
    return say("Blank {blank}", blank=label.blank) if label.blank else ""


def lines_above(label: Label, box: Box, mm: float, scale: float) -> Iterator[TextLine]:
    rest: list[tuple[str, Weight, float]] = [(label.final, "bold", FINAL), (blank_words(label), "regular", PLAIN)]
    rest += [(words, "regular", SMALL) for words in label.lines]
    rest += [(words, "regular", SMALL) for words in label.joinery]
    for text, weight, millimetres in rest:
        dots = size_at(millimetres, mm, scale)
        for row in setting.wrap(text, weight, dots, box.width) if text else ():
            yield fitted(row, weight, dots, round(LEAST * mm), box.width)


def title_lines(title: str, box: Box, mm: float, scale: float) -> list[TextLine]:
    """One line if it need not shrink much, otherwise two; shortened only if even two lines of the smallest size don't
    fit."""
    ideal = size_at(TITLE, mm, scale)
    least = min(ideal, round(LEAST_TITLE * mm))
    words, dots = setting.fit(title, "bold", ideal, max(least, round(ideal * 0.75)), box.width)
    if words == title:
        return [TextLine(title, "bold", dots)]
    for dots in range(ideal, least - 1, -max(1, ideal // 24)):
        lines = setting.wrap(title, "bold", dots, box.width)
        if len(lines) <= 2 and all(setting.width(line, "bold", dots) <= box.width for line in lines):
            return [TextLine(line, "bold", dots) for line in lines]
    return [fitted(title, "bold", least, least, box.width)]


def lines_below(label: Label, box: Box, mm: float, scale: float, with_code: bool) -> list[TextLine]:
    least, small = round(LEAST * mm), size_at(SMALL, mm, scale)
    turned = " · ".join(words for words in (label.face, label.hand) if words)
    lines = [fitted(turned, "bold", small, least, box.width)] if turned else []
    if with_code:
        code, dots = setting.fit(grouped(label.code), "bold", small, least, box.width)
        code += "   " if label.build else ""
        build = fitted(label.build, "regular", dots, dots, box.width - setting.width(code, "bold", dots))
        return [*lines, TextLine(build.text, "regular", dots, lead=code)]
    return [*lines, fitted(label.build, "regular", small, least, box.width)] if label.build else lines


def fitted(text: str, weight: Weight, dots: int, least: int, room: float) -> TextLine:
    words, size = setting.fit(text, weight, dots, least, room)
    return TextLine(words, weight, size)


def lines_height(lines: Iterable[TextLine]) -> float:
    return sum(line.advance for line in lines)
