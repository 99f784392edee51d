"""A small simplex for covering problems whose columns are generated as needed.

The rows are one for each size ("at least the demand"), then one for each source of stretches ("at most the supply").
The inverse of the basis is kept dense, as plain lists: a shop's cut list has some tens of sizes.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from msgspec import Struct

from tracker.plan.boards.solver.knapsack import Pattern

TINY = 1e-9
SLACK = -1
MISSING = -2


class Column(Struct):
    """A column of the basis: a pattern of a stretch of `source`, the SLACK of a row, or the MISSING part of a
    demand."""

    cost: float
    source: int
    pattern: Pattern = ()


class Basis:
    """A basis of: least cost, every demand covered, no source used beyond its supply.

    Starts with all demand missing, at `penalties` for each. `prices` are the duals: once `clear_surplus` has been
    called, those of a size are never below 0 and those of a source never above 0.
    """

    def __init__(self, demand: Sequence[int], supply: Sequence[int], penalties: Sequence[float]) -> None:
        self.sizes = len(demand)
        rows = self.sizes + len(supply)
        self.inverse = [[1.0 if i == j else 0.0 for j in range(rows)] for i in range(rows)]
        self.columns = [Column(penalty, MISSING) for penalty in penalties] + [Column(0.0, SLACK) for _ in supply]
        self.amounts = [float(n) for n in demand] + [float(n) for n in supply]
        self.prices = [*penalties, *(0.0 for _ in supply)]

    def enter(self, cost: float, source: int, pattern: Pattern) -> bool:
        """Bring a column into the basis if it reduces the cost; False when it doesn't."""
        column = [(i, float(n)) for i, n in pattern]
        column.append((self.sizes + source, 1.0))
        return self._pivot(Column(cost, source, pattern), column)

    def clear_surplus(self) -> None:
        """Let demand be exceeded and supply be left over, where the prices ask for it."""
        for row in range(len(self.prices)):
            if row < self.sizes:
                if self.prices[row] < -TINY:
                    self._pivot(Column(0.0, SLACK), [(row, -1.0)])
            elif self.prices[row] > TINY:
                self._pivot(Column(0.0, SLACK), [(row, 1.0)])

    def _pivot(self, column: Column, entries: list[tuple[int, float]]) -> bool:
        prices, inverse, amounts = self.prices, self.inverse, self.amounts
        # `sum` of floats isn't the same in every Python, and the same cut list must give the same plan in all of them.
        reduced = column.cost - fsum(prices[row] * value for row, value in entries)
        if reduced >= -TINY * (1.0 + abs(column.cost)):
            return False
        step = _times(inverse, entries)
        out, ratio = _leaving(step, amounts)
        if out < 0:
            return False
        pivot = step[out]
        pivot_row = inverse[out] if pivot == 1.0 else [x / pivot for x in inverse[out]]
        inverse[out] = pivot_row
        for i, factor in enumerate(step):
            if factor and i != out:
                inverse[i] = [a - factor * b for a, b in zip(inverse[i], pivot_row)]  # noqa: B905 (hot)
                amount = amounts[i] - factor * ratio
                amounts[i] = amount if amount > 1e-12 else 0.0
        amounts[out] = ratio
        self.prices = [a + reduced * b for a, b in zip(prices, pivot_row)]  # noqa: B905 (hot)
        self.columns[out] = column
        return True


def _times(inverse: list[list[float]], entries: list[tuple[int, float]]) -> list[float]:
    if len(entries) == 1:
        ((a, x),) = entries
        return [row[a] * x for row in inverse]
    if len(entries) == 2:
        (a, x), (b, y) = entries
        return [row[a] * x + row[b] * y for row in inverse]
    if len(entries) == 3:
        (a, x), (b, y), (c, z) = entries
        return [row[a] * x + row[b] * y + row[c] * z for row in inverse]
    return [fsum([row[a] * x for a, x in entries]) for row in inverse]


def _leaving(step: list[float], amounts: list[float]) -> tuple[int, float]:
    """The row that reaches zero first; among equals the one with the largest pivot, which is the most stable."""
    out, ratio, size = -1, float("inf"), 0.0
    for i, value in enumerate(step):
        if value > TINY:
            here = amounts[i] / value
            if here < ratio - 1e-11 or (here <= ratio + 1e-11 and value > size):
                out, ratio, size = i, here, value
    return out, ratio
