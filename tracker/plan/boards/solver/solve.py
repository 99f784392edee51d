"""The whole search: a plan at once, a bound, and then both toward each other until they meet.

`Search` minimises one cost exactly. The master (`master`) proposes the cheapest boards that nothing rules out; the
packing side tries to cut everything from them, first quickly, then in fractions, then in full. A proposal that works is
the best plan; one that doesn't teaches the master something.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.plan.boards.cancel import KeepGoing, Stopped
from tracker.plan.boards.solver.bin_completion import Guide
from tracker.plan.boards.solver.column_generation import Pool, Relaxation, Source
from tracker.plan.boards.solver.diving import Dive, Finish
from tracker.plan.boards.solver.heuristics import first_cuts, is_large
from tracker.plan.boards.solver.knapsack import PlainLength, Valuation
from tracker.plan.boards.solver.master import Counts, Master
from tracker.plan.boards.solver.packing import Answer, Packer
from tracker.plan.boards.solver.problem import Cuts, Layout, Task, layout_of

FIRST_NODES = 50
"""Too few nodes for a subtree to get its own duals: these take time, and their patterns would lead the dive
elsewhere."""
SECOND_NODES = 300
THIRD_NODES = 3_000
FIRST_TRIES = 50
SECOND_TRIES = 2_000
FIRST_LOOKS = 3
"""Proposals examined before the relaxation is solved to optimality: the plain bound is often right."""
TURN = 5
"""New proposals examined before one that was hard is tried again."""


class Solution(Struct, frozen=True):
    """The number of boards of each kind, and what is cut from their stretches. `bound` is the least cost of any
    solution."""

    counts: Counts
    layout: Layout
    cost: int
    bound: int

    @property
    def proved(self) -> bool:
        return self.bound >= self.cost


Report = Callable[[Solution], None]


class _Hard(Struct):
    """A proposal that was too hard for the nodes it was given."""

    cost: int
    counts: Counts
    nodes: int


class Bench:
    """What stays true of sizes and capacities regardless of what boards cost: known patterns, values and dead ends."""

    def __init__(self, task: Task) -> None:
        self.pool = Pool()
        self.packer = Packer(task.sizes, task.capacities, self.pool)
        self.valuations: list[Valuation] = [PlainLength(task.sizes, task.demand, task.capacities[-1])]


class Search:
    """Anytime and exact. `solution` is always complete, and improves while `run` continues."""

    def __init__(
        self,
        bench: Bench,
        task: Task,
        start: Solution,
        report: Report,
    ) -> None:
        self._bench = bench
        self._task = task
        self._ledger = Master(task)
        self._report = report
        self._hard: list[_Hard] = []
        self.solution = start
        for valuation in bench.valuations:
            self._ledger.learn(valuation)

    def learn(self, valuation: Valuation) -> bool:
        """Add a cut for this search and for later ones."""
        new = self._ledger.learn(valuation)
        if new:
            self._bench.valuations.append(valuation)
        return new

    def run(self, keep_going: KeepGoing, looks: int | None = None) -> Solution:
        """Search until the solution is proved, the search is stopped, or this many proposals were examined."""
        fresh = 0
        while not self.solution.proved and keep_going() and looks != 0:
            looks = None if looks is None else looks - 1
            try:
                proposal = self._propose(keep_going)
            except Stopped:
                break
            if proposal and (fresh < TURN or not self._hard):
                fresh += 1
                self._look_at(proposal, keep_going)
            elif self._hard:
                fresh = 0
                again = min(self._hard, key=lambda hard: (hard.nodes, hard.cost))
                self._hard.remove(again)
                self._look_at(again, keep_going)
        return self.solution

    def try_cheapest(self, keep_going: KeepGoing) -> None:
        """Whether the cheapest counts can be cut in a simple way, before anything more is learned."""
        try:
            proposal = self._propose(keep_going)
        except Stopped:
            return
        if proposal:
            have = self._task.stretches_of(proposal.counts)
            layout = self._bench.packer.try_quickly(self._task.demand, have)
            if layout is not None:
                self.improve(proposal.counts, layout)

    def in_fractions(self) -> Solution:
        """The solution with the fractional bound: all that there is time for."""
        bound = min(self._ledger.floor, self.solution.cost)
        if bound > self.solution.bound:
            self.solution = replace(self.solution, bound=bound)
            self._report(self.solution)
        return self.solution

    def _propose(self, keep_going: KeepGoing) -> _Hard | None:
        """The cheapest open counts, if they could be better than what is known; raises the bound."""
        found = self._ledger.cheapest(self.solution.bound, self.solution.cost, keep_going)
        bound = min([found[1] if found else self.solution.cost, *(hard.cost for hard in self._hard)])
        if bound > self.solution.bound:
            self.solution = replace(self.solution, bound=bound)
            self._report(self.solution)
        return _Hard(found[1], found[0], 0) if found else None

    def improve(self, counts: Counts, layout: Layout) -> None:
        """Keep a plan if it is cheaper than the present one."""
        cost = self._task.cost_of(counts)
        if cost < self.solution.cost:
            self.solution = Solution(counts, layout, cost, min(cost, self.solution.bound))
            self._hard = [hard for hard in self._hard if hard.cost < cost]
            self._report(self.solution)

    def _look_at(self, proposal: _Hard, keep_going: KeepGoing) -> None:
        """Decide a proposal: a plan, a cut, ruled out, or put aside as hard."""
        task, packer = self._task, self._bench.packer
        have = task.stretches_of(proposal.counts)
        answer = Answer(packer.try_quickly(task.demand, have), False) if not proposal.nodes else Answer(None, False)
        if answer.layout is None:
            relaxation = packer.relax(task.demand, have, keep_going)
            valuation = relaxation.valuation
            if self._too_little(valuation, have):
                self.learn(valuation)
                return
            guide = Guide.of(valuation, task.sizes, task.demand, task.capacities, have)
            answer = self._cut(proposal, have, guide, relaxation, keep_going)
        if answer.layout is not None:
            self.improve(proposal.counts, answer.layout)
        elif answer.proved:
            self._ledger.rule_out(proposal.counts, proved=True)
        else:
            self._ledger.rule_out(proposal.counts, proved=False)
            self._hard.append(proposal)

    def _too_little(self, valuation: Valuation, have: Sequence[int]) -> bool:
        capacities = self._task.capacities
        room = sum(valuation.most(capacities[at]) * n for at, n in enumerate(have) if n)
        return room < valuation.demanded

    def _cut(
        self, proposal: _Hard, have: Sequence[int], guide: Guide, relaxation: Relaxation, keep_going: KeepGoing
    ) -> Answer:
        task, packer = self._task, self._bench.packer
        if proposal.nodes:
            layout = packer.repair(task.demand, have, 2 * proposal.nodes, keep_going)
            proposal.nodes *= 8
            return (
                Answer(layout, True) if layout else packer.search(task.demand, have, guide, proposal.nodes, keep_going)
            )
        answer = Answer(packer.repair(task.demand, have, FIRST_TRIES, keep_going), False)
        if answer.layout is None:
            answer = packer.search(task.demand, have, guide, FIRST_NODES, keep_going)
        if answer.layout is None and not answer.proved:
            answer = Answer(packer.dive(task.demand, have, relaxation, keep_going), False)
        if answer.layout is None and not answer.proved:
            answer = packer.search(task.demand, have, guide, SECOND_NODES, keep_going)
        if answer.layout is None and not answer.proved:
            answer = Answer(packer.repair(task.demand, have, SECOND_TRIES, keep_going), False)
        if answer.layout is None and not answer.proved:
            proposal.nodes = THIRD_NODES
            answer = packer.search(task.demand, have, guide, THIRD_NODES, keep_going)
        return answer


def first_solution(task: Task, start: Cuts, report: Report, keep_going: KeepGoing) -> Solution:
    """The best of the quick plans of a loose task; `start` is already on the rack (see `first_cuts`)."""
    best: Solution | None = None
    for cuts in first_cuts(task, keep_going, start):
        found = solution_of(task, cuts)
        if best is None or found.cost < best.cost:
            best = found
            report(best)
    assert best is not None, "start must hold what only the rack can hold"
    return best


def solution_of(task: Task, cuts: Cuts) -> Solution:
    """These cuts of a loose task as a solution, with no bound known."""
    used = Counter(k for k, _ in cuts)
    counts = tuple(used[k] if kind.supply is None else kind.supply for k, kind in enumerate(task.kinds))
    return Solution(counts, layout_of(task, cuts), task.cost_of(counts), 0)


def least_cost(task: Task, bench: Bench, start: Solution, report: Report, keep_going: KeepGoing) -> Solution:
    """Least cost, and among those least bought length: the relaxation's bound and plan first, then the search.

    `task` must be loose.
    """
    search = Search(bench, task, start, report)
    if is_large(task) and not keep_going():
        return search.in_fractions()
    search.try_cheapest(keep_going)
    if search.solution.proved or not keep_going():
        return search.solution
    dearest = max(kind.cost for kind in task.kinds)
    sources = [Source(task.room(k), kind.cost / dearest, kind.supply) for k, kind in enumerate(task.kinds)]
    for at, pattern in start.layout:
        bench.pool.add(task.capacities[at], pattern)
    relaxation = Relaxation(task.sizes, task.demand, sources, bench.pool)
    relaxation.solve(keep_going, easily=True)
    _dive(task, bench, search, relaxation, keep_going)
    search.run(keep_going, FIRST_LOOKS)
    if not search.solution.proved and keep_going():
        relaxation.solve(keep_going)
        search.learn(relaxation.valuation)
        _dive(task, bench, search, relaxation, keep_going)
    return search.run(keep_going)


def _dive(task: Task, bench: Bench, search: Search, relaxation: Relaxation, keep_going: KeepGoing) -> None:
    """A plan from the relaxation, which the search keeps if it is better; not needed when its bound says so."""
    search.try_cheapest(keep_going)
    if search.solution.proved or not keep_going():
        return
    cuts = Dive.start(task.sizes, task.demand, relaxation.sources, bench.pool).run(
        _finish(task, keep_going), keep_going, relaxation
    )
    if cuts is not None:
        found = solution_of(task, cuts)
        search.improve(found.counts, found.layout)


def _finish(task: Task, keep_going: KeepGoing) -> Finish:
    """The quick plans, for what is left at the bottom of a dive."""

    def finish(left: list[int], supply: list[int | None]) -> Cuts | None:
        kinds = tuple(replace(kind, supply=n) for kind, n in zip(task.kinds, supply, strict=True))
        rest = replace(task, demand=tuple(left), kinds=kinds)
        return min(first_cuts(rest, keep_going), key=lambda cuts: sum(kinds[k].cost for k, _ in cuts), default=None)

    return finish
