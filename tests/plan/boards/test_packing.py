"""Whether blanks can be cut from given stretches: the exact search against trying every place."""

from __future__ import annotations

import itertools
import random
from functools import cache

import pytest
from board_shop import shop_request, tight_stretches

from tracker.plan.boards.solver import packing
from tracker.plan.boards.solver.bin_completion import Guide
from tracker.plan.boards.solver.column_generation import Pool
from tracker.plan.boards.solver.knapsack import Valuation
from tracker.plan.boards.solver.packing import Packer
from tracker.plan.boards.solver.problem import make_task


def can_be_cut(pieces: tuple[int, ...], rooms: tuple[int, ...]) -> bool:
    """Whether the pieces can be cut, by trying every place for the longest remaining piece; equal rooms are tried
    once."""

    @cache
    def lay(at: int, left: tuple[int, ...]) -> bool:
        if at == len(pieces):
            return True
        for room in set(left):
            if room >= pieces[at]:
                rest = list(left)
                rest.remove(room)
                if lay(at + 1, tuple(sorted([*rest, room - pieces[at]]))):
                    return True
        return False

    return lay(0, tuple(sorted(rooms)))


@pytest.mark.parametrize("few", [2, 3, 60], ids=lambda n: f"listing {n} at first")
@pytest.mark.parametrize("grown", [0, 60], ids=lambda n: f"new duals after {n}")
def test_the_exact_search_is_exact(few: int, grown: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packing, "FEW", few)
    monkeypatch.setattr(packing, "GROWN", grown)
    answers = {True: 0, False: 0}
    for seed in range(120):
        pieces, rooms = tight_stretches(seed)
        sizes = sorted(set(pieces), reverse=True)
        capacities = sorted(set(rooms))
        demand = [pieces.count(size) for size in sizes]
        have = [rooms.count(capacity) for capacity in capacities]
        answer = Packer(sizes, capacities, Pool()).settle(demand, have, 100_000, lambda: True)
        assert answer.proved
        assert (answer.layout is not None) == can_be_cut(pieces, rooms), seed
        answers[answer.layout is not None] += 1
        if answer.layout is not None:
            for at, pattern in answer.layout:
                assert sum(sizes[i] * n for i, n in pattern) <= capacities[at]
            cut = [sum(n for _, pattern in answer.layout for j, n in pattern if j == i) for i in range(len(sizes))]
            assert cut == demand
            assert all(sum(a == at for a, _ in answer.layout) <= have[at] for at in range(len(have)))
    assert min(answers.values()) > 25, f"too one-sided to say much: {answers}"


@pytest.mark.parametrize("seed", range(20))
def test_a_stretch_is_worth_its_best_fill_and_no_more_however_fine_the_grid(seed: int) -> None:
    chance = random.Random(seed)
    sizes = sorted(chance.sample(range(17_000, 250_000), 5), reverse=True)
    demand = [chance.randint(1, 3) for _ in sizes]
    values = [size + chance.randint(-2_000, 2_000) for size in sizes]
    ways = list(itertools.product(*(range(n + 1) for n in demand)))
    length = {way: sum(s * n for s, n in zip(sizes, way, strict=True)) for way in ways}
    capacities = sorted(length[way] - 1 for way in chance.sample(ways[1:], 5))  # each a hair too short for a fill
    guide = Guide.of(Valuation(sizes, demand, values), sizes, demand, capacities, [1] * len(capacities))
    for capacity, most in zip(capacities, guide.most, strict=True):
        fits = [way for way in ways if length[way] <= capacity]
        assert most == max(sum(w * n for w, n in zip(values, way, strict=True)) for way in fits)


def test_boards_that_are_too_few_by_a_hair_are_ruled_out_soon() -> None:
    """In fractions these boards are enough, with a 600th of a board to spare. The integer program over all fills that
    may be part of such a plan has no solution either, by HiGHS 1.16."""
    request = shop_request(285, 120, rack=False)
    task = make_task(request, range(len(request.runs)))
    packer = Packer(task.sizes, task.capacities, Pool())
    answer = packer.settle(task.demand, task.stretches_of((2, 1, 37, 0, 0, 3)), 300, lambda: True)
    assert answer.layout is None
    assert answer.proved
