"""A small request for boards of different widths, converted to the whole numbers of `small_packings` and back."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import prod

from msgspec import Struct

from tracker.design.model import Build
from tracker.measure.length import ZERO
from tracker.plan.boards.blanks import Batch, Blank
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.rip.sheet import Sheet
from tracker.plan.boards.rip.small_packings import Load, Room, SmallPackings
from tracker.plan.boards.rip.strip import FINEST, Rect, Strip

MOST_LEFT = 3_000
"""The most combinations of leftover counts, over all sizes, in a small request."""


class Settled(Struct, frozen=True):
    """The sections on each sheet, what has no board, and the least that any cuts from edge to edge could reach: the
    area left without a board, and the area of boards begun."""

    sections: dict[int, list[Batch]]
    left: list[Batch]
    least: tuple[Fraction, Fraction]


class Small(Struct):
    """Pieces by size, and the sheets as rooms. `packings` is None where the request isn't small, has sequences, or has
    lengths without a common unit."""

    build: Build
    runs: tuple[Batch, ...]
    sheets: Sequence[Sheet]
    strip: Strip
    kinds: dict[tuple[int, int], list[Blank]]
    packings: SmallPackings | None
    at_most: tuple[Room, ...]
    """The sheets as rooms with all edges clear: no plan can place more than these hold."""

    @classmethod
    def of(cls, build: Build, runs: tuple[Batch, ...], sheets: Sequence[Sheet], at_most: Sequence[Sheet]) -> Small:
        """Every size in the request, the largest first."""
        lengths = [size for run in runs for blank in run.blanks for size in (blank.length, blank.across)]
        every = (*sheets, *at_most)
        widths = [sheet.strip.length(sheet.strip.width) for sheet in every]
        strip = Strip.of(ZERO, ZERO, build.shop.kerf, (*lengths, *widths, *(s.stretch.length for s in every)))
        rooms = [
            Room(sheet.board, sheet.way, strip.down(sheet.stretch.length), strip.down(wide))
            for sheet, wide in zip(every, widths, strict=True)
        ]
        kinds: dict[tuple[int, int], list[Blank]] = {}
        for run in runs:
            for blank in run.blanks:
                kinds.setdefault((strip.up(blank.length), strip.up(blank.across)), []).append(blank)
        kinds = dict(sorted(kinds.items(), key=lambda kind: -kind[0][0] * kind[0][1]))
        counts = tuple(len(blanks) for blanks in kinds.values())
        exact = all((length.mm * strip.per_mm).denominator == 1 for length in (*lengths, *widths, build.shop.kerf))
        few = prod(n + 1 for n in counts) <= MOST_LEFT and strip.per_mm <= FINEST
        packings = None
        if exact and few and not any(run.sequence for run in runs):
            packings = SmallPackings(tuple(kinds), counts, strip.kerf, rooms)
        return cls(build, runs, sheets, strip, kinds, packings, tuple(rooms[len(sheets) :]))

    def settle(self, areas: Sequence[Fraction], keep_going: KeepGoing) -> Settled | None:
        """The optimal plan with its proof; None where it isn't known. `areas` are those of whole boards."""
        known = self.packings
        if known is None or not (known.finished or known.run(keep_going)):
            return None
        whole = [int(area * self.strip.per_mm**2) for area in areas]
        mine = known.rooms[: len(self.sheets)]
        laid = known.best(known.laid, mine, whole, keep_going)
        sawn = known.best(known.sawn, self.at_most, whole, keep_going)
        if laid is None or sawn is None:
            return None
        waiting = {size: list(reversed(blanks)) for size, blanks in self.kinds.items()}
        sections: dict[int, list[Batch]] = {}
        rooms = sorted(range(len(self.sheets)), key=lambda at: self.sheets[at].board)
        for at, load in zip(rooms, laid.loads, strict=True):
            if load is not None:
                how = known.how(known.rooms[at], load)
                sections[at] = [self._section(at, lanes, waiting) for lanes in how]
        left = [Batch.of((blank,), self.build.shop.kerf) for blanks in waiting.values() for blank in blanks]
        square = self.strip.per_mm**2
        order = sorted(range(len(self.at_most)), key=lambda at: self.at_most[at].board)
        taken = {self.at_most[at].board for at, load in zip(order, sawn.loads, strict=True) if load is not None}
        begun = sum((areas[board] for board in taken), Fraction(0))
        return Settled(sections, left, (Fraction(known.area(sawn.left), square), begun))

    def _section(self, at: int, lanes: Sequence[Load], waiting: dict[tuple[int, int], list[Blank]]) -> Batch:
        """A section with its pieces end to end in their lanes, the widest first in each lane."""
        strip = self.sheets[at].strip
        made: list[list[Rect]] = []
        for lane in lanes:
            taken = [waiting[size].pop() for size, n in zip(self.kinds, lane, strict=True) for _ in range(n)]
            taken.sort(key=lambda blank: (-blank.across.mm, -blank.length.mm))
            made.append([strip.rect(blank, blank.length, blank.across) for blank in taken])
        return strip.section(made)
