"""All patterns of one stretch that are worth trying (bin completion: Martello & Toth 1990; Korf 2003).

A pattern is worth trying when nothing more fits, when no piece in it can be exchanged for a longer one that is still
waiting, and when it wastes no more than may still be wasted.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from operator import mul

from msgspec import Struct

from tracker.plan.boards.solver.knapsack import Frontier, Pattern, Valuation, frontiers


class Guide(Struct, frozen=True):
    """Values of the sizes, and the frontiers that bound what the rest of a stretch can still be worth."""

    each: tuple[int, ...]
    most: tuple[int, ...]  # of a stretch, by capacity index; 0 where there is none
    frontiers: list[Frontier]

    @classmethod
    def of(
        cls,
        valuation: Valuation,
        sizes: Sequence[int],
        demand: Sequence[int],
        capacities: Sequence[int],
        have: Sequence[int],
    ) -> Guide:
        """The guide for a demand and stretches no larger than these, the demand no greater than that of `valuation`.

        `most` comes from the exact knapsack: on a fine grid the frontiers overestimate a little, and that error, once
        for every stretch, soon exceeds all that may be wasted.
        """
        most = tuple([valuation.most(capacity) if n else 0 for capacity, n in zip(capacities, have, strict=True)])
        return cls(valuation.each, most, frontiers(sizes, demand, valuation.each, capacities[-1]))

    def spare(self, demand: Sequence[int], have: Sequence[int]) -> int:
        """How much value may be wasted when `demand` is cut from the stretches `have`; negative when it can't be
        cut."""
        room: int = sum(map(mul, self.most, have))
        needed: int = sum(map(mul, self.each, demand))
        return room - needed


class Choice(Struct, frozen=True):
    """A pattern, its value, and the room that it leaves."""

    value: int
    left: int
    pattern: Pattern


class Wish(Struct, frozen=True):
    """Which patterns to list: worth at least `need`, leaving at most `waste` of the length.

    `must`: only those that hold the first size. At most `limit` are listed; fewer than that means that the list is
    complete.
    """

    need: int
    waste: int
    must: bool
    limit: int


def choices(sizes: Sequence[int], left: Sequence[int], first: int, room: int, guide: Guide, wish: Wish) -> list[Choice]:
    """The patterns of `room` made from the pieces `left`, with sizes from index `first` up. One of them must fit."""
    index = [i for i in range(first, len(sizes)) if left[i] and sizes[i] <= room]
    return _Listing(sizes, left, index, guide, wish).run(room)


class _Listing:
    def __init__(self, sizes: Sequence[int], left: Sequence[int], index: list[int], guide: Guide, wish: Wish) -> None:
        self._index = index
        self._sizes = [sizes[i] for i in index]
        self._values = [guide.each[i] for i in index]
        self._left = [left[i] for i in index]
        self._after = [guide.frontiers[i] for i in index[1:]] + [guide.frontiers[-1]]
        self._taken = [0] * len(index)
        self._wish = wish
        self._found: list[Choice] = []

    def run(self, room: int) -> list[Choice]:
        self._step(0, room, 0)
        return self._found

    def _step(self, t: int, room: int, value: int) -> bool:
        """Decide how many of the t-th size to take, most first; True when the limit is reached."""
        if t == len(self._index) or room < self._sizes[-1]:
            return self._finish(room, value)
        size, each = self._sizes[t], self._values[t]
        lengths, totals = self._after[t]
        need = self._wish.need
        least = 1 if self._wish.must and t == 0 else 0
        for count in range(min(room // size, self._left[t]), least - 1, -1):
            rest = room - count * size
            more = value + count * each
            if more + totals[bisect_right(lengths, rest) - 1] >= need:
                self._taken[t] = count
                if self._step(t + 1, rest, more):
                    return True
        self._taken[t] = 0
        return False

    def _finish(self, room: int, value: int) -> bool:
        if value < self._wish.need or room > self._wish.waste or self._is_beaten(room):
            return False
        pattern = tuple([(i, n) for i, n in zip(self._index, self._taken, strict=True) if n])
        self._found.append(Choice(value, room, pattern))
        return len(self._found) >= self._wish.limit

    def _is_beaten(self, room: int) -> bool:
        """Whether a waiting piece still fits, or fits in place of a shorter one."""
        sizes, taken, left = self._sizes, self._taken, self._left
        if any(size <= room and n > used for size, n, used in zip(sizes, left, taken, strict=True)):
            return True
        for t in range(1, len(sizes)):
            if taken[t]:
                reach = sizes[t] + room
                for q in range(t - 1, -1, -1):
                    if sizes[q] > reach:
                        break
                    if left[q] > taken[q]:
                        return True
        return False
