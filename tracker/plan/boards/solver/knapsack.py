"""The most valuable contents of one stretch: knapsacks on integers.

A *pattern* is the contents of one clear stretch: how many of each size, as `((size index, count), ...)` in rising index
order. Sizes are listed longest first and include one kerf each; so do the stretches (see `task`).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from operator import itemgetter, mul

from msgspec import Struct

Pattern = tuple[tuple[int, int], ...]
Frontier = tuple[list[int], list[int]]
"""Rising lengths, and the rising values possible within them; no entry is dominated by a shorter one."""
_Back = tuple[int, int, "_Back"] | None  # (item, how many, what came before)

PATIENCE = 4_000
"""Steps of the depth-first knapsack before the list method takes over, which has no bad cases and is only slow."""


FINE = 1 << 14
"""Grains in a stretch for quick plans: about 0.15 mm on a board 8 ft long; inch lengths to 1/64 stay exact."""


SHORT = 1 << 13
"""The approximate limit of entries in a frontier."""


class Valuation:
    """The value of each size, and from that the most that a stretch can be worth.

    Values are whole numbers (scaled duals), so every answer is exact and a bound made of them is a proof.
    """

    def __init__(self, sizes: Sequence[int], demand: Sequence[int], values: Sequence[int]) -> None:
        self.each = tuple(values)
        self.demanded: int = sum(map(mul, values, demand))
        order = [i for i in range(len(sizes)) if values[i] > 0 and demand[i] > 0]
        order.sort(key=lambda i: (-values[i] / sizes[i], i))
        self._order = order
        self._sizes = [sizes[i] for i in order]
        self._values = [values[i] for i in order]
        self._limits = [demand[i] for i in order]
        self._most: dict[int, int] = {}
        self._frontier: Frontier | None = None

    def most(self, room: int) -> int:
        """The greatest value of any pattern of `room`."""
        known = self._most.get(room)
        if known is None:
            known = self._most[room] = self.better(room, 0)[0]
        return known

    def better(self, room: int, beat: int) -> tuple[int, Pattern]:
        """The pattern of greatest value, if that is more than `beat`; else `beat` and an empty pattern."""
        found = self.soon_better(room, beat)
        if found is None:
            value, counts = _list_patterns(self._sizes, self._values, self._limits, room, beat)
            return value, self._fill(counts)
        return found

    def soon_better(self, room: int, beat: int, patience: int = PATIENCE) -> tuple[int, Pattern] | None:
        """Like `better`, but None when it would take more than `patience` steps."""
        if not self._order:
            return beat, ()
        found = _branch(self._sizes, self._values, self._limits, room, beat, patience)
        return None if found is None else (found[0], self._fill(found[1]))

    def _fill(self, counts: list[int] | None) -> Pattern:
        return tuple(sorted((self._order[j], n) for j, n in enumerate(counts or ()) if n))

    def least_room(self, value: int, within: int) -> int | None:
        """The shortest room that can be worth `value`; None when `within` (always the same) is too short."""
        if self._frontier is None:
            self._frontier = frontiers(self._sizes, self._limits, self._values, within)[0]
        lengths, totals = self._frontier
        at = bisect_left(totals, value)
        return lengths[at] if at < len(totals) else None


class PlainLength(Valuation):
    """Length as value: the most that a stretch can hold is a sum of blanks, and all sums are computed at once."""

    def __init__(self, sizes: Sequence[int], demand: Sequence[int], within: int) -> None:
        super().__init__(sizes, demand, sizes)
        self._sums = all_sums(sizes, demand, within)

    def most(self, room: int) -> int:
        return (self._sums & ((1 << (room + 1)) - 1)).bit_length() - 1

    def least_room(self, value: int, within: int) -> int | None:
        above = self._sums >> max(0, value)
        return max(0, value) + (above & -above).bit_length() - 1 if above else None


def _branch(
    sizes: list[int], values: list[int], limits: list[int], room: int, beat: int, patience: int
) -> tuple[int, list[int] | None] | None:
    """Depth-first knapsack, densest first, with the fractional bound (Horowitz & Sahni 1974; Martello & Toth 1990).

    Returns the best value above `beat` with its counts, or `beat` and None; None alone when `patience` runs out.
    """
    # One long function, because it is the innermost loop of every plan and each call costs time.
    last = len(sizes) - 1
    taken = [0] * len(sizes)
    best: list[int] | None = None
    value, j = 0, 0
    for _ in range(patience):
        while True:  # take as many as fit, densest first, while the rest can still matter
            size = sizes[j]
            if size <= room:
                count = room // size
                if count > limits[j]:
                    count = limits[j]
                taken[j] = count
                room -= count * size
                value += count * values[j]
            else:
                taken[j] = 0
            if j == last:
                if value > beat:
                    beat, best = value, taken[:]
                break
            j += 1
            if value + room * values[j] // sizes[j] <= beat:
                j -= 1
                break
        while j >= 0:  # give one back where that can still help
            if taken[j]:
                back = value - values[j]
                if j < last and back + (room + sizes[j]) * values[j + 1] // sizes[j + 1] > beat:
                    taken[j] -= 1
                    value, room = back, room + sizes[j]
                    break
                value -= taken[j] * values[j]
                room += taken[j] * sizes[j]
                taken[j] = 0
            j -= 1
        if j < 0:
            return beat, best
        j += 1
    return None


def _list_patterns(
    sizes: list[int], values: list[int], limits: list[int], room: int, beat: int
) -> tuple[int, list[int] | None]:
    """Every undominated pattern, item by item (Nemhauser & Ullmann 1969); the fractional bound discards the hopeless
    ones."""
    states: list[tuple[int, int, _Back]] = [(0, 0, None)]
    top: _Back = None
    for j in range(len(sizes)):
        for count in _powers(min(limits[j], room // sizes[j])):
            states = _merge(states, count * sizes[j], count * values[j], room, (j, count))
        if states[-1][1] > beat:
            beat, top = states[-1][1], states[-1][2]
        if j + 1 < len(sizes):
            value, size = values[j + 1], sizes[j + 1]
            states = [s for s in states if s[1] + (room - s[0]) * value // size > beat]
            if not states:
                break
    if top is None:
        return beat, None
    counts = [0] * len(sizes)
    while top is not None:
        item, count, top = top
        counts[item] += count
    return beat, counts


def _powers(count: int) -> list[int]:
    """Steps 1, 2, 4, ... and a remainder, from which every number up to `count` can be made."""
    steps, step = [], 1
    while count > 0:
        steps.append(min(step, count))
        count -= step
        step *= 2
    return steps


def _merge(
    states: list[tuple[int, int, _Back]], length: int, value: int, room: int, taken: tuple[int, int]
) -> list[tuple[int, int, _Back]]:
    """The undominated states with and without one more step."""
    more: list[tuple[int, int, _Back]] = [
        (s[0] + length, s[1] + value, (*taken, s[2])) for s in states if s[0] + length <= room
    ]
    kept: list[tuple[int, int, _Back]] = []
    top = -1
    for state in sorted(states + more, key=itemgetter(0)):  # two sorted runs: the sort is a merge
        if state[1] > top:
            if kept and kept[-1][0] == state[0]:
                kept[-1] = state
            else:
                kept.append(state)
            top = state[1]
    return kept


def frontiers(sizes: Sequence[int], demand: Sequence[int], values: Sequence[int], room: int) -> list[Frontier]:
    """For each j the frontier of patterns made only of sizes j, j+1, ...; one more entry, empty, at the end.

    On a very fine grid sizes are rounded down to a coarser one, which keeps the lists short: the frontier may then
    overestimate a little, never underestimate, as a bound must.
    """
    grain = max(1, min([room // SHORT, *sizes]))
    sizes = [size // grain * grain for size in sizes]
    lengths, totals = [0], [0]
    found: list[Frontier] = [(lengths, totals)]
    for j in range(len(sizes) - 1, -1, -1):
        if values[j] > 0:
            for count in _powers(min(demand[j], room // sizes[j])):
                lengths, totals = _merge_frontier(lengths, totals, count * sizes[j], count * values[j], room)
        found.append((lengths, totals))
    return found[::-1]


def _merge_frontier(lengths: list[int], totals: list[int], length: int, value: int, room: int) -> Frontier:
    more = bisect_right(lengths, room - length)
    pairs = list(zip(lengths, totals, strict=True))
    pairs += [(lengths[i] + length, totals[i] + value) for i in range(more)]
    pairs.sort()
    out_lengths: list[int] = []
    out_totals: list[int] = []
    top = -1
    for at, total in pairs:
        if total > top:
            if out_lengths and out_lengths[-1] == at:
                out_totals[-1] = total
            else:
                out_lengths.append(at)
                out_totals.append(total)
            top = total
    return out_lengths, out_totals


def all_sums(sizes: Sequence[int], counts: Sequence[int], room: int) -> int:
    """The total lengths up to `room` that these blanks can make, as bits of one integer (bit n: length n)."""
    sums, mask = 1, (1 << (room + 1)) - 1
    for size, many in zip(sizes, counts, strict=True):
        for count in _powers(min(many, room // size)):
            sums |= (sums << (count * size)) & mask
    return sums


class SubsetSums(Struct, frozen=True):
    """All total lengths that a set of blanks can make, as bits of one integer (bit n set: length n can be made), and
    how each is made.

    Lengths are in grains. With a grain above 1 every size is rounded up: what is found fits, though a fit to the last
    grid line may be missed.
    """

    sums: int
    steps: tuple[tuple[int, int, int, int], ...]
    grain: int

    @classmethod
    def of(cls, sizes: Sequence[int], counts: Sequence[int], room: int, first: int = 0, *, fine: int = 0) -> SubsetSums:
        """The sums up to `room` of the sizes from index `first` up; `fine` limits the number of grains."""
        grain = max(1, room // fine) if fine else 1
        grains = room // grain
        sums, steps = 1, []
        mask = (1 << (grains + 1)) - 1
        for i in range(len(sizes) - 1, first - 1, -1):
            size = -(-sizes[i] // grain)
            if counts[i] and size <= grains:
                for count in _powers(min(counts[i], grains // size)):
                    steps.append((sums, i, count, count * size))
                    sums |= (sums << (count * size)) & mask
        return cls(sums, tuple(steps), grain)

    def fullest(self, room: int) -> int:
        """The greatest sum within `room`, in grains."""
        return (self.sums & ((1 << (room // self.grain + 1)) - 1)).bit_length() - 1

    def made_of(self, total: int) -> dict[int, int]:
        """Counts by size index that make `total` grains, which must be one of the sums."""
        counts: dict[int, int] = {}
        for sums, i, count, length in reversed(self.steps):
            if not total:
                break
            rest = total - length
            if rest >= 0 and (sums >> rest) & 1:
                counts[i] = counts.get(i, 0) + count
                total = rest
        return counts
