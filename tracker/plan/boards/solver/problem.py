"""The cutting problem in two forms: the shop's and the solver's.

A *run* must stay together: one blank, or the blanks of a sequence with the kerfs between them. All lengths are whole
numbers of 1/320 mm. n runs need n - 1 kerfs between them; adding one kerf to every run and one to every stretch turns
that into plain sums, which is the one-dimensional cutting-stock problem with several stock lengths (Gilmore & Gomory
1961, 1963) and limited rack boards.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import gcd

from msgspec import Struct
from msgspec.structs import replace

from tracker.plan.boards.solver.knapsack import Pattern


class Stock(Struct, frozen=True, kw_only=True):
    """An available board: its clear stretches, its cost, and the length bought with it.

    `supply` None means unlimited; a rack board has 1, and neither price nor bought length.
    """

    stretches: tuple[int, ...]
    price: int = 0
    length: int = 0
    supply: int | None = None


class Request(Struct, frozen=True, kw_only=True):
    """What is to be cut, and from what."""

    runs: tuple[int, ...]
    kerf: int
    stocks: tuple[Stock, ...]


class Kind(Struct, frozen=True):
    """Interchangeable boards: how many stretches of each capacity, and the indices of their stocks."""

    stretches: tuple[tuple[int, int], ...]  # (capacity index, how many)
    cost: int
    supply: int | None
    stocks: tuple[int, ...]


Cuts = tuple[tuple[int, Pattern], ...]
"""Patterns, each with the kind of board it is cut from; for a loose task, where a board is one stretch."""
Layout = tuple[tuple[int, Pattern], ...]
"""Patterns, each with the index of the capacity it is cut from."""


class Task(Struct, frozen=True):
    """The solver's form: sizes longest first with their demand, capacities shortest first, kinds of board.

    The `cost` of a kind is price and bought length in one number, price first, so that least cost and then least bought
    length is one objective.
    """

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    capacities: tuple[int, ...]
    kinds: tuple[Kind, ...]
    unit: int  # grid units in one of the task's units
    per_price: int

    @property
    def bought(self) -> tuple[int, ...]:
        """The kinds available in any number; each has one stretch."""
        return tuple(k for k, kind in enumerate(self.kinds) if kind.supply is None)

    def room(self, k: int) -> int:
        """The capacity of kind k's longest stretch."""
        return self.capacities[self.kinds[k].stretches[-1][0]]

    @property
    def rack(self) -> tuple[int, ...]:
        """How many stretches of each capacity are on the rack."""
        return self.stretches_of([kind.supply or 0 for kind in self.kinds])

    def stretches_of(self, counts: Sequence[int]) -> tuple[int, ...]:
        """How many stretches of each capacity `counts` boards of each kind have."""
        have = [0] * len(self.capacities)
        for kind, count in zip(self.kinds, counts, strict=True):
            for at, many in kind.stretches:
                have[at] += many * count
        return tuple(have)

    def cost_of(self, counts: Sequence[int]) -> int:
        """The cost of `counts` boards of each kind."""
        return sum(kind.cost * count for kind, count in zip(self.kinds, counts, strict=True))

    def loose(self) -> Task:
        """The same task with the rack's boards taken apart: they are free, so each clear stretch counts by itself."""
        bought = [self.kinds[k] for k in self.bought]
        least = self.sizes[-1]
        free = [
            Kind(((at, 1),), 0, many, ()) for at, many in enumerate(self.rack) if many and self.capacities[at] >= least
        ]
        return replace(self, kinds=(*free, *bought))

    def counting_boards(self, most: int) -> Task:
        """The same task where every board, bought or owned, costs one more; `most` boards cost less than any cost
        did."""
        return replace(self, kinds=tuple(replace(kind, cost=kind.cost * most + 1) for kind in self.kinds))


def layout_of(task: Task, cuts: Cuts) -> Layout:
    """The same patterns by capacity."""
    return tuple((task.kinds[k].stretches[-1][0], pattern) for k, pattern in cuts)


def make_task(request: Request, runs: Sequence[int]) -> Task:
    """The task of cutting the runs with these indices. At least one stock must hold one of them."""
    need = Counter(request.runs[i] + request.kerf for i in runs)
    rooms_of = [Counter(r + request.kerf for r in stock.stretches) for stock in request.stocks]
    unit = gcd(*need, *(room for rooms in rooms_of for room in rooms))
    sizes = tuple(sorted(need, reverse=True))
    per_price = 1 + len(runs) * max(stock.length for stock in request.stocks)
    useful: list[tuple[Counter[int], int, int | None, int]] = []
    for index, (stock, rooms) in enumerate(zip(request.stocks, rooms_of, strict=True)):
        if stock.supply != 0 and any(room >= sizes[-1] for room in rooms):
            in_units = Counter({room // unit: many for room, many in rooms.items()})
            useful.append((in_units, stock.price * per_price + stock.length, stock.supply, index))
    capacities = tuple(sorted({room for rooms, *_ in useful for room in rooms}))
    place = {room: at for at, room in enumerate(capacities)}
    return Task(
        sizes=tuple(size // unit for size in sizes),
        demand=tuple(need[size] for size in sizes),
        capacities=capacities,
        kinds=_kinds(useful, place),
        unit=unit,
        per_price=per_price,
    )


def _kinds(useful: list[tuple[Counter[int], int, int | None, int]], place: dict[int, int]) -> tuple[Kind, ...]:
    """Equal boards become one kind; a board for sale that costs no less than a longer one is left out (dominance)."""
    alike: dict[tuple[tuple[tuple[int, int], ...], int, bool], list[tuple[int, int | None]]] = {}
    for rooms, cost, supply, index in useful:
        if supply is None and any(
            other_supply is None
            and max(other) >= max(rooms)
            and (other_cost, -max(other), other_index) < (cost, -max(rooms), index)
            for other, other_cost, other_supply, other_index in useful
        ):
            continue
        stretches = tuple(sorted((place[room], many) for room, many in rooms.items()))
        alike.setdefault((stretches, cost, supply is None), []).append((index, supply))
    kinds = [
        Kind(
            stretches,
            cost,
            None if endless else sum(supply or 0 for _, supply in stocks),
            tuple(index for index, supply in stocks for _ in range(1 if supply is None else supply)),
        )
        for (stretches, cost, endless), stocks in alike.items()
    ]
    return tuple(sorted(kinds, key=lambda kind: (kind.supply is None, kind.stretches, kind.cost)))
