"""Assembling a plan: which pattern goes on which board, and which run is which."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from heapq import heapify, heappop, heappush

from msgspec import Struct

from tracker.plan.boards.solver.knapsack import Pattern
from tracker.plan.boards.solver.master import Counts
from tracker.plan.boards.solver.problem import Layout, Request, Task


class Board(Struct, frozen=True):
    """One board that is cut: the index of its stock, and the runs (indices) in each of its stretches, in order."""

    stock: int
    stretches: tuple[tuple[int, ...], ...]


def rack_boards_used(task: Task, bought: Sequence[int], layout: Layout) -> Counts:
    """`bought` plus the rack boards that take the rest of the layout: few, though not proved the fewest.

    The board that takes the most comes first. What a board can take only decreases, so an old figure is a bound, and
    most boards need not be evaluated again (lazy greedy, Minoux 1978).
    """
    counts = list(bought)
    need = Counter(at for at, _ in layout)
    for k in task.bought:
        need[task.kinds[k].stretches[-1][0]] -= counts[k]
    waiting = sum(n for n in need.values() if n > 0)

    def takes(k: int) -> int:
        return sum(min(many, max(0, need[at])) for at, many in task.kinds[k].stretches)

    heap = [(-takes(k), k) for k, kind in enumerate(task.kinds) if kind.supply is not None and counts[k] < kind.supply]
    heapify(heap)
    while waiting > 0:
        _, k = heappop(heap)
        now = takes(k)
        if heap and (-now, k) > heap[0]:
            heappush(heap, (-now, k))
            continue
        counts[k] += 1
        waiting -= now
        need.subtract(dict(task.kinds[k].stretches))
        if counts[k] < (task.kinds[k].supply or 0):
            heappush(heap, (-takes(k), k))
    return tuple(counts)


def assemble(request: Request, task: Task, counts: Counts, layout: Layout, runs: Sequence[int]) -> tuple[Board, ...]:
    """The boards of a plan: rack first, then bought, longest first. A board that holds nothing is left out.

    Runs of one size are interchangeable; they are assigned in the order of the file.
    """
    waiting: dict[int, list[Pattern]] = {}
    for at, pattern in sorted(layout, key=lambda cut: cut[1], reverse=True):
        waiting.setdefault(at, []).append(pattern)
    alike: dict[int, list[int]] = {}
    for i in sorted(runs, reverse=True):
        alike.setdefault((request.runs[i] + request.kerf) // task.unit, []).append(i)
    boards = []
    for stock in _boards_in_order(request, task, counts):
        stretches = []
        for room in request.stocks[stock].stretches:
            patterns = waiting.get(task.capacities.index((room + request.kerf) // task.unit))
            pattern = patterns.pop() if patterns else ()
            stretches.append(tuple(alike[task.sizes[i]].pop() for i, n in pattern for _ in range(n)))
        if any(stretches):
            boards.append(Board(stock, tuple(stretches)))
    return tuple(boards)


def _boards_in_order(request: Request, task: Task, counts: Counts) -> list[int]:
    stocks: list[int] = []
    for kind, count in zip(task.kinds, counts, strict=True):
        if kind.supply is None:
            stocks += list(kind.stocks) * count
        else:
            stocks += kind.stocks[:count]
    return sorted(stocks, key=lambda s: (request.stocks[s].supply is None, -request.stocks[s].length, s))
