"""Exhaustive search for sections: every way to divide a few pieces among sections, one piece to a lane; the cheapest
one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from tracker.plan.boards.blanks import Batch
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.rip.strip import Rect, Strip

FEW = 12
"""Up to this many pieces, every way to make sections is tried."""


def best_sections(
    rects: Sequence[Rect],
    strip: Strip,
    cost_of: Callable[[list[int]], tuple[int, int] | None],
    known: tuple[int, int],
    keep_going: KeepGoing,
) -> tuple[list[Batch] | None, bool]:
    """The cheapest sections if they are cheaper than what is known, and whether all ways were tried.

    `cost_of` returns the least (price, length) of boards for sections of these lengths; None when they don't fit. Each
    piece, longest first, joins an open section or opens a new one. Sections of equal length that hold the same widths
    count as one.
    """
    order = sorted(rects, key=lambda rect: (rect.along, rect.across), reverse=True)
    search = _Search(order, strip, cost_of, known, keep_going, [])
    search.place(0)
    return search.best, not search.stopped


class _Search(Struct):
    order: Sequence[Rect]
    strip: Strip
    cost_of: Callable[[list[int]], tuple[int, int] | None]
    known: tuple[int, int]
    keep_going: KeepGoing
    open: list[list[Rect]]
    best: list[Batch] | None = None
    stopped: bool = False

    def place(self, i: int) -> None:
        """Place the i-th piece and those after it."""
        if self.stopped or not self.keep_going():
            self.stopped = True
            return
        cost = self.cost_of([rects[0].along for rects in self.open]) if self.open else (0, 0)
        if cost is None or cost >= self.known:  # sections only become more
            return
        if i == len(self.order):
            self.known = cost
            self.best = [self.strip.section([[rect] for rect in rects]) for rects in self.open]
            return
        rect, seen = self.order[i], set()
        for rects in self.open:
            state = (rects[0].along, tuple(sorted(each.across for each in rects)))
            used = sum(each.across + self.strip.kerf for each in rects)
            if state not in seen and used + rect.across <= self.strip.width:
                seen.add(state)
                rects.append(rect)
                self.place(i + 1)
                rects.pop()
        self.open.append([rect])
        self.place(i + 1)
        self.open.pop()
