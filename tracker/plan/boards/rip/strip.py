"""What a board offers to be ripped, and its pieces as rectangles, in whole numbers.

The lengths of one wood are brought to whole numbers by their common denominator: sums and comparisons stay exact, and
cost a tenth of what fractions do. Where a file's formulas give a denominator beyond reason, 1/320 mm is used, pieces
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
"""Units in a millimetre up to which all lengths are exact."""


class Rect(Struct, frozen=True):
    """A piece as it lies, in units of its strip: along and across the board."""

    blank: Blank
    along: int
    across: int

    @property
    def turned(self) -> Rect:
        """The same lying across: of a sheet without grain."""
        return Rect(self.blank, self.across, self.along)


class Strip(Struct, frozen=True):
    """`width` between a board's trimmed edges, which begin at `edge`, and the kerf, in units: `per_mm` to a mm."""

    width: int
    edge: int
    kerf: int
    per_mm: int

    @classmethod
    def of(cls, width: Length, edge: Length, kerf: Length, others: Iterable[Length] = ()) -> Strip:
        """`others` are all further lengths that are to be exact."""
        per_mm = lcm(*{length.mm.denominator for length in (width, edge, kerf, *others)}, GRID)
        if per_mm > FINEST:
            per_mm = GRID
        return cls(floor(width.mm * per_mm), ceil(edge.mm * per_mm), ceil(kerf.mm * per_mm), per_mm)

    def rect(self, blank: Blank, along: Length, across: Length) -> Rect:
        """A piece of these sizes, never smaller than they are."""
        return Rect(blank, self.up(along), self.up(across))

    def up(self, length: Length) -> int:
        """In units, rounded up where it is no whole number of them."""
        return ceil(length.mm * self.per_mm)

    def down(self, length: Length) -> int:
        """In units, rounded down where it is no whole number of them."""
        return floor(length.mm * self.per_mm)

    def length(self, units: int) -> Length:
        """A number of units as a length."""
        return Length(Fraction(units, self.per_mm))

    def section(self, lanes: Sequence[Sequence[Rect]]) -> Batch:
        """Lanes side by side from the near edge on, the longest first; pieces in a lane end to end."""
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
