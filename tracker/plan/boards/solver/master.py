"""The master problem: the cheapest counts of boards of each kind that nothing known so far rules out.

A logic-based Benders scheme (Hooker & Ottosson 2003): the master proposes counts. The subproblem answers with a plan,
with a *cut* (values of the sizes by which these boards can't hold everything), or with the plain fact that the counts
can't be cut. Everything here is in whole numbers, so what is ruled out is ruled out for certain.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import gcd

from msgspec import Struct, field

from tracker.plan.boards.cancel import KeepGoing, Stopped
from tracker.plan.boards.solver.knapsack import Valuation
from tracker.plan.boards.solver.problem import Task

SHIFT = 80
"""Binary places kept of a ratio of value to cost; always rounded against the cut, so that it stays valid."""

LOOKS_BETWEEN = 2_000
MOST_STEPS = 3_000
"""Up to this many steps of cost, the most they can be worth is computed exactly, not in fractions of boards."""

Counts = tuple[int, ...]


class BendersCut(Struct):
    """The boards together must be worth at least `need`. Stored for the search: for each step the value of one board,
    and the most that later steps can add.

    With `budget` left after step p the rest is worth at most `budget * rate[p] + extra[p]`, over 2**SHIFT.
    """

    values: list[int]
    rate: list[int]
    extra: list[int]
    need: int
    hits: int = 0
    exact: list[list[int]] = field(default_factory=list)
    """`exact[p][steps]`: the most that this many steps of cost can be worth from step p up. Empty when there are too
    many."""


# One long class: rows, columns and cuts of a linear programme are only right together.
class Master:
    """The open counts of a task's kinds. Boards with cost 0 are always all used."""

    def __init__(self, task: Task) -> None:
        self._task = task
        self.kinds = kinds = task.kinds
        self._given = [k for k, kind in enumerate(kinds) if kind.cost == 0]
        bought = [k for k, kind in enumerate(kinds) if kind.supply is None]
        bought.sort(key=lambda k: -kinds[k].stretches[-1][0])
        owned = [k for k, kind in enumerate(kinds) if kind.supply is not None and kind.cost > 0]
        self._steps = bought + owned
        self._cost = [kinds[k].cost for k in self._steps]
        self._supply = [kinds[k].supply for k in self._steps]
        self._owned_cost = [
            sum(self._all_of(q) for q in range(p, len(self._steps))) for p in range(len(self._steps) + 1)
        ]
        self._only_owned = [all(supply is not None for supply in self._supply[p:]) for p in range(len(self._steps))]
        self._step = gcd(*self._cost) or 1
        self._rows: list[BendersCut] = []
        self._seen: set[tuple[tuple[int, ...], int]] = set()
        self._out: set[Counts] = set()
        self._too_little: list[tuple[int, ...]] = []

    def _all_of(self, step: int) -> int:
        supply = self._supply[step]
        return 0 if supply is None else supply * self._cost[step]

    # ---- what is learned

    def learn(self, valuation: Valuation) -> bool:
        """Add the cut with these values; False when it was known."""
        room = [valuation.most(capacity) for capacity in self._task.capacities]
        each = [sum(room[at] * many for at, many in kind.stretches) for kind in self.kinds]
        need = valuation.demanded - sum(each[k] * (self.kinds[k].supply or 0) for k in self._given)
        key = (tuple(each), need)
        if need <= 0 or key in self._seen:
            return False
        self._seen.add(key)
        self._rows.append(self._row([each[k] for k in self._steps], need))
        return True

    def _row(self, values: list[int], need: int) -> BendersCut:
        steps = len(values)
        rate, extra = [0] * (steps + 1), [0] * (steps + 1)
        for p in range(steps):
            rate[p] = self._rate(values, need, p)
            extra[p] = sum(
                max(0, (values[q] << SHIFT) - self._cost[q] * rate[p]) * supply
                for q in range(p, steps)
                if (supply := self._supply[q]) is not None
            )
        return BendersCut(values, rate, extra, need)

    def _rate(self, values: list[int], need: int, first: int) -> int:
        """A value per cost above which there are only limited boards. Any such rate gives a valid bound; this one is
        close.

        It is the critical ratio of the fractional knapsack (Dantzig 1957).
        """
        steps = range(first, len(values))
        rates = {q: -(-(values[q] << SHIFT) // self._cost[q]) for q in steps}
        floor = max((rates[q] for q in steps if self._supply[q] is None), default=0)
        for q in sorted((q for q in steps if self._supply[q] is not None), key=lambda q: -rates[q]):
            if need <= 0 or rates[q] <= floor:
                break
            need -= values[q] * (self._supply[q] or 0)
            if need <= 0:
                return rates[q]
        return floor

    def rule_out(self, counts: Counts, proved: bool) -> None:
        """Don't propose these counts again; when `proved`, nor any boards that hold no more than they do."""
        self._out.add(counts)
        if proved:
            self._too_little.append(self._at_least(counts))

    def _at_least(self, counts: Sequence[int]) -> tuple[int, ...]:
        """For each capacity, how many stretches are at least that long."""
        have = list(self._task.stretches_of(counts))
        total = 0
        for at in range(len(have) - 1, -1, -1):
            total += have[at]
            have[at] = total
        return tuple(have)

    # ---- what is asked

    def cheapest(self, least: int, below: int, keep_going: KeepGoing) -> tuple[Counts, int] | None:
        """The cheapest open counts that cost at least `least` and less than `below`, with their cost.

        Searches just above the fractional bound first, then in ever wider windows: a narrow one prunes well. Raises
        Stopped when `keep_going` returns False before there is an answer.
        """
        self._rows.sort(key=lambda row: -row.hits)
        for row in self._rows:
            row.hits //= 2
        self._keep_going, self._looked = keep_going, 0
        self._work_out(below)
        low = -(-max(least, self.floor) // self._step) * self._step
        width = max(self._step, (below - low) // 256)
        while low < below:
            high = min(low + width, below)
            found = self._cheapest_within(low, high)
            if found is not None:
                return found, self._below
            low, width = high, width * 4
        return None

    def _work_out(self, below: int) -> None:
        """Compute the exact tables, where prices have a coarse common step: dealers who charge by length (Bellman
        1957)."""
        steps = below // self._step
        if steps > MOST_STEPS or any(supply is not None for supply in self._supply):
            return
        costs = [cost // self._step for cost in self._cost]
        for row in self._rows:
            if row.exact and len(row.exact[0]) > steps:
                continue
            best = [0] * (steps + 1)
            row.exact = [best]
            for cost, value in zip(reversed(costs), reversed(row.values), strict=True):
                best = best[:]
                for at in range(cost, steps + 1):
                    best[at] = max(best[at], best[at - cost] + value)
                row.exact.insert(0, best)

    def _cheapest_within(self, least: int, below: int) -> Counts | None:
        self._best: Counts | None = None
        self._least, self._below = least, below
        self._chosen = [0] * len(self._steps)
        self._descend(0, 0, [row.need for row in self._rows])
        return self._best

    @property
    def floor(self) -> int:
        """The least cost of boards by any single cut, in fractions of boards."""
        floors = [-((row.extra[0] - (row.need << SHIFT)) // row.rate[0]) for row in self._rows if row.rate[0]]
        return max(floors, default=0)

    def _descend(self, p: int, cost: int, need: list[int]) -> None:
        self._looked += 1
        if self._looked % LOOKS_BETWEEN == 0 and not self._keep_going():
            raise Stopped
        last = len(self._steps) - 1
        if p == last:
            self._last(p, cost, need)
            return
        if p > last:  # everything has cost 0: the boards are what they are
            if cost >= self._least and all(rest <= 0 for rest in need):
                self._offer(cost)
            return
        if self._only_owned[p] and cost + self._owned_cost[p] < self._least:
            return
        price, supply = self._cost[p], self._supply[p]
        most = (self._below - 1 - cost) // price
        for count in range(most if supply is None else min(most, supply), -1, -1):
            budget = self._below - 1 - cost - count * price
            if budget >= 0 and self._within_reach(p, count, budget, need):
                self._chosen[p] = count
                rest = [n - count * row.values[p] for n, row in zip(need, self._rows, strict=True)]
                self._descend(p + 1, cost + count * price, rest)
                if self._below <= self._least:
                    return

    def _within_reach(self, p: int, count: int, budget: int, need: list[int]) -> bool:
        steps = budget // self._step
        for row, rest in zip(self._rows, need, strict=True):
            rest -= count * row.values[p]
            if row.exact:
                short = rest > row.exact[p + 1][steps]
            else:
                short = (rest << SHIFT) > budget * row.rate[p + 1] + row.extra[p + 1]
            if short:
                row.hits += 1
                return False
        return True

    def _last(self, p: int, cost: int, need: list[int]) -> None:
        """The last kind: as few as suffice."""
        price, supply = self._cost[p], self._supply[p]
        count = max(0, -(-(self._least - cost) // price))
        for row, rest in zip(self._rows, need, strict=True):
            if rest > 0:
                if row.values[p] <= 0:
                    return
                count = max(count, -(-rest // row.values[p]))
        while cost + count * price < self._below and (supply is None or count <= supply):
            self._chosen[p] = count
            if self._offer(cost + count * price):
                break
            count += 1

    def _offer(self, cost: int) -> bool:
        counts = [0] * len(self.kinds)
        for k in self._given:
            counts[k] = self.kinds[k].supply or 0
        for step, k in enumerate(self._steps):
            counts[k] = self._chosen[step]
        found = tuple(counts)
        if found in self._out or self._is_too_little(found):
            return False
        self._best, self._below = found, cost
        return True

    def _is_too_little(self, counts: Counts) -> bool:
        if not self._too_little:
            return False
        have = self._at_least(counts)
        return any(all(a <= b for a, b in zip(have, out, strict=True)) for out in self._too_little)
