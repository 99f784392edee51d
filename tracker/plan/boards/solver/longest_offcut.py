"""The last aim: among plans with the same cost, length and number of boards, the longest single offcut.

One usable offcut is better than two that are too short. To test a stretch, it is shortened by the wanted offcut and
everything is packed again; the longest offcut follows by bisection.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.plan.boards.cancel import KeepGoing, Stopped
from tracker.plan.boards.solver.bin_completion import Guide
from tracker.plan.boards.solver.knapsack import all_sums
from tracker.plan.boards.solver.master import Counts, Master
from tracker.plan.boards.solver.packing import Packer
from tracker.plan.boards.solver.problem import Layout, Task
from tracker.plan.boards.solver.solve import Bench, Solution

NODES = 300
PROBES = 60
"""The most shortened sets of boards that are tried; the last aim isn't worth more."""
SETS_OF_BOARDS = 200
"""The most sets of boards that are examined, when many cost the same."""
VALUATIONS = 8
"""How many of the latest cuts are checked before each probe."""


def longest_left(task: Task, counts: Counts, layout: Layout) -> int:
    """The longest remainder in one stretch of these boards."""
    waiting = list(task.stretches_of(counts))
    most = 0
    for at, pattern in layout:
        waiting[at] -= 1
        most = max(most, task.capacities[at] - sum(task.sizes[i] * n for i, n in pattern))
    return max([most, *(c for c, n in zip(task.capacities, waiting, strict=True) if n > 0)])


class LongestOffcut(Struct):
    """Looks for plans of the same cost with a longer offcut. `proved` at the end when no longer one exists."""

    task: Task
    bench: Bench
    solution: Solution
    keep_going: KeepGoing
    longest: int = 0
    proved: bool = True
    probes: int = 0

    def run(self) -> Solution:
        """The best plan found; the task is that of the fewest boards, with its solution proved."""
        task, cost = self.task, self.solution.cost
        self.longest = longest_left(task, self.solution.counts, self.solution.layout)
        ledger = Master(task)
        for valuation in self.bench.valuations:
            ledger.learn(valuation)
        sums = _rising(all_sums(task.sizes, task.demand, task.capacities[-1]))
        counts: Counts = self.solution.counts
        for _ in range(SETS_OF_BOARDS):
            self._improve(counts, sums)
            ledger.rule_out(counts, proved=False)
            try:
                found = ledger.cheapest(cost, cost + 1, self.keep_going)
            except Stopped:
                break
            if found is None:
                return self.solution
            if not self._may_go_on():
                break
            counts = found[0]
        self.proved = False
        return self.solution

    def _may_go_on(self) -> bool:
        return self.probes < PROBES and self.keep_going()

    def _improve(self, counts: Counts, sums: list[int]) -> None:
        """Try to leave more in one stretch, longest stretches first."""
        have = self.task.stretches_of(counts)
        for at in range(len(have) - 1, -1, -1):
            capacity = self.task.capacities[at]
            if not have[at]:
                continue
            least = self._least_fill(have, at)
            if least is not None and capacity - least > self.longest:
                last = bisect_left(sums, capacity - self.longest)
                self._halve(counts, at, sums[bisect_left(sums, least) : last])

    def _least_fill(self, have: Sequence[int], at: int) -> int | None:
        """The least that a stretch must hold, by the known cuts; None when the others can't do without all of it."""
        capacities = self.task.capacities
        least = 0
        for valuation in (self.bench.valuations[0], *self.bench.valuations[1:][-VALUATIONS:]):
            room = sum([valuation.most(c) * n for c, n in zip(capacities, have, strict=True) if n])
            room -= valuation.most(capacities[at])
            held = valuation.least_room(valuation.demanded - room, capacities[-1])
            if held is None:
                return None
            least = max(least, held)
        return least

    def _halve(self, counts: Counts, at: int, patterns: Sequence[int]) -> None:
        """The least of these lengths (rising) to which one stretch can be shortened, by bisection: if a length works,
        so do all longer ones."""
        have = self.task.stretches_of(counts)
        low, high = 0, len(patterns)
        probe = 0  # the least first: it often works
        while low < high and self._may_go_on():
            self.probes += 1
            layout = self._with_one_held_to(counts, at, patterns[probe])
            if layout is not None:
                high = probe
                self.longest = self.task.capacities[at] - patterns[probe]
                self.solution = replace(self.solution, counts=counts, layout=layout)
            else:
                least = self._least_fill(have, at)
                low = max(probe + 1, len(patterns) if least is None else bisect_left(patterns, least))
            probe = (low + high) // 2
        self.proved &= low >= high

    def _with_one_held_to(self, counts: Counts, at: int, pattern: int) -> Layout | None:
        task = self.task
        have = list(task.stretches_of(counts))
        have[at] -= 1
        if not pattern:
            return self._pack(task.capacities, have)
        capacities = tuple(sorted({*task.capacities, pattern}))
        place = [capacities.index(c) for c in task.capacities]
        spread = [0] * len(capacities)
        for old, n in zip(place, have, strict=True):
            spread[old] += n
        spread[capacities.index(pattern)] += 1
        layout = self._pack(capacities, spread)
        if layout is None:
            return None
        back = {new: old for old, new in enumerate(place)}
        if pattern not in task.capacities:
            back[capacities.index(pattern)] = at
            return tuple((back[k], cut) for k, cut in layout)
        return _move_one(tuple((back[k], cut) for k, cut in layout), task.capacities.index(pattern), at, have)

    def _pack(self, capacities: Sequence[int], have: Sequence[int]) -> Layout | None:
        """Pack everything into these stretches, if possible. Learn the cut that rules it out; remember open cases."""
        task = self.task
        packer = Packer(task.sizes, capacities, self.bench.pool)
        layout = packer.try_quickly(task.demand, have)
        if layout is not None:
            return layout
        valuation = packer.relax(task.demand, have, self.keep_going, easily=True).valuation
        if sum([valuation.most(c) * n for c, n in zip(capacities, have, strict=True) if n]) < valuation.demanded:
            self.bench.valuations.append(valuation)
            return None
        guide = Guide.of(valuation, task.sizes, task.demand, capacities, have)
        answer = packer.search(task.demand, have, guide, NODES, self.keep_going)
        self.proved &= answer.proved
        return answer.layout


def _move_one(layout: Layout, short: int, long: int, have: Sequence[int]) -> Layout:
    """The short stretches hold one pattern too many: move it to the long stretch that it stands for."""
    mine = [pattern for at, pattern in layout if at == short]
    if len(mine) <= have[short]:
        return layout
    others = [(at, pattern) for at, pattern in layout if at != short]
    return (*others, (long, mine[0]), *((short, pattern) for pattern in mine[1:]))


def _rising(bits: int) -> list[int]:
    """The numbers of the bits that are set, rising."""
    text = bin(bits)[:1:-1]
    found, at = [], text.find("1")
    while at >= 0:
        found.append(at)
        at = text.find("1", at + 1)
    return found
