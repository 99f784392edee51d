"""Plans from fractions: take the whole boards of the relaxation, solve the relaxation of the rest, and so on down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import fsum

from msgspec import Struct

from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.solver.column_generation import CLOSE, Pool, Relaxation, Source
from tracker.plan.boards.solver.knapsack import Pattern
from tracker.plan.boards.solver.problem import Cuts

Finish = Callable[[list[int], list[int | None]], Cuts | None]
"""Cuts the remaining demand from the remaining sources, or returns None."""

SMALL = 20
"""The number of remaining blanks at which the rest is handed to `finish`."""


class Dive(Struct):
    """What is still to be cut, and what has been taken so far."""

    sizes: Sequence[int]
    left: list[int]
    sources: Sequence[Source]
    supply: list[int | None]
    pool: Pool
    taken: list[tuple[int, Pattern]]

    @classmethod
    def start(cls, sizes: Sequence[int], demand: Sequence[int], sources: Sequence[Source], pool: Pool) -> Dive:
        """A dive with nothing taken yet."""
        return cls(sizes, list(demand), sources, [s.supply for s in sources], pool, [])

    def run(self, finish: Finish, keep_going: KeepGoing, relaxed: Relaxation | None = None) -> Cuts | None:
        """Dive to the bottom. `relaxed` is the solved relaxation of the start, if there is one."""
        use = relaxed.use if relaxed else self._relax(keep_going)
        while use is not None and any(self.left):
            if fsum(self.left) <= SMALL:
                rest = finish(self.left, self.supply)
                return None if rest is None else (*self.taken, *rest)
            if not (self._take_whole(use) or self._take_largest(use)):
                return None
            use = self._relax(keep_going) if any(self.left) else []
        return None if any(self.left) else tuple(self.taken)

    def _relax(self, keep_going: KeepGoing) -> list[tuple[float, int, Pattern]] | None:
        """The relaxation of the rest; None when it has no solution, or when stopped."""
        keep = [k for k, n in enumerate(self.supply) if n is None or n > 0]
        if not keep or not keep_going():
            return None
        sources = [Source(self.sources[k].capacity, self.sources[k].cost, self.supply[k]) for k in keep]
        relaxation = Relaxation(self.sizes, self.left, sources, self.pool)
        if not relaxation.solve(keep_going, easily=True) or relaxation.missing > CLOSE:
            return None
        return [(amount, keep[k], pattern) for amount, k, pattern in relaxation.use]

    def _take_whole(self, use: list[tuple[float, int, Pattern]]) -> bool:
        taken = False
        for amount, k, pattern in sorted(use, key=lambda item: (-item[0], item[1:])):
            for _ in range(int(amount + CLOSE)):
                taken |= self._take(k, pattern)
        return taken

    def _take_largest(self, use: list[tuple[float, int, Pattern]]) -> bool:
        return any(self._take(k, pattern) for _, k, pattern in sorted(use, key=lambda item: (-item[0], item[1:])))

    def _take(self, k: int, pattern: Pattern) -> bool:
        """Take one board with this pattern, if it is still wanted and still available."""
        supply = self.supply[k]
        if supply == 0 or any(self.left[i] < n for i, n in pattern):
            return False
        for i, n in pattern:
            self.left[i] -= n
        if supply is not None:
            self.supply[k] = supply - 1
        self.taken.append((k, pattern))
        return True
