"""The best fill of one stretch, against trying every pattern."""

from __future__ import annotations

import itertools
import random
from bisect import bisect_right

import pytest

from tracker.plan.boards.solver import knapsack
from tracker.plan.boards.solver.knapsack import PlainLength, SubsetSums, Valuation, frontiers


def every_pattern(sizes: list[int], demand: list[int], room: int) -> list[tuple[int, ...]]:
    ways = itertools.product(*(range(n + 1) for n in demand))
    return [way for way in ways if sum(s * n for s, n in zip(sizes, way, strict=True)) <= room]


def case(seed: int) -> tuple[list[int], list[int], list[int], int]:
    chance = random.Random(seed)
    sizes = sorted(chance.sample(range(3, 40), 5), reverse=True)
    return sizes, [chance.randint(1, 3) for _ in sizes], [chance.randint(0, 50) for _ in sizes], chance.randint(10, 120)


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("depth_first", [False, True], ids=["the list method", "depth first"])
def test_the_greatest_worth(seed: int, depth_first: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not depth_first:
        monkeypatch.setattr(knapsack, "_branch", lambda *_: None)  # as when its patience runs out
    sizes, demand, values, room = case(seed)
    valuation = Valuation(sizes, demand, values)
    best = max(sum(v * n for v, n in zip(values, way, strict=True)) for way in every_pattern(sizes, demand, room))
    value, pattern = valuation.better(room, 0)
    assert valuation.most(room) == best
    assert value == best
    assert sum(values[i] * n for i, n in pattern) == best
    assert sum(sizes[i] * n for i, n in pattern) <= room
    assert valuation.better(room, best) == (best, ())
    assert valuation.better(room, best - 1)[0] == best


@pytest.mark.parametrize("seed", range(60))
def test_frontiers_and_the_least_room(seed: int) -> None:
    sizes, demand, values, room = case(seed)
    patterns = every_pattern(sizes, demand, room)
    value_of = {way: sum(v * n for v, n in zip(values, way, strict=True)) for way in patterns}
    length_of = {way: sum(s * n for s, n in zip(sizes, way, strict=True)) for way in patterns}
    found = frontiers(sizes, demand, values, room)
    for within in range(0, room + 1, 7):
        assert found[0][1][bisect_right(found[0][0], within) - 1] == max(
            value_of[w] for w in patterns if length_of[w] <= within
        )
    for plain, of in ((Valuation(sizes, demand, values), value_of), (PlainLength(sizes, demand, room), length_of)):
        for wanted in {0, max(of.values()) // 2, max(of.values())}:
            assert plain.least_room(wanted, room) == min(length_of[w] for w in patterns if of[w] >= wanted)
        assert plain.least_room(max(of.values()) + 1, room) is None


@pytest.mark.parametrize("seed", range(60))
def test_a_pile_makes_just_the_sums_that_can_be_made(seed: int) -> None:
    sizes, demand, _, room = case(seed)
    sums = {sum(s * n for s, n in zip(sizes, way, strict=True)) for way in every_pattern(sizes, demand, room)}
    totals = SubsetSums.of(sizes, demand, room)
    assert {n for n in range(room + 1) if totals.sums >> n & 1} == sums
    for total in sums:
        counts = totals.made_of(total)
        assert sum(sizes[i] * n for i, n in counts.items()) == total
        assert all(n <= demand[i] for i, n in counts.items())


@pytest.mark.parametrize("seed", range(20))
def test_a_coarse_pile_still_fits(seed: int) -> None:
    sizes, demand, _, room = case(seed)
    totals = SubsetSums.of(sizes, demand, room, fine=12)
    counts = totals.made_of(totals.fullest(room))
    assert sum(sizes[i] * n for i, n in counts.items()) <= room
