"""What fills one stretch best, against trying every fill."""

from __future__ import annotations

import itertools
import random

import pytest

from tracker.plan.boards.solver.knapsack import Pile, PlainLength, Worth, frontiers, most_within


def every_fill(sizes: list[int], demand: list[int], room: int) -> list[tuple[int, ...]]:
    ways = itertools.product(*(range(n + 1) for n in demand))
    return [way for way in ways if sum(s * n for s, n in zip(sizes, way, strict=True)) <= room]


def case(seed: int) -> tuple[list[int], list[int], list[int], int]:
    chance = random.Random(seed)
    sizes = sorted(chance.sample(range(3, 40), 5), reverse=True)
    return sizes, [chance.randint(1, 3) for _ in sizes], [chance.randint(0, 50) for _ in sizes], chance.randint(10, 120)


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("patience", [1, 4000], ids=["the list method", "depth first"])
def test_the_greatest_worth(seed: int, patience: int) -> None:
    sizes, demand, values, room = case(seed)
    worth = Worth(sizes, demand, values)
    best = max(sum(v * n for v, n in zip(values, way, strict=True)) for way in every_fill(sizes, demand, room))
    soon = worth.soon_better(room, 0, patience)
    value, fill = worth.better(room, 0) if soon is None else soon
    assert value == best
    assert sum(values[i] * n for i, n in fill) == best
    assert sum(sizes[i] * n for i, n in fill) <= room
    assert worth.better(room, best) == (best, ())


@pytest.mark.parametrize("seed", range(60))
def test_frontiers_and_the_least_room(seed: int) -> None:
    sizes, demand, values, room = case(seed)
    fills = every_fill(sizes, demand, room)
    value_of = {way: sum(v * n for v, n in zip(values, way, strict=True)) for way in fills}
    length_of = {way: sum(s * n for s, n in zip(sizes, way, strict=True)) for way in fills}
    found = frontiers(sizes, demand, values, room)
    for within in range(0, room + 1, 7):
        assert most_within(found[0], within) == max(value_of[w] for w in fills if length_of[w] <= within)
    for plain, of in ((Worth(sizes, demand, values), value_of), (PlainLength(sizes, demand, room), length_of)):
        for wanted in {0, max(of.values()) // 2, max(of.values())}:
            assert plain.least_room(wanted, room) == min(length_of[w] for w in fills if of[w] >= wanted)
        assert plain.least_room(max(of.values()) + 1, room) is None


@pytest.mark.parametrize("seed", range(60))
def test_a_pile_makes_just_the_sums_that_can_be_made(seed: int) -> None:
    sizes, demand, _, room = case(seed)
    sums = {sum(s * n for s, n in zip(sizes, way, strict=True)) for way in every_fill(sizes, demand, room)}
    pile = Pile.of(sizes, demand, room)
    assert {n for n in range(room + 1) if pile.sums >> n & 1} == sums
    for total in sums:
        counts = pile.made_of(total)
        assert sum(sizes[i] * n for i, n in counts.items()) == total
        assert all(n <= demand[i] for i, n in counts.items())


@pytest.mark.parametrize("seed", range(20))
def test_a_coarse_pile_still_fits(seed: int) -> None:
    sizes, demand, _, room = case(seed)
    pile = Pile.of(sizes, demand, room, fine=12)
    counts = pile.made_of(pile.fullest(room))
    assert sum(sizes[i] * n for i, n in counts.items()) <= room
