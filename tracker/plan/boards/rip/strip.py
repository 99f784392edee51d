"""A board to be ripped and its pieces as rectangles, in whole numbers.

The lengths of one wood are scaled to whole numbers by their common denominator, so sums and comparisons stay exact at a
tenth of the cost of fractions. Where a file's formulas give an unreasonable denominator, 1/320 mm is used, with pieces
and kerf rounded up and the board down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import ceil, floor, lcm

from msgspec import Struct

from tracker.measure import Length
from tracker.measure.length import GRID
from tracker.plan.boards.blanks import Batch, Blank, Laid

FINEST = 1 << 128
"""The most units in a millimetre for which all lengths are kept exact."""


class Rect(Struct, frozen=True):
    """A piece as it lies, in units of its strip: length and width along and across the board."""

    blank: Blank
    along: int
    across: int

    @property
    def turned(self) -> Rect:
        """The same rectangle turned across: for a sheet without grain."""
        return Rect(self.blank, self.across, self.along)


class Strip(Struct, frozen=True):
    """The `width` between a board's trimmed edges, which begins at `edge`, and the kerf, in units: `per_mm` to a mm."""

    width: int
    edge: int
    kerf: int
    per_mm: int

    @classmethod
    def of(cls, width: Length, edge: Length, kerf: Length, others: Iterable[Length] = ()) -> Strip:
        """`others` are all further lengths that should be exact."""
        per_mm = lcm(*{length.mm.denominator for length in (width, edge, kerf, *others)}, GRID)
        if per_mm > FINEST:
            per_mm = GRID
        return cls(floor(width.mm * per_mm), ceil(edge.mm * per_mm), ceil(kerf.mm * per_mm), per_mm)

    def rect(self, blank: Blank, along: Length, across: Length) -> Rect:
        """A piece of these sizes, never smaller than they are."""
        return Rect(blank, self.up(along), self.up(across))

    def up(self, length: Length) -> int:
        """In units, rounded up where it isn't a whole number of them."""
        return ceil(length.mm * self.per_mm)

    def down(self, length: Length) -> int:
        """In units, rounded down where it isn't a whole number of them."""
        return floor(length.mm * self.per_mm)

    def length(self, units: int) -> Length:
        """A number of units as a length."""
        return Length(Fraction(units, self.per_mm))

    def section(self, lanes: Sequence[Sequence[Rect]]) -> Batch:
        """Lanes side by side from the near edge, the longest first; pieces in a lane end to end."""
        laid: list[Laid] = []
        across, longest = self.edge, 0
        for lane in sorted(lanes, key=lambda lane: -sum(rect.along + self.kerf for rect in lane)):
            at = 0
            for rect in lane:
                where, beside = self.length(at), self.length(across)
                laid.append(Laid(rect.blank, where, beside, self.length(rect.across), self.length(rect.along)))
                at += rect.along + self.kerf
            longest = max(longest, at - self.kerf)
            across += max(rect.across for rect in lane) + self.kerf
        return Batch(tuple(laid), self.length(longest))
