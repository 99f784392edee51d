"""Repairing a packing that is nearly complete: a few stretches at a time are emptied and filled again as full as
possible.

Large neighbourhood search (Shaw 1998) with an exact subset-sum for each stretch. The aim is the least length left over,
and then free space in long ends: a long free end takes a blank, many short ones don't. In a second it finds packings
with almost no slack that a tree search can't reach; it proves nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.solver.knapsack import FINE, SubsetSums

TOGETHER = (1, 2, 2, 3, 3, 4)
"""How many stretches are emptied at a time."""
LOOKS_BETWEEN = 3
MOST_BITS = 1 << 27
"""Sizes times length of a stretch: up to this a stretch is filled to the last unit, beyond it to 1/16384 of its
length."""


Held = dict[int, int]
"""How many of each size lie in a stretch."""


class _Box(Struct):
    room: int
    pattern: Held
    free: int


class Repair:
    """Stretches (`rooms`, with their kerf) with their first contents, and the blanks that lie in none yet."""

    def __init__(
        self, sizes: Sequence[int], rooms: Sequence[int], held: Sequence[Held], waiting: Sequence[int]
    ) -> None:
        self._sizes = sizes
        self._boxes = [
            _Box(room, pattern, room - sum(sizes[i] * n for i, n in pattern.items()))
            for room, pattern in zip(rooms, held, strict=True)
        ]
        self._left = list(waiting)
        self._dice = 1

    @classmethod
    def of(cls, sizes: Sequence[int], rooms: Sequence[int], demand: Sequence[int]) -> Repair:
        """Stretches filled in turn, each as full as possible."""
        repair = cls(sizes, rooms, [{} for _ in rooms], demand)
        for box in repair._boxes:
            repair._fill(box, repair._left, None)
        return repair

    def run(self, tries: int, keep_going: KeepGoing) -> list[Held] | None:
        """Everything in the stretches, or None after `tries` tries."""
        self._over = self._length(self._left)
        for n in range(tries):
            if not self._over:
                return [box.pattern for box in self._boxes]
            if n % LOOKS_BETWEEN == 0 and not keep_going():
                break
            self._try_again()
        return None

    def _try_again(self) -> None:
        """Empty some stretches and fill them again; keep the result if no more is left over and the free space is no
        more scattered."""
        chosen = self._choose(min(TOGETHER[self._roll(len(TOGETHER))], len(self._boxes)))
        pool = list(self._left)
        before = [(box.pattern, box.free) for box in chosen]
        for box in chosen:
            for i, n in box.pattern.items():
                pool[i] += n
        for box in chosen:
            self._fill(box, pool, self._first(pool, box.room))
        over = self._length(pool)
        together = sum(box.free * box.free for box in chosen) - sum(free * free for _, free in before)
        if over < self._over or (over == self._over and (together >= 0 or not self._roll(10))):
            self._left, self._over = pool, over
            return
        for box, (pattern, free) in zip(chosen, before, strict=True):
            box.pattern, box.free = pattern, free

    def _first(self, pool: Sequence[int], room: int) -> int | None:
        """The blank that goes in first: the longest half of the time, otherwise any."""
        fitting = [i for i, n in enumerate(pool) if n and self._sizes[i] <= room]
        if not fitting:
            return None
        return fitting[0] if self._roll(2) else fitting[self._roll(len(fitting))]

    def _fill(self, box: _Box, pool: list[int], first: int | None) -> None:
        """Fill an empty stretch from the pool: `first`, and then as full as possible."""
        room = box.room
        if first is not None:
            pool[first] -= 1
            room -= self._sizes[first]
        totals = SubsetSums.of(self._sizes, pool, room, fine=FINE if len(self._sizes) * room > MOST_BITS else 0)
        box.pattern = totals.made_of(totals.fullest(room))
        box.free = room - sum([self._sizes[i] * n for i, n in box.pattern.items()])
        for i, n in box.pattern.items():
            pool[i] -= n
        if first is not None:
            box.pattern[first] = box.pattern.get(first, 0) + 1

    def _length(self, pool: Sequence[int]) -> int:
        return sum([size * n for size, n in zip(self._sizes, pool, strict=True) if n])

    def _choose(self, many: int) -> list[_Box]:
        found: list[_Box] = []
        while len(found) < many:
            box = self._boxes[self._roll(len(self._boxes))]
            if all(box is not other for other in found):
                found.append(box)
        return found

    def _roll(self, sides: int) -> int:
        """A number below `sides`, the same in every run (a linear congruential generator, Lehmer 1951)."""
        self._dice = (self._dice * 6364136223846793005 + 1442695040888963407) & ((1 << 64) - 1)
        return (self._dice >> 33) % sides
