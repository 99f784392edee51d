"""The cheapest boards that nothing known rules out, against every number of boards of every kind."""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence

import pytest

from tracker.plan.boards import Request, Stock
from tracker.plan.boards.cancel import Stopped
from tracker.plan.boards.solver import master
from tracker.plan.boards.solver.knapsack import PlainLength, Valuation
from tracker.plan.boards.solver.master import Master
from tracker.plan.boards.solver.problem import Task, make_task


def task(seed: int) -> Task:
    """Two or three kinds for sale, each stretch of a rack for nothing, and boards in hand that count as dear."""
    chance = random.Random(f"master {seed}")
    runs = tuple(chance.randint(6, 30) for _ in range(chance.randint(4, 8)))
    stocks = [Stock(stretches=(40 + 7 * n,), price=chance.randint(4, 12), length=0) for n in range(2)]
    for _ in range(chance.randint(0, 2)):
        room = chance.randint(20, 50)
        stocks.append(Stock(stretches=(room, room // 2), price=chance.choice((0, 0, 3)), supply=chance.randint(1, 2)))
    return make_task(Request(runs=runs, kerf=1, stocks=tuple(stocks)), range(len(runs)))


def values(made: Task, chance: random.Random) -> list[Valuation]:
    whole = PlainLength(made.sizes, made.demand, made.capacities[-1])
    return [whole, *(Valuation(made.sizes, made.demand, [chance.randint(0, 9) for _ in made.sizes]) for _ in range(3))]


def enough(made: Task, worth: Valuation, counts: Sequence[int]) -> bool:
    """Whether these boards can be worth what is demanded."""
    have = made.stretches_of(counts)
    return sum(worth.most(c) * n for c, n in zip(made.capacities, have, strict=True)) >= worth.demanded


def every_count(made: Task, most: int) -> list[tuple[int, ...]]:
    """All numbers of boards; those that cost nothing are always all there."""
    ranges = [
        [kind.supply or 0] if kind.cost == 0 else range(min(most // kind.cost, kind.supply or 99) + 1)
        for kind in made.kinds
    ]
    return [counts for counts in itertools.product(*ranges) if made.cost_of(counts) < most]


@pytest.mark.parametrize("exact", [True, False], ids=["tables", "fractions"])
@pytest.mark.parametrize("seed", range(30))
def test_the_cheapest_open_counts(seed: int, exact: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked again and again, each answer ruled out: first alone, then, as proved, with all that hold no more."""
    if not exact:
        monkeypatch.setattr(master, "MOST_STEPS", 0)
    made, chance = task(seed), random.Random(f"values {seed}")
    ledger, worths = Master(made), values(made, chance)
    for worth in worths:
        ledger.learn(worth)
        assert not ledger.learn(worth), "it is known"
    dearest = max(kind.cost for kind in made.kinds)
    below = 5 * dearest + 1
    left = {c for c in every_count(made, below) if all(enough(made, worth, c) for worth in worths)}
    assert ledger.floor <= min(map(made.cost_of, left), default=below)
    for turn in range(6):
        found = ledger.cheapest(0, below, lambda: True)
        least = min(map(made.cost_of, left), default=None)
        assert (None if found is None else found[1]) == least
        if found is None:
            break
        assert found[0] in left
        assert found[1] == made.cost_of(found[0])
        dearer = ledger.cheapest(found[1] + 1, below, lambda: True)
        over = [made.cost_of(c) for c in left if made.cost_of(c) > found[1]]
        assert (None if dearer is None else dearer[1]) == min(over, default=None)
        ledger.rule_out(found[0], proved=turn % 2 == 1)
        left = {c for c in left if c != found[0] and not (turn % 2 == 1 and holds_no_more(made, c, found[0]))}


def holds_no_more(made: Task, one: Sequence[int], other: Sequence[int]) -> bool:
    """Each stretch of one board set has a longer or equal one of its own in the other."""
    mine, theirs = (
        sorted((at for at, n in enumerate(made.stretches_of(counts)) for _ in range(n)), reverse=True)
        for counts in (one, other)
    )
    return len(mine) <= len(theirs) and all(a <= b for a, b in zip(mine, theirs, strict=False))


def test_it_stops_when_it_is_told_to(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(master, "LOOKS_BETWEEN", 1)
    made = task(1)
    ledger = Master(made)
    ledger.learn(PlainLength(made.sizes, made.demand, made.capacities[-1]))
    with pytest.raises(Stopped):
        ledger.cheapest(0, 10**9, lambda: False)
