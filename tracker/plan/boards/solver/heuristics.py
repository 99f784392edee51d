"""A good plan in about a millisecond: best-fit decreasing, then fullest patterns.

Best-fit decreasing: longest first, each where the least is left over (Johnson 1973). Fullest pattern: the longest
remaining blank, then the blanks that best fill the rest of the board, a subset-sum problem (as in the minimum bin slack
heuristic of Gupta & Ho 1999).
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence

from msgspec import Struct, field

from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.solver.knapsack import FINE, SubsetSums
from tracker.plan.boards.solver.problem import Cuts, Task

LARGE = 100_000
"""Sizes times blanks: above this, the slower plans are made only while there is time."""
RATIOS = (1.0, 1.05, 0.97, 1.15)
"""The prices of wood assumed when choosing the next board, relative to the cheapest; a few tries cost little."""


class _Bin(Struct):
    kind: int
    left: int
    counts: dict[int, int] = field(default_factory=dict)

    def put(self, i: int, size: int, count: int = 1) -> None:
        self.counts[i] = self.counts.get(i, 0) + count
        self.left -= size * count


def is_large(task: Task) -> bool:
    """Whether the fullest patterns of this task take more than a moment."""
    return len(task.sizes) * (sum(task.demand) + len(task.kinds)) > LARGE


def first_cuts(task: Task, keep_going: KeepGoing, start: Cuts = ()) -> Iterator[Cuts]:
    """Plans of several simple kinds, each complete, for a loose task, quickest first. `start` is already on the rack.

    There may be none when only the rack holds some sizes and they fit it only in a clever way: then give `start`. For a
    large task the slow ones are made only while `keep_going` returns True.
    """
    racks = (True, False) if task.bought and any(task.rack) else (True,)
    by_price = sorted(task.bought, key=lambda k: task.kinds[k].cost / task.room(k))
    for main in by_price or (-1,):
        if by_price and main != by_price[0] and is_large(task) and not keep_going():
            return
        for rack in racks:
            cuts = _best_fit(task, main, _rack_bins(task, start, rack))
            if cuts is not None:
                yield cuts
    for ratio in RATIOS:
        if is_large(task) and not keep_going():
            return
        cuts = _fullest(task, ratio, _rack_bins(task, start, True))
        if cuts is not None:
            yield cuts


def _rack_bins(task: Task, start: Cuts, all_of_it: bool) -> list[_Bin]:
    """The rack's stretches, shortest first, with `start` in them; those that hold nothing can be left out."""
    bins = []
    for k, kind in enumerate(task.kinds):
        mine = [pattern for where, pattern in start if where == k]
        for n in range(kind.supply or 0):
            box = _Bin(k, task.room(k))
            for i, count in mine[n] if n < len(mine) else ():
                box.put(i, task.sizes[i], count)
            if all_of_it or box.counts:
                bins.append(box)
    return bins


def _left(task: Task, bins: list[_Bin]) -> list[int]:
    left = list(task.demand)
    for box in bins:
        for i, count in box.counts.items():
            left[i] -= count
    return left


def _cheapest_for(task: Task, bought: Sequence[int], size: int) -> int | None:
    return min((k for k in bought if task.room(k) >= size), key=lambda k: task.kinds[k].cost, default=None)


def _best_fit(task: Task, main: int, bins: list[_Bin]) -> Cuts | None:
    """Best-fit decreasing; a new board is of kind `main` when that holds the blank."""
    bought = task.bought
    fullest_first = sorted((box.left, n) for n, box in enumerate(bins))
    for i, count in enumerate(_left(task, bins)):
        size = task.sizes[i]
        for _ in range(count):
            at = bisect_left(fullest_first, (size, -1))
            if at < len(fullest_first):
                _, n = fullest_first.pop(at)
            else:
                kind = main if main >= 0 and task.room(main) >= size else _cheapest_for(task, bought, size)
                if kind is None:
                    return None
                n = len(bins)
                bins.append(_Bin(kind, task.room(kind)))
            bins[n].put(i, size)
            insort(fullest_first, (bins[n].left, n))
    return _cuts(task, bins)


def _cuts(task: Task, bins: list[_Bin]) -> Cuts:
    """The contents of these bins, each bought board exchanged for the cheapest that holds them."""
    bought, cuts = task.bought, []
    for box in bins:
        if box.counts:
            kind = box.kind
            if task.kinds[kind].supply is None:
                cheapest = _cheapest_for(task, bought, task.room(kind) - box.left)
                kind = kind if cheapest is None else cheapest
            cuts.append((kind, tuple(sorted(box.counts.items()))))
    return tuple(cuts)


def _fullest(task: Task, ratio: float, bins: list[_Bin]) -> Cuts | None:
    """Fill the rack as full as possible; then, on each board, the longest remaining blank and the fullest rest.

    The board chosen has the least cost minus the value of what it holds, at `ratio` times the price of the cheapest
    wood.
    """
    bought, left = task.bought, _left(task, bins)
    for box in bins:
        totals = SubsetSums.of(task.sizes, left, box.left, fine=FINE)
        _take(box, totals.made_of(totals.fullest(box.left)), left, task)
    per_length = ratio * min((task.kinds[k].cost / task.room(k) for k in task.bought), default=0.0)
    while any(left):
        f = next(i for i, n in enumerate(left) if n)
        size = task.sizes[f]
        choices = [k for k in bought if task.room(k) >= size]
        if not choices:
            return None
        left[f] -= 1
        totals = SubsetSums.of(task.sizes, left, max(map(task.room, choices)) - size, f, fine=FINE)
        rest = {k: totals.fullest(task.room(k) - size) for k in choices}
        kind = min(choices, key=lambda k: task.kinds[k].cost - per_length * (size + rest[k] * totals.grain))
        box = _Bin(kind, task.room(kind))
        box.put(f, size)
        _take(box, totals.made_of(rest[kind]), left, task)
        bins.append(box)
    return _cuts(task, bins)


def _take(box: _Bin, counts: dict[int, int], left: list[int], task: Task) -> None:
    for i, count in counts.items():
        box.put(i, task.sizes[i], count)
        left[i] -= count
