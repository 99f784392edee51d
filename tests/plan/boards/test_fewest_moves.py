"""The fewest pieces that must move so that new ones can be cut, against trying every stretch for every piece."""

from __future__ import annotations

import random
from collections import Counter
from itertools import product
from typing import NamedTuple

import pytest

from tracker.plan.boards.replanning.fewest_moves_exact import Bin, FewestMoves, Load, Moves, Offer, fewest_moves


class Rack(NamedTuple):
    """Stretches with what is to be cut from them, new runs, and boards that may be bought. Sizes include a kerf."""

    capacities: tuple[int, ...]
    stay: tuple[tuple[Load, ...], ...]
    new: tuple[Load, ...]
    offers: tuple[Offer, ...]
    budget: int

    @classmethod
    def of(cls, chance: random.Random, bins: int, most: int) -> Rack:
        """Full stretches: a new run seldom fits anywhere unless others move."""
        number = iter(range(1000))
        stay, capacities = [], []
        for _ in range(bins):
            loads = [
                Load(chance.randint(4, 16), chance.choice((1, 1, 1, 2)), next(number))
                for _ in range(chance.randint(0, most))
            ]
            stay.append(tuple(loads))
            capacities.append(sum(load.size for load in loads) + chance.randint(2, 9))
        new = tuple(Load(chance.randint(8, 20), 1, next(number)) for _ in range(chance.randint(1, 2)))
        offers = tuple(Offer(chance.randint(10, 24), chance.randint(2, 5)) for _ in range(chance.randint(0, 2)))
        return cls(tuple(capacities), tuple(stay), new, offers, chance.choice((0, 0, 3, 6)))

    def bins(self) -> list[Bin]:
        return [Bin(capacity, list(loads)) for capacity, loads in zip(self.capacities, self.stay, strict=True)]

    def fewest(self) -> int | None:
        """The fewest pieces that move, over every way of laying all runs; None when nothing works."""
        loads = [*(load for inside in self.stay for load in inside), *self.new]
        home = {load.run: at for at, inside in enumerate(self.stay) for load in inside}
        best: int | None = None
        for bought in product(range(len(self.offers) + 1), repeat=2):
            kinds = [self.offers[kind - 1] for kind in bought if kind]
            if sum(kind.cost for kind in kinds) > self.budget or (bought[0] == 0 and bought[1]):
                continue
            rooms = [*self.capacities, *(kind.capacity for kind in kinds)]
            found = _least(loads, rooms, home, 0, best)
            best = found if best is None else best if found is None else min(best, found)
        return best


def _least(loads: list[Load], rooms: list[int], home: dict[int, int], moved: int, best: int | None) -> int | None:
    if best is not None and moved >= best:
        return None
    if not loads:
        return moved
    load, rest, found = loads[0], loads[1:], best
    for at, room in enumerate(rooms):
        if load.size <= room:
            cost = load.pieces if home.get(load.run, at) != at else 0
            rooms[at] -= load.size
            this = _least(rest, rooms, home, moved + cost, found)
            rooms[at] += load.size
            found = this if found is None else found if this is None else min(found, this)
    return found


def faults(rack: Rack, found: Moves) -> list[str]:
    """Every run once, no stretch too full, no more spent than allowed, and as many moved as it says."""
    assert found.bins is not None
    wrong = []
    inside = [*found.bins, *(loads for _, loads in found.bought)]
    rooms = [*rack.capacities, *(rack.offers[kind].capacity for kind, _ in found.bought)]
    wanted = Counter([*(load for loads in rack.stay for load in loads), *rack.new])
    if Counter(load for loads in inside for load in loads) != wanted:
        wrong.append("a run is lost, or there twice")
    if any(sum(load.size for load in loads) > room for loads, room in zip(inside, rooms, strict=True)):
        wrong.append("a stretch is too full")
    if sum(rack.offers[kind].cost for kind, _ in found.bought) > rack.budget:
        wrong.append("too much is spent")
    left = zip(rack.stay, found.bins, strict=True)
    moved = sum(load.pieces for before, after in left for load in before if load not in after)
    return wrong if moved == found.moved else [*wrong, f"{moved} move, not {found.moved}"]


@pytest.mark.parametrize("seed", range(80))
def test_as_by_trying_everything(seed: int) -> None:
    rack = Rack.of(random.Random(f"moves {seed}"), bins=3, most=2)
    wanted = rack.fewest()
    whole = FewestMoves(rack.bins(), rack.new, rack.offers, rack.budget)
    found = whole.run(lambda: True, 9)
    assert found.moved == found.least == (9 if wanted is None else wanted)
    assert (found.bins is None) == (wanted is None)
    assert found.bins is None or not faults(rack, found)
    if wanted:  # with fewer than it takes, nothing is found, and that is proved
        fewer = whole.run(lambda: True, wanted)
        assert (fewer.bins, fewer.moved, fewer.least) == (None, wanted, wanted)
    best = fewest_moves(rack.bins(), rack.new, rack.offers, rack.budget, 9, lambda: True)
    assert (best.moved, best.least) == (
        9 if wanted is None else max(1, wanted),
        9 if wanted is None else max(1, wanted),
    )


def test_what_is_free_costs_no_money() -> None:
    """A board that costs nothing is always within what may be spent."""
    rack = Rack((20,), ((Load(15, 1, 0),),), (Load(18, 1, 1),), (Offer(19, 0),), 0)
    found = FewestMoves(rack.bins(), rack.new, rack.offers, 0).run(lambda: True, 9)
    assert (found.moved, found.bought) == (0, [(0, [Load(18, 1, 1)])])


def test_it_stops_when_it_is_told_to_and_after_so_many_nodes() -> None:
    rack = Rack.of(random.Random("moves stopped"), bins=8, most=4)
    new = [Load(40, 1, 900 + n) for n in range(3)]
    search = FewestMoves([*rack.bins(), Bin(45, []), Bin(45, [])], new, (), 0)
    assert search.run(lambda: True, 9, nodes=1).bins is None
    assert search.run(lambda: True, 9, 3, nodes=1).least == 3, "as few as were asked for aren't ruled out"
    looks = iter([True, False])
    assert search.run(lambda: next(looks, False), 13).bins is None


def test_no_more_than_twelve_move() -> None:
    """Thirteen short pieces would have to move out of a stretch: that isn't searched, and not called impossible."""
    full = Bin(13, [Load(1, 1, n) for n in range(13)])
    found = FewestMoves([full, Bin(13, [])], [Load(13, 1, 99)], [], 0).run(lambda: True, 20)
    assert found.bins is not None, "it goes into the empty one"
    narrow = [full, *(Bin(12, []) for _ in range(2))]
    found = FewestMoves(narrow, [Load(13, 1, 99)], [], 0).run(lambda: True, 20)
    assert (found.bins, found.moved, found.least) == (None, 20, 13)
    twelve = Bin(12, [Load(1, 1, n) for n in range(12)])
    found = FewestMoves([twelve, Bin(11, []), Bin(11, [])], [Load(12, 1, 99)], [], 0).run(lambda: True, 20)
    assert (found.moved, found.bins is not None) == (12, True)
