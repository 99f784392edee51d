"""Lower bounds for plans on boards of different widths: by area, dual feasible functions, and every set of boards.

These bounds hold for requests of any size; small ones are solved exactly by `small_packings`.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from tracker.design.model import Build, Wood
from tracker.measure.length import ZERO
from tracker.plan.boards.blanks import Batch, Blank
from tracker.plan.boards.remaining import BoardLeft
from tracker.plan.boards.rip.bounds import least_length
from tracker.plan.boards.rip.sheet import Sheet

MOST_BOARDS = 12
"""Up to this many boards, every set of them is tested for whether it could hold all pieces."""


class MixedBounds(Struct):
    """The pieces wanted, and the boards with their clear stretches."""

    build: Build
    wood: Wood
    runs: tuple[Batch, ...]
    have: tuple[BoardLeft, ...]
    sheets: list[Sheet]

    def board_area(self, at: int) -> Fraction:
        """The area of a whole board, in square mm."""
        board = self.have[at]
        return board.length.mm * (board.width or self.wood.width).mm

    def need(self) -> Fraction:
        """The least area of the pieces, each with a kerf on two sides; boards are counted the same way."""
        blanks = [blank for run in self.runs for blank in run.blanks]
        return sum((_with_kerf(self.build, blank) for blank in blanks), Fraction(0))

    def least(self) -> tuple[Fraction, Fraction]:
        """Lower bounds: the area of pieces that no stretch holds and of what the boards can't hold by area; then the
        least area of boards that can hold the others."""
        blanks = [blank for run in self.runs for blank in run.blanks]
        holds = [blank for blank in blanks if self._held(blank)]
        never = sum((blank.length.mm * blank.across.mm for blank in blanks if not self._held(blank)), Fraction(0))
        kerf = self.build.shop.kerf.mm
        roomy = [
            (sheet.stretch.length.mm + kerf) * (Fraction(sheet.strip.width, sheet.strip.per_mm) + kerf)
            for sheet in self.sheets
        ]
        need = sum((_with_kerf(self.build, blank) for blank in holds), Fraction(0))
        short = need - sum(roomy, Fraction(0))
        if short > 0:  # any piece left over has at least this area, less its kerfs
            smallest = min((blank.length.mm * blank.across.mm for blank in holds), default=Fraction(0))
            return never + smallest, Fraction(0)
        return never, self._least_boards(holds, roomy, need)

    def _held(self, blank: Blank) -> bool:
        return any(
            blank.across.mm * sheet.strip.per_mm <= sheet.strip.width and blank.length <= sheet.stretch.length
            for sheet in self.sheets
        )

    def _least_boards(self, holds: Sequence[Blank], roomy: Sequence[Fraction], need: Fraction) -> Fraction:
        """The least area of whole boards whose clear area suffices, and that hold every piece taken alone."""
        boards = range(len(self.have))
        room = [Fraction(0)] * len(self.have)
        for much, sheet in zip(roomy, self.sheets, strict=True):
            room[sheet.board] += much
        if not holds:
            return Fraction(0)
        if len(self.have) > MOST_BOARDS:
            return need * min((self.board_area(b) / room[b] for b in boards if room[b]), default=Fraction(0))
        kinds = list({(blank.length, blank.across): blank for blank in holds}.values())
        for area, chosen in self.by_area(room, need):
            if self._could_hold(holds, kinds, [sheet for sheet in self.sheets if sheet.board in chosen]):
                return area
        return Fraction(0)

    def by_area(self, room: Sequence[Fraction], need: Fraction) -> list[tuple[Fraction, tuple[int, ...]]]:
        """Every set of boards with room for `need`, the smallest first."""
        found = []
        areas = [self.board_area(b) for b in range(len(self.have))]
        for bits in range(1, 1 << len(self.have)):
            chosen = tuple(b for b in range(len(self.have)) if bits >> b & 1)
            if sum((room[b] for b in chosen), Fraction(0)) >= need:
                found.append((sum((areas[b] for b in chosen), Fraction(0)), chosen))
        return sorted(found)

    def _could_hold(self, holds: Sequence[Blank], kinds: Sequence[Blank], sheets: Sequence[Sheet]) -> bool:
        """A necessary condition: each piece fits some stretch, and the pieces at least as wide as it take no more
        length than there is where it fits."""
        kerf = self.build.shop.kerf
        fitting = [[s for s in sheets if kind.across.mm * s.strip.per_mm <= s.strip.width] for kind in kinds]
        if not all(
            any(kind.length <= s.stretch.length for s in fit) for kind, fit in zip(kinds, fitting, strict=True)
        ):  # fmt: skip
            return False
        for kind, fit in zip(kinds, fitting, strict=True):
            wide = [blank for blank in holds if blank.across >= kind.across]
            widest = max(fit, key=lambda s: Fraction(s.strip.width, s.strip.per_mm)).strip
            need = least_length([widest.rect(b, b.length, b.across) for b in wide], widest, False)
            if need > sum((s.stretch.length + kerf for s in fit), ZERO):
                return False
        return True


def _with_kerf(build: Build, blank: Blank) -> Fraction:
    kerf = build.shop.kerf.mm
    return (blank.length.mm + kerf) * (blank.across.mm + kerf)
