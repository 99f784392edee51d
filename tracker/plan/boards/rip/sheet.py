"""One clear stretch of one board, as it is ripped and crosscut."""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from tracker.plan.boards.rip.strip import Strip
from tracker.plan.clear_board_lengths import Stretch


class Sheet(Struct, frozen=True):
    """One clear stretch of one board, which can be cut by itself. `way` says how a board that can be cleared in several
    ways is cleared; -1: as if its edges were clear."""

    board: int
    way: int
    stretch: Stretch
    strip: Strip

    @property
    def area(self) -> Fraction:
        return self.stretch.length.mm * Fraction(self.strip.width, self.strip.per_mm)
