"""Boards in fractions, against scipy's linear program over every pattern: cost, cover, supply, and the dual bound."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from scipy.optimize import linprog

from tracker.plan.boards.solver.column_generation import SCALE, Pool, Relaxation, Source


def asked(seed: int, unlimited: bool) -> tuple[list[int], list[int], list[Source]]:
    chance = random.Random(f"relaxed {seed}")
    sizes = sorted(chance.sample(range(5, 40), chance.randint(2, 4)), reverse=True)
    sources = [
        Source(chance.randint(20, 80), chance.uniform(0.3, 1.0), chance.choice((1, 2, 3)))
        for _ in range(chance.randint(1, 2))
    ]
    if unlimited:
        sources.append(Source(chance.randint(41, 90), 1.0, None))
    return sizes, [chance.randint(1, 5) for _ in sizes], sources


def every_pattern(sizes: list[int], demand: list[int], capacity: int) -> list[tuple[int, ...]]:
    ways = itertools.product(*(range(n + 1) for n in demand))
    return [way for way in ways if 0 < sum(s * n for s, n in zip(sizes, way, strict=True)) <= capacity]


def judged(sizes: list[int], demand: list[int], sources: list[Source]) -> float | None:
    """The least cost by scipy; None where the sources aren't enough."""
    columns = [(k, way) for k, source in enumerate(sources) for way in every_pattern(sizes, demand, source.capacity)]
    if not columns:
        return None
    cover = -np.array([way for _, way in columns]).T
    limited = [k for k, source in enumerate(sources) if source.supply is not None]
    supply = np.array([[float(k == mine) for k, _ in columns] for mine in limited]).reshape(len(limited), len(columns))
    limits = [-n for n in demand] + [sources[k].supply for k in limited]
    found = linprog([sources[k].cost for k, _ in columns], A_ub=np.vstack([cover, supply]), b_ub=limits)
    return float(found.fun) if found.status == 0 else None


@pytest.mark.parametrize("easily", [False, True])
@pytest.mark.parametrize("seed", range(40))
def test_the_least_cost_in_fractions(seed: int, easily: bool) -> None:
    sizes, demand, sources = asked(seed, unlimited=True)
    relaxed = Relaxation(sizes, demand, sources, Pool())
    assert relaxed.solve(lambda: True, easily=easily)
    wanted = judged(sizes, demand, sources)
    assert wanted is not None
    assert relaxed.missing == pytest.approx(0, abs=1e-6)
    assert sum(amount * sources[k].cost for amount, k, _ in relaxed.use) == pytest.approx(wanted, abs=1e-6)
    for i, many in enumerate(demand):
        assert sum(amount * dict(pattern).get(i, 0) for amount, _, pattern in relaxed.use) >= many - 1e-6
    for k, source in enumerate(sources):
        assert source.supply is None or sum(a for a, of, _ in relaxed.use if of == k) <= source.supply + 1e-6
    worth = relaxed.valuation
    over = sum((source.supply or 0) * max(0.0, worth.most(source.capacity) / SCALE - source.cost) for source in sources)
    assert worth.demanded / SCALE - over == pytest.approx(wanted, abs=1e-4), "the bound by its values is as high"


@pytest.mark.parametrize("seed", range(40))
def test_what_the_sources_cannot_give_is_missing(seed: int) -> None:
    sizes, demand, sources = asked(seed, unlimited=False)
    relaxed = Relaxation(sizes, demand, sources, Pool())
    relaxed.solve(lambda: True)
    assert (relaxed.missing > 1e-6) is (judged(sizes, demand, sources) is None)


def test_known_patterns_are_used_again_where_they_fit() -> None:
    pool = Pool()
    pool.add(50, ((0, 2), (1, 1)))
    pool.add(50, ((0, 1),))
    pool.add(50, ((0, 1),))
    assert pool.within(50, [2, 1]) == [((0, 2), (1, 1)), ((0, 1),)]
    assert pool.within(50, [1, 1]) == [((0, 1),)]
    assert pool.within(51, [2, 1]) == []


def test_a_relaxation_that_is_stopped_is_not_solved() -> None:
    sizes, demand, sources = asked(3, unlimited=True)
    stopped = [Relaxation(*asked(seed, unlimited=True), Pool()).solve(lambda: False) for seed in range(40)]
    assert not all(stopped)
    assert Relaxation(sizes, demand, sources, Pool()).solve(lambda: True)
