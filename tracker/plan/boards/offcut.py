"""The last aim: among plans with the same cost, length and number of boards, the longest single offcut.

An offcut that can be used beats two that can't. Shortening one stretch by the offcut that is wanted and asking whether
everything can still be cut answers for one stretch; the longest offcut follows by halving.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tracker.plan.boards.counts import Counts, Ledger
from tracker.plan.boards.diving import KeepGoing
from tracker.plan.boards.fill import Pile
from tracker.plan.boards.packing import Answer, Packer
from tracker.plan.boards.solve import Bench, Solution
from tracker.plan.boards.task import Layout, Task

NODES = 300
SETS_OF_BOARDS = 200
"""Sets of boards that are looked at, when many cost the same."""


def longest_left(task: Task, counts: Counts, layout: Layout) -> int:
    """The most that is left over in one stretch of these boards."""
    waiting = list(task.stretches_of(counts))
    most = 0
    for at, fill in layout:
        waiting[at] -= 1
        most = max(most, task.capacities[at] - sum(task.sizes[i] * n for i, n in fill))
    return max([most, *(c for c, n in zip(task.capacities, waiting, strict=True) if n > 0)])


@dataclass(slots=True)
class LongestOffcut:
    """Looks for plans of the same cost with a longer offcut. `proved` at the end when there is none longer."""

    task: Task
    bench: Bench
    solution: Solution
    keep_going: KeepGoing
    longest: int = 0
    proved: bool = True

    def run(self) -> Solution:
        """The best found; the task is that of the fewest boards, its solution proved."""
        task, cost = self.task, self.solution.cost
        self.longest = longest_left(task, self.solution.counts, self.solution.layout)
        ledger = Ledger(task)
        for worth in self.bench.worths:
            ledger.learn(worth)
        counts: Counts = self.solution.counts
        for _ in range(SETS_OF_BOARDS):
            self._improve(counts)
            ledger.rule_out(counts, proved=False)
            found = ledger.cheapest(cost, cost + 1)
            if found is None:
                return self.solution
            if not self.keep_going():
                break
            counts = found[0]
        self.proved = False
        return self.solution

    def _improve(self, counts: Counts) -> None:
        task = self.task
        have = task.stretches_of(counts)
        room = sum(c * n for c, n in zip(task.capacities, have, strict=True))
        slack = room - sum(s * n for s, n in zip(task.sizes, task.demand, strict=True))
        if slack <= self.longest:
            return
        sums = _sums(Pile.of(task.sizes, task.demand, task.capacities[-1]).sums)
        for at in range(len(have) - 1, -1, -1):
            capacity = task.capacities[at]
            if have[at]:
                fills = [s for s in sums if capacity - slack <= s < capacity - self.longest]
                self._halve(counts, at, fills)

    def _halve(self, counts: Counts, at: int, fills: Sequence[int]) -> None:
        """The least of these fills that one stretch may be held to; rising, and what works goes on working."""
        low, high = 0, len(fills)
        probe = 0  # the least of all first: often it does
        while low < high and self.keep_going():
            layout = self._with_one_held_to(counts, at, fills[probe])
            if layout is not None:
                high = probe
                self.longest = self.task.capacities[at] - fills[probe]
                self.solution = replace(self.solution, counts=counts, layout=layout)
            else:
                low = probe + 1
            probe = (low + high) // 2
        self.proved &= low >= high

    def _with_one_held_to(self, counts: Counts, at: int, fill: int) -> Layout | None:
        task = self.task
        have = list(task.stretches_of(counts))
        have[at] -= 1
        if not fill:
            return self._pack(task.capacities, have).layout
        capacities = tuple(sorted({*task.capacities, fill}))
        place = [capacities.index(c) for c in task.capacities]
        spread = [0] * len(capacities)
        for old, n in zip(place, have, strict=True):
            spread[old] += n
        spread[capacities.index(fill)] += 1
        layout = self._pack(capacities, spread).layout
        if layout is None:
            return None
        back = {new: old for old, new in enumerate(place)}
        if fill not in task.capacities:
            back[capacities.index(fill)] = at
            return tuple((back[k], cut) for k, cut in layout)
        return _move_one(tuple((back[k], cut) for k, cut in layout), task.capacities.index(fill), at, have)

    def _pack(self, capacities: Sequence[int], have: Sequence[int]) -> Answer:
        task = self.task
        packer = Packer(task.sizes, capacities, self.bench.pool)
        layout = packer.try_quickly(task.demand, have)
        if layout is not None:
            return Answer(layout, True)
        answer = packer.settle(task.demand, have, NODES, self.keep_going)
        self.proved &= answer.proved
        return answer


def _move_one(layout: Layout, short: int, long: int, have: Sequence[int]) -> Layout:
    """One fill more lies in the short stretches than there are: put it into the long stretch it stands for."""
    mine = [fill for at, fill in layout if at == short]
    if len(mine) <= have[short]:
        return layout
    others = [(at, fill) for at, fill in layout if at != short]
    return (*others, (long, mine[0]), *((short, fill) for fill in mine[1:]))


def _sums(bits: int) -> list[int]:
    """The numbers whose bits are set, rising."""
    text = bin(bits)[:1:-1]
    found, at = [], text.find("1")
    while at >= 0:
        found.append(at)
        at = text.find("1", at + 1)
    return found
