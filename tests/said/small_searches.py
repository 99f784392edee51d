"""Small requests to each part of the search for boards, asked directly: with few pieces and many ties, and with the
limits of the search so low that they are reached."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, nullcontext
from types import ModuleType
from typing import Any
from unittest.mock import patch

from msgspec.structs import replace
from plan.boards import test_knapsack, test_master, test_relaxation
from plan.boards.board_shop import shop_request, tight_request, tight_stretches
from plan.boards.test_fewest_moves import Rack
from said.odd_plans import Asked

from tracker.plan.boards import Request, Stock, cut
from tracker.plan.boards.cancel import Stopped
from tracker.plan.boards.replanning import fewest_moves_exact
from tracker.plan.boards.solver import (
    column_generation,
    diving,
    heuristics,
    knapsack,
    local_search,
    longest_offcut,
    master,
    packing,
    solve,
)  # fmt: skip
from tracker.plan.boards.solver.column_generation import Pool, Relaxation
from tracker.plan.boards.solver.diving import Dive
from tracker.plan.boards.solver.knapsack import PlainLength, SubsetSums, Valuation
from tracker.plan.boards.solver.local_search import Repair
from tracker.plan.boards.solver.master import Master
from tracker.plan.boards.solver.packing import Packer
from tracker.plan.boards.solver.problem import Task, make_task


def with_limits(module: ModuleType, **limits: int) -> AbstractContextManager[Any]:
    return patch.multiple(module, **limits)


def knapsacks() -> Iterator[Any]:
    """The most valuable pattern by both methods, soon and in the end, and what it is bounded by."""
    for seed in range(40):
        sizes, demand, values, room = test_knapsack.case(seed)
        values = [value // 10 for value in values] if seed % 2 else values
        for worth in (Valuation(sizes, demand, values), PlainLength(sizes, demand, room)):
            best = worth.most(room)
            yield [worth.better(room, beat) for beat in (0, best - 1, best)]
            yield [worth.soon_better(room, beat, steps) for beat in (0, best // 2) for steps in (1, 3, 9)]
            yield [worth.least_room(value, room) for value in (-1, 0, best // 2, best, best + 1)]
        by_lists = [[values[j] for j in range(5)], demand, room]
        yield [knapsack._list_patterns(sizes, *by_lists, beat) for beat in (0, best // 2)]
        for short in (knapsack.SHORT, 4):
            with with_limits(knapsack, SHORT=short):
                yield knapsack.frontiers(sizes, demand, values, room)
        for fine in (0, 12):
            totals = SubsetSums.of(sizes, demand, room, seed % 2, fine=fine)
            yield totals.steps, totals.made_of(totals.fullest(room)), totals.fullest(room - 3)


def uneven(seed: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Pieces for stretches of which some are too short for most, with little to spare."""
    chance = random.Random(f"uneven {seed}")
    rooms = tuple(sorted(chance.choice((7, 12, 17, 24, 31, 40)) for _ in range(chance.randint(4, 7))))
    pieces: list[int] = []
    while sum(pieces) < sum(rooms) - 16:
        pieces.append(chance.choice((5, 6, 7, 8, 11, 12, 13, 17, 19)))
    return tuple(sorted(pieces, reverse=True)), rooms


def packings() -> Iterator[Any]:
    """Whether pieces can be cut from a few stretches: quickly, by repairing, exactly, and with few nodes."""
    for seed in range(36):
        pieces, rooms = (uneven if seed % 2 else tight_stretches)(seed)
        sizes, capacities = sorted(set(pieces), reverse=True), sorted(set(rooms))
        demand, have = [pieces.count(size) for size in sizes], [rooms.count(room) for room in capacities]
        quick = Packer(sizes, capacities, Pool())
        yield quick.try_quickly(demand, have), quick.repair(demand, have, 6, Asked(2)), quick._best_fit(demand, have)
        yield quick.settle(demand, have, 0, Asked(3))
        guide = quick.guide(demand, have)
        relaxed = quick.relax(demand, have, Asked(9), easily=True)
        with with_limits(packing, DIVE_NODES=seed), with_limits(diving, SMALL=6):
            yield quick.dive(demand, have, relaxed, Asked(30))
        if guide is None:
            continue
        for few, many, grown, kept in ((2, 4000, 0, 9), (3, 6, 2, 100), (60, 4000, 60, 100)):
            with with_limits(packing, FEW=few, MANY=many, GROWN=grown, REMEMBERED=kept):
                for nodes in (3, 99):
                    yield Packer(sizes, capacities, Pool()).search(demand, have, guide, nodes, Asked(90))


def repairs() -> Iterator[Any]:
    """Stretches that are emptied and filled again."""
    for seed in range(60):
        pieces, rooms = tight_stretches(seed)
        sizes = sorted(set(pieces), reverse=True)
        for bits in (local_search.MOST_BITS, 100):
            with with_limits(local_search, MOST_BITS=bits, FINE=25):
                repair = Repair.of(sizes, sorted(rooms), [pieces.count(size) for size in sizes])
                yield repair.run(12, Asked(3)), repair.run(4, Asked(9)), repair._left


def relaxations() -> Iterator[Any]:
    """Boards in fractions, and plans from these, with knapsacks that are never easy and a search that is stopped."""
    for seed in range(30):
        sizes, demand, sources = test_relaxation.asked(seed, unlimited=seed % 3 > 0)
        for easy, patience, rounds, asked in ((400, 4000, 50, 99), (1, 4000, 50, 5), (2, 3, 1, 3), (1, 1, 50, 1)):
            limits = {"EASY": easy, "PATIENCE": patience, "ROUNDS": rounds, "LOOKS_BETWEEN": 3}
            with with_limits(column_generation, **limits), with_limits(diving, SMALL=4):
                for easily in (False, True):
                    pool, questions = Pool(), Asked(asked)
                    relaxed = Relaxation(sizes, demand, sources, pool)
                    yield relaxed.solve(questions, easily=easily), relaxed.use, relaxed.missing, questions.count
                    dive = Dive.start(sizes, demand, sources, pool)
                    yield dive.run(lambda *_: None, questions, relaxed), dive.taken, dive.left
                    dive = Dive.start(sizes, demand, sources, pool)
                    yield dive.run(lambda left, _: tuple((0, ((0, n),)) for n in left), questions), dive.supply


def masters() -> Iterator[Any]:
    """The cheapest counts, asked again and again, each answer ruled out alone or with what holds no more: of boards for
    sale, of boards in hand that count as dear, and where there is nothing to choose."""
    for seed in range(40):
        made, chance = test_master.task(seed), random.Random(f"values {seed}")
        counted = made.counting_boards(50)
        owned = replace(counted, kinds=tuple(kind for kind in counted.kinds if kind.supply is not None))
        given = replace(made, kinds=tuple(kind for kind in made.kinds if kind.cost == 0))
        for task, most_steps in ((made, 3000), (made, 20), (counted, 0), (owned, 0), (given, 0)):
            if task.kinds:
                with with_limits(master, MOST_STEPS=most_steps, LOOKS_BETWEEN=7):
                    yield from _asked_again(task, test_master.values(made, chance))


def _asked_again(task: Task, values: list[Valuation]) -> Iterator[Any]:
    ledger = Master(task)
    yield [ledger.learn(worth) for worth in values], ledger.floor
    below = 5 * max(kind.cost for kind in task.kinds) + 1
    for turn in range(5):
        questions = Asked(4)
        try:
            found = ledger.cheapest(turn % 2, below, questions)
        except Stopped:
            return
        yield found, questions.count
        if found is not None:
            ledger.rule_out(found[0], proved=turn % 2 == 1)


def quick_plans() -> Iterator[Any]:
    """The plans that are there at once, with boards for sale, in hand or both, some of which a piece just fits."""
    for seed in range(24):
        pieces, rooms = uneven(seed)
        sold = [Stock(stretches=(room,), price=room + seed % 3, length=room) for room in sorted(set(rooms))]
        owned = [Stock(stretches=(room,), supply=1) for room in rooms]
        stocks = ((*sold,), (*sold[-2:], *owned[:3]), (*owned, *owned))[seed % 3]
        task = make_task(Request(runs=pieces, kerf=0, stocks=stocks), range(len(pieces))).loose()
        for large, patience in ((100_000, 9), (20, 9), (20, 2)):
            with with_limits(heuristics, LARGE=large):
                asked = Asked(patience)
                yield heuristics.is_large(task), list(heuristics.first_cuts(task, asked)), asked.count


def whole_searches() -> Iterator[Any]:
    """Small requests as a whole; and what can only be cut from boards in hand, which aren't enough for all of it."""
    with with_limits(solve, TURN=2), with_limits(longest_offcut, PROBES=20):
        for seed in range(12):
            pieces, rooms = uneven(seed)
            stocks = [Stock(stretches=(room,), supply=1) for room in rooms[seed % 3 :]]
            yield from _searched(Request(runs=pieces, kerf=seed % 2, stocks=tuple(stocks)), 60)
        for seed in range(16):
            yield from _searched(shop_request(seed, 4 + seed % 5, linear=seed % 2 == 0, rack=seed % 3 > 0), 80)


def impatient_searches() -> Iterator[Any]:
    """Boards that are filled nearly to the last unit, with as little patience for each proposal as there can be."""
    few = dict.fromkeys(("FIRST_NODES", "SECOND_NODES", "THIRD_NODES", "FIRST_TRIES", "SECOND_TRIES"), 2)
    slow = patch.multiple(Packer, try_quickly=lambda *_: None, dive=lambda *_: None)
    last = {"NODES": 2, "PROBES": 3, "SETS_OF_BOARDS": 2, "VALUATIONS": 1}
    with with_limits(solve, **few, TURN=1, FIRST_LOOKS=1), with_limits(longest_offcut, **last):
        for seed in (1, 3, 7, 11, 12, 14, 15, 17, 21, 22, 23, 26, 34, 36, 37, 38):
            with with_limits(heuristics, LARGE=20), slow if seed % 3 else nullcontext():
                yield from _searched(tight_request(seed), 60)
        for seed in range(30):
            pieces, rooms = uneven(seed)
            stocks = [Stock(stretches=(room,), price=room + seed % 3, length=room) for room in sorted(set(rooms))]
            stocks += [Stock(stretches=(room, 6 + seed % 4), supply=1) for room in rooms[: seed % 5]]
            with slow:
                yield from _searched(Request(runs=pieces, kerf=0, stocks=tuple(stocks)), 40)


def _searched(request: Request, patience: int) -> Iterator[Any]:
    told, asked = list[Any](), Asked(patience)
    yield cut(request, asked, told.append), told, asked.count


def moves() -> Iterator[Any]:
    """Pieces that make room for new ones: with few nodes, few stretches at a time, and few moves."""
    for seed in range(40):
        rack = Rack.of(random.Random(f"small moves {seed}"), bins=4, most=3)
        whole = fewest_moves_exact.FewestMoves(rack.bins(), rack.new, rack.offers, rack.budget)
        for nodes, most in ((3, 12), (40, 12), (200, 2)):
            limits = {"MOST_MOVES": most, "NODES_AT_A_TIME": 5, "REMEMBERED": nodes // 4}
            with with_limits(fewest_moves_exact, **limits, FIRST_NODES=nodes, PART_NODES=9, FEW_BINS=3):
                asked = Asked(30)
                yield whole.run(asked, 6, seed % 2, nodes), asked.count
                yield fewest_moves_exact.fewest_moves(rack.bins(), rack.new, rack.offers, rack.budget, 6, asked)


SEARCHES: dict[str, Callable[[], Iterator[Any]]] = {
    each.__name__: each
    for each in (
        knapsacks, packings, repairs, relaxations, masters, quick_plans, whole_searches, impatient_searches,
        moves,
    )
}  # fmt: skip
