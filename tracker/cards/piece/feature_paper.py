"""The drawing of a worked side on paper: lines and words in millimetres, with the same layout as on the card."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, sin

from tracker.cards.piece.feature_layout import ROW, FeatureLayout, Type
from tracker.cards.piece.feature_view import Cut, FeatureView, Measure, Point
from tracker.cards.piece.interrupted_view import clip
from tracker.cards.template.page import Stroke, Words, line

CAPITAL = 0.72
"""The cap height of Helvetica, as a fraction of the type size."""
FINE, NUMBER = 2.3, 3.2
"""Cap heights in mm: readable on a bench with the sheet at arm's length."""
MOST_ROWS, MOST_COLUMNS = 10, 4
WASTE = 0.82
"""The grey of what is cut away."""
_WIDE = {**dict.fromkeys("0123456789", 0.556), **dict.fromkeys(" ./,'|il·", 0.278), '"': 0.355, "m": 0.833, "⁄": 0.278}
"""Widths of Helvetica's characters as fractions of the type size: Adobe's metrics of the standard fonts, from memory,
the narrowest rounded up; others count as 0.53."""
_ROUND = 48


def plain(text: str) -> str:
    """Words with characters that every printer has."""
    return text.replace("⁄", "/").replace("″", '"').replace("′", "'").replace("\u2009", " ").replace("\u202f", " ")


def width(text: str, capital: float, bold: bool) -> float:
    """The width in millimetres of words in Helvetica."""
    return sum(_WIDE.get(sign, 0.53) for sign in plain(text)) * capital / CAPITAL


def height(view: FeatureView, wide: float) -> float:
    """The height of a side's drawing at this width: no more than its dimensions and the piece need."""
    type_ = _type()
    probe = FeatureLayout(view, (0.0, 0.0, wide, 200.0), type_)
    ys = [y for _, y in view.outline]
    xs = [x for x, _ in view.outline]
    breadth, long = max(ys) - min(ys), max(xs) - min(xs)
    drawn = max(12.0, min(45.0, breadth * min(1.0, (wide - 60.0) / long)))
    return drawn + len(probe.rows) * ROW + FINE + 6.0


def _type() -> Type:
    return Type(
        fine=FINE, number=NUMBER, width=width, most_rows=MOST_ROWS, most_columns=MOST_COLUMNS, share=0.9, thin=0
    )


def drawn(view: FeatureView, box: tuple[float, float, float, float]) -> tuple[list[Stroke], list[Words]]:
    """The side in its box: left, bottom, width and height."""
    sheet = _Sheet(FeatureLayout(view, box, _type()))
    return list(sheet.strokes()), list(sheet.words())


class _Sheet:
    def __init__(self, at: FeatureLayout) -> None:
        self.at = at
        self.said: list[Words] = []

    def strokes(self) -> Iterator[Stroke]:
        at = self.at
        for first, last in at.spans:
            wood = [at.within(point, first) for point in clip(at.view.outline, first, last)]
            yield _closed(wood, 0.3, 1.0)
            for cut in at.view.cuts:
                yield from self._cut(cut, first, last)
            yield _closed(wood, 0.3)
        for row, measures in enumerate(at.rows):
            for each in measures:
                yield from self._along(each, at.top + row * ROW + 3.6)
        yield from self._columns()

    def words(self) -> Iterator[Words]:
        """The numbers, after `strokes` has laid them out, and the names of the sides."""
        yield from self.said
        at, x = self.at, self.at.box[0]
        first, last = at.place((at.start, at.low))[0], at.place((at.end, at.low))[0]
        left = width(at.view.left, FINE, False)
        yield _words(at.view.left, FINE, max(x, first - left - 2.0), at.top - FINE - 1.0)
        if not at.upright:
            yield _words(at.view.right, FINE, last + 2.0, at.top - FINE - 1.0)
        foot = at.words()
        middle = (first + last - width(foot, FINE, False)) / 2
        yield _words(foot, FINE, max(x, middle), at.y0 - FINE - 2.0)

    def _cut(self, cut: Cut, first: float, last: float) -> Iterator[Stroke]:
        at = self.at
        if cut.centre is not None:
            if first <= cut.centre[0] <= last:
                x, y = at.within(cut.centre, first)
                radius = max(cut.radius * at.scale, 0.6)
                turns = [2 * pi * step / _ROUND for step in range(_ROUND)]
                yield _closed([(x + radius * cos(turn), y + radius * sin(turn)) for turn in turns], 0.35, WASTE)
                arm = radius + 1.0
                yield line((x - arm, y), (x + arm, y), width=0.12)
                yield line((x, y - arm), (x, y + arm), width=0.12)
            return
        shape = [at.within(point, first) for point in clip(cut.outline, first, last)]
        if len(shape) >= 3:
            yield _closed(shape, 0.45, 1.0 if cut.kept else WASTE)

    def _along(self, each: Measure, y: float) -> Iterator[Stroke]:
        """A dimension above the piece, with extension lines from its ends."""
        (x0, y0), (x1, y1) = self.at.place(each.start), self.at.place(each.end)
        for x, foot in ((x0, y0), (x1, y1)):
            yield line((x, foot), (x, y + 1.0), width=0.12)
        wide, low, high = width(each.text, NUMBER, True), min(x0, x1), max(x0, x1)
        beside = self.at.number_left(each)
        if beside is None:
            middle = (low + high) / 2
            for start, end in ((middle - wide / 2 - 1.0, low), (middle + wide / 2 + 1.0, high)):
                yield from _arrow((start, y), (end, y))
            left = middle - wide / 2
        else:
            yield line((low, y), (high, y), width=0.3)
            left = beside
        yield from self._number(each.text, left, y)

    def _columns(self) -> Iterator[Stroke]:
        """Dimensions across the side, to the right of the piece."""
        x = self.at.place((self.at.end, self.at.low))[0] + 3.0
        columns: list[tuple[float, float, str]] = []
        for each in self.at.upright:
            (x0, y0), (x1, y1) = self.at.place(each.start), self.at.place(each.end)
            for foot, y in ((x0, y0), (x1, y1)):
                yield line((foot, y), (x, y), width=0.12)
            yield line((x, y0), (x, y1), width=0.4)
            columns.append((x + 1.2, (y0 + y1) / 2, each.text))
            x += width(each.text, NUMBER, True) + 4.0
        for left, middle, text in columns:  # over the lines that lead to the others
            yield from self._number(text, left, middle)

    def _number(self, text: str, left: float, middle: float) -> Iterator[Stroke]:
        """A number on a white slip, so that no line runs through it."""
        wide, y = width(text, NUMBER, True), middle - NUMBER / 2
        slip = [(left - 0.4, y - 0.6), (left + wide + 0.4, y - 0.6), (left + wide + 0.4, y + NUMBER + 0.6)]
        yield _closed([*slip, (left - 0.4, y + NUMBER + 0.6)], 0.0, 1.0)
        self.said.append(_words(text, NUMBER, left, y))


def _words(text: str, capital: float, x: float, y: float) -> Words:
    return Words(x, y, capital / CAPITAL, plain(text))


def _closed(points: list[Point], wide: float, fill: float | None = None) -> Stroke:
    return Stroke(path=(*line(*points).path, ("close", ())), width=wide, fill=fill)


def _arrow(start: Point, tip: Point) -> Iterator[Stroke]:
    """A horizontal arrow."""
    (x, y), back = tip, 1.6 if start[0] > tip[0] else -1.6
    yield line(start, tip, width=0.3)
    yield _closed([(x, y), (x + back, y + 0.55), (x + back, y - 0.55)], 0.0, 0.0)
