"""The linear relaxation by column generation (Gilmore & Gomory 1961, 1963), and the bound that it proves.

The relaxation allows fractions of boards. Its duals give a value for each size; rounded to whole numbers and checked
again by exact knapsacks they give a bound that rounding errors can't spoil (as in Held, Cook & Sewell 2012).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from msgspec import Struct, field

from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.solver.knapsack import PATIENCE, Pattern, Valuation
from tracker.plan.boards.solver.simplex import MISSING, SLACK, Basis

SCALE = 1 << 32
"""Whole numbers per unit of dual value, when costs are about 1."""
CLOSE = 1e-7
ROUNDS = 50
LOOKS_BETWEEN = 10
EASY = 400
"""Up to this many steps a knapsack counts as easy."""


class Source(Struct, frozen=True):
    """Stretches of one capacity at one cost; `supply` None: unlimited."""

    capacity: int
    cost: float
    supply: int | None


class Pool(Struct):
    """Patterns found so far, by capacity: those from one relaxation are worth trying in the next."""

    patterns: dict[int, dict[Pattern, None]] = field(default_factory=dict)

    def add(self, capacity: int, pattern: Pattern) -> None:
        self.patterns.setdefault(capacity, {})[pattern] = None

    def within(self, capacity: int, demand: Sequence[int]) -> list[Pattern]:
        """The patterns for stretches of this capacity that need no more than `demand`."""
        return [pattern for pattern in self.patterns.get(capacity, ()) if all(n <= demand[i] for i, n in pattern)]


class Relaxation:
    """Cover `demand` of `sizes` from `sources` at least cost, in fractions."""

    def __init__(self, sizes: Sequence[int], demand: Sequence[int], sources: Sequence[Source], pool: Pool) -> None:
        self.sources = list(sources)
        self._sizes = sizes
        self._demand = demand
        self._pool = pool
        self._rows = [i for i, n in enumerate(demand) if n]
        self._row = {i: r for r, i in enumerate(self._rows)}
        self._columns: list[tuple[int, Pattern]] = []
        total = sum(demand)
        dearest = max(s.cost / s.capacity for s in self.sources)
        spread = max(s.cost for s in self.sources) / min(sizes[i] for i in self._rows)
        self._penalty = 3.0 * (dearest + spread) + 1.0 / max(s.capacity for s in self.sources)
        self._basis = Basis(
            [demand[i] for i in self._rows],
            [4 * total if s.supply is None else s.supply for s in self.sources],
            [self._penalty * sizes[i] for i in self._rows],
        )
        self._gather()

    def _gather(self) -> None:
        """Start from what is known: patterns of the pool and, for each size, as many as fit."""
        for k, source in enumerate(self.sources):
            patterns = dict.fromkeys(self._pool.within(source.capacity, self._demand))
            for i in self._rows:
                count = min(self._demand[i], source.capacity // self._sizes[i])
                if count:
                    patterns[((i, count),)] = None
            self._columns += [(k, self._local(pattern)) for pattern in patterns]

    def _local(self, pattern: Pattern) -> Pattern:
        row = self._row
        return tuple([(row[i], n) for i, n in pattern])

    def solve(self, keep_going: KeepGoing, *, easily: bool = False) -> bool:
        """Solve to the optimum; False when stopped before. Every state on the way gives a valid `valuation`.

        With `easily`, stop where better patterns would be hard to find: near the optimum, in much less time.
        """
        self._use_known(keep_going)
        while True:
            found = self._price(easily)
            if not found:
                return True
            entered = 0
            for _, k, pattern in found:
                self._columns.append((k, pattern))
                entered += self._basis.enter(self.sources[k].cost, k, pattern)
            if not entered:
                return True
            if not keep_going():
                return False
            self._use_known(keep_going)

    def _use_known(self, keep_going: KeepGoing) -> None:
        """Pivot until no known column would reduce the cost.

        The rounds are bounded: at degenerate vertices the pivots might cycle.
        """
        basis, columns, sources = self._basis, self._columns, self.sources
        for n in range(ROUNDS * len(basis.prices)):
            basis.clear_surplus()
            if n % LOOKS_BETWEEN == LOOKS_BETWEEN - 1 and not keep_going():
                return
            prices = basis.prices
            costs = [s.cost - prices[basis.sizes + k] for k, s in enumerate(sources)]
            gains = []
            for at, (k, pattern) in enumerate(columns):
                reduced = costs[k]
                for i, n in pattern:
                    reduced -= prices[i] * n
                if reduced < -CLOSE:
                    gains.append((reduced, at))
            gains.sort()
            entered = 0
            for _, at in gains[:5]:
                k, pattern = columns[at]
                entered += basis.enter(sources[k].cost, k, pattern)
            if not entered:
                return

    def _price(self, easily: bool) -> list[tuple[int, int, Pattern]]:
        """The best new pattern for each source, best first; only the easy ones, as long as there are any."""
        valuation = self.valuation
        found = []
        late = []
        for k, source in enumerate(self.sources):
            cost = int((source.cost - self._basis.prices[self._basis.sizes + k]) * (1.0 + CLOSE) * SCALE) + 1
            answer = valuation.soon_better(source.capacity, cost, EASY if easily else PATIENCE)
            if answer is None:
                late.append((k, cost))
            elif answer[1]:
                found.append((cost - answer[0], k, answer[1]))
        for k, cost in late if not (found or easily) else ():
            value, pattern = valuation.better(self.sources[k].capacity, cost)
            if pattern:
                found.append((cost - value, k, pattern))
        for _, k, pattern in found:
            self._pool.add(self.sources[k].capacity, pattern)
        return [(gain, k, self._local(pattern)) for gain, k, pattern in sorted(found)]

    @property
    def valuation(self) -> Valuation:
        """The value of each size at the present basis, in 1/SCALE of a unit of cost."""
        each = [0] * len(self._sizes)
        for r, i in enumerate(self._rows):
            each[i] = max(0, int(self._basis.prices[r] * SCALE))
        return Valuation(self._sizes, self._demand, each)

    @property
    def missing(self) -> float:
        """How much demand is not met: zero when these sources are enough, in fractions."""
        return fsum(a for c, a in zip(self._basis.columns, self._basis.amounts, strict=True) if c.source == MISSING)

    @property
    def use(self) -> list[tuple[float, int, Pattern]]:
        """The number of uses of each pattern of each source in the present basis."""
        rows = self._rows
        return [
            (amount, column.source, tuple([(rows[r], n) for r, n in column.pattern]))
            for column, amount in zip(self._basis.columns, self._basis.amounts, strict=True)
            if column.source not in (MISSING, SLACK) and amount > CLOSE
        ]
