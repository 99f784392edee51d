"""The layout of the drawing of a worked side, in points of its surface, `y` upward.

One scale in both directions. A long piece is broken where nothing is cut, never squeezed. The screen and the paper draw
from the same layout.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from tracker.cards.piece.feature_view import FeatureView, Measure, Point
from tracker.cards.piece.interrupted_view import spread
from tracker.words import say

ROW = 7.4
"""The height in millimetres of a row of dimensions above the piece."""
BREAK = 3.0
SCREEN_HIGH = 32.0
"""The wanted height of a side on the screen (mm)."""
SMALL = 0.7
"""Below this share of the wanted height, more of the piece is left out of the drawing."""
LONG_CUT = 4.0
"""A cut longer than this many breadths of the side may be broken."""
CLEAR = 0.0
"""The gap in millimetres between the numbers beside the piece and those above it."""


class Type(Struct, frozen=True, kw_only=True):
    """The size of words and numbers, and their width; `mm` is points per millimetre."""

    fine: float
    """The cap height of the words, in mm."""
    number: float
    width: Callable[[str, float, bool], float]
    """The width in points of words, by their cap height in mm and whether they are bold."""
    mm: float = 1.0
    most_rows: int = 3
    share: float = 0.55
    """How much of the height the dimensions above the piece may take."""
    most_columns: int = 2
    high: float = 14.0
    """The wanted height of the side in millimetres, where there is room: for it more of a long piece is left out."""
    below: bool = False
    """Whether the names of the ends are below the piece, so that it has the whole width."""
    thin: float = 7.0
    """A side that would be drawn thinner than this, in millimetres, has only one number beside it."""


class FeatureLayout:
    """One drawing in a box: left, bottom, width and height in points."""

    def __init__(self, view: FeatureView, box: tuple[float, float, float, float], type_: Type) -> None:
        self.view, self.box, self.type = view, box, type_
        xs, ys = [x for x, _ in view.outline], [y for _, y in view.outline]
        self.low, self.high = min(ys), max(ys)
        self.start, self.end = min(xs), max(xs)
        along = [each for each in view.measures if not each.upright]
        self.upright = [each for each in view.measures if each.upright][: type_.most_columns]
        self.high_rows = min(len(along), type_.most_rows, int(type_.share * box[3] / (ROW * type_.mm)))
        self.foot_rows = 1 if not type_.below or self._one_row() else 2
        """The rows of words below the piece."""
        self.truncated = False
        """Whether a row of dimensions had no room."""
        self._lay_out()
        if self.top - self.y0 < type_.thin * type_.mm and len(self.upright) > 1:
            del self.upright[1:]  # the words have the others, and the piece gets their room
            self._lay_out()
        self._limit = self._end_of_rows()
        self.rows = self._rows(along)

    @property
    def right(self) -> float:
        return self.box[0] + self.box[2]

    def number_width(self, text: str) -> float:
        return self.type.width(text, self.type.number, True)

    def _lay_out(self) -> None:
        (x, y, wide, high), mm, fine = self.box, self.type.mm, self.type.fine
        sides = [self.type.width(words, fine, False) + 3 * mm for words in (self.view.left, self.view.right)]
        if self.type.below:
            sides = [mm, mm]
        columns = sum(self.number_width(each.text) + 4 * mm for each in self.upright)
        left = x + sides[0]
        right = x + wide - max(sides[1], columns + 2 * mm if self.upright else 0)
        foot, head = (self.foot_rows * (fine + 3)) * mm, self.high_rows * ROW * mm + 2 * mm
        width, height = max(10 * mm, right - left), max(6 * mm, high - foot - head)
        breadth = max(self.high - self.low, 1e-6)
        whole = min(width / max(self.end - self.start, 1e-6), height / breadth)
        wanted = min(self.type.high * mm, height) / breadth if self.view.grain else whole  # no end is broken
        self.scale, self.spans = whole, [(self.start, self.end)]
        for ends_of_cuts in (False, True):  # a cut is drawn whole unless that makes all of it too small
            if self.scale < SMALL * wanted:
                self._break(width, wanted, ends_of_cuts)
        used = sum(b - a for a, b in self.spans) * self.scale + (len(self.spans) - 1) * BREAK * mm
        self.x0 = left + (width - used) / 2
        self.y0 = y + foot + (height - breadth * self.scale) / 2
        self.top = self.y0 + breadth * self.scale

    def _break(self, width: float, scale: float, ends_of_cuts: bool) -> None:
        """Leave out stretches where nothing is cut, at the largest scale, up to `scale`, that beats the present one."""
        gap = BREAK * self.type.mm
        while scale > self.scale:
            spans = self._kept(gap / scale, ends_of_cuts)
            used = sum(b - a for a, b in spans) * scale + (len(spans) - 1) * gap
            if used <= width:
                self.scale, self.spans = scale, spread(spans, (width - used) / scale, self.start, self.end)
                return
            scale *= 0.93

    def _kept(self, merge: float, ends_of_cuts: bool) -> list[tuple[float, float]]:
        """The stretches to draw: both ends, and the surroundings of every cut, or of both ends of a long cut."""
        reach = 0.6 * (self.high - self.low)
        spans = [(self.start, self.start + reach), (self.end - reach, self.end)]
        for cut in self.view.cuts:
            xs = [x for x, _ in cut.outline]
            if cut.centre is not None:
                xs = [cut.centre[0] - cut.radius, cut.centre[0] + cut.radius]
            first, last = min(xs), max(xs)
            long = last - first > LONG_CUT * (self.high - self.low)
            runs = last - first > 0.9 * (self.end - self.start)
            if runs or (ends_of_cuts and long):  # it may be broken, too, but not where it stops
                spans += [(wall - reach, wall + reach) for wall in (first, last)]
            else:
                spans.append((first - reach, last + reach))
        joined: list[tuple[float, float]] = []
        for first, last in sorted((max(self.start, a), min(self.end, b)) for a, b in spans):
            if joined and first - joined[-1][1] < 2 * merge:
                joined[-1] = (joined[-1][0], max(joined[-1][1], last))
            else:
                joined.append((first, last))
        return joined

    def place(self, point: Point) -> Point:
        """Where a point of the side is drawn."""
        x, left = point[0], self.x0
        for at, (first, last) in enumerate(self.spans):
            if x <= last or at == len(self.spans) - 1:
                return left + (max(x, first) - first) * self.scale, self.y0 + (point[1] - self.low) * self.scale
            left += (last - first) * self.scale + BREAK * self.type.mm
        return left, self.y0

    def within(self, point: Point, first: float) -> Point:
        """A point of the stretch that begins at `first`; the piece is broken at the ends of a stretch."""
        left = self.x0
        for start, end in self.spans:
            if start == first:
                return left + (point[0] - start) * self.scale, self.y0 + (point[1] - self.low) * self.scale
            left += (end - start) * self.scale + BREAK * self.type.mm
        return self.place(point)

    def _rows(self, measures: Sequence[Measure]) -> list[list[Measure]]:
        """The dimensions along the piece in rows without overlaps, the short ones nearest the piece."""
        mm = self.type.mm
        rows: list[list[Measure]] = []
        taken: list[list[tuple[float, float]]] = []
        for each in sorted(measures, key=lambda one: abs(one.end[0] - one.start[0])):
            low, high = sorted((self.place(each.start)[0], self.place(each.end)[0]))
            beside = self.number_left(each)
            if beside is not None:
                low, high = min(low, beside), max(high, beside + self.number_width(each.text) + mm)
            row = next(
                (at for at, spans in enumerate(taken) if all(high <= a or low >= b for a, b in spans)), len(rows)
            )
            if row == len(rows):
                rows.append([])
                taken.append([])
            rows[row].append(each)
            taken[row].append((low, high))
        self.truncated = len(rows) > self.high_rows
        return rows[: self.high_rows]

    def number_left(self, each: Measure) -> float | None:
        """The left edge of the number of a dimension too short to hold it; None if the number fits in the middle."""
        low, high = sorted((self.place(each.start)[0], self.place(each.end)[0]))
        mm, text = self.type.mm, self.number_width(each.text)
        if high - low > text + 6 * mm:
            return None
        return high + mm if high + mm + text < self._limit else max(self.box[0], low - mm - text)

    def _end_of_rows(self) -> float:
        """The right-hand limit of the numbers above the piece: clear of those beside it, where these reach as high."""
        end, tall = self.place((self.end, self.low))[0], self.type.number * self.type.mm
        tops = [(self.place(each.start)[1] + self.place(each.end)[1] + tall) / 2 for each in self.upright]
        return end if any(max(top, self.y0 + tall) > self.top - CLEAR * self.type.mm for top in tops) else self.right

    def _one_row(self) -> bool:
        """Whether the names of the ends have room beside the words below the piece."""
        names = (self.view.left, self.side_words(), self.view.right)
        return sum(self.type.width(each, self.type.fine, False) for each in names) + 8 * self.type.mm <= self.box[2]

    def side_words(self) -> str:
        """Which side this is, and the one below it."""
        return f"{self.view.title}  ·  {self.view.low}"

    def words(self) -> str:
        """The words below: which side this is, and whether some of it is left out."""
        return self.side_words() + (say("  ·  middle left out") if len(self.spans) > 1 else "")
