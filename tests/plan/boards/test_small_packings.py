"""A few pieces on boards of different widths, against every cut on a grid of whole units."""

from __future__ import annotations

import random
from functools import cache

import pytest

from tracker.plan.boards.rip.small_packings import Load, Room, SmallPackings

Loads = frozenset[Load]


class ByEveryCut:
    """Every load that a rectangle can hold, by trying every cut from edge to edge at every unit."""

    def __init__(self, sizes: tuple[tuple[int, int], ...], counts: Load, kerf: int) -> None:
        self.sizes, self.counts, self.kerf = sizes, counts, kerf
        self.nothing = (0,) * len(sizes)
        self.sawn, self.lane, self.section, self.laid = map(
            cache, (self._sawn, self._lane, self._section, self._laid)
        )  # fmt: skip

    def _together(self, one: Loads, other: Loads) -> Loads:
        both = (tuple(map(sum, zip(a, b, strict=True))) for a in one for b in other)
        return frozenset(load for load in both if all(n <= most for n, most in zip(load, self.counts, strict=True)))

    def _single(self, along: int, across: int) -> Loads:
        one = [tuple(int(at == i) for at in range(len(self.sizes))) for i in range(len(self.sizes))]
        fits = (load for load, (a, b) in zip(one, self.sizes, strict=True) if a <= along and b <= across)
        return frozenset([self.nothing, *fits])

    def _sawn(self, along: int, across: int) -> Loads:
        found = self._single(along, across)
        for at in range(1, along - self.kerf):
            found |= self._together(self.sawn(at, across), self.sawn(along - at - self.kerf, across))
        for at in range(1, across - self.kerf):
            found |= self._together(self.sawn(along, at), self.sawn(along, across - at - self.kerf))
        return found

    def _lane(self, along: int, across: int) -> Loads:
        """Pieces end to end."""
        found = self._single(along, across)
        for at in range(1, along - self.kerf):
            found |= self._together(self._single(at, across), self.lane(along - at - self.kerf, across))
        return found

    def _section(self, along: int, across: int) -> Loads:
        """Lanes side by side."""
        found = self.lane(along, across)
        for at in range(1, across - self.kerf):
            found |= self._together(self.lane(along, at), self.section(along, across - at - self.kerf))
        return found

    def _laid(self, along: int, across: int) -> Loads:
        """Sections one after the other."""
        found = self.section(along, across)
        for at in range(1, along - self.kerf):
            found |= self._together(self.section(at, across), self.laid(along - at - self.kerf, across))
        return found


@pytest.mark.parametrize("seed", range(24))
def test_the_least_left_over_and_then_the_least_begun(seed: int) -> None:
    chance = random.Random(f"small {seed}")
    sizes = tuple({(chance.randint(2, 6), chance.randint(2, 5)) for _ in range(chance.randint(1, 3))})
    counts, kerf = tuple(chance.randint(1, 2) for _ in sizes), chance.randint(0, 1)
    rooms = [Room(board, 0, chance.randint(4, 10), chance.randint(3, 7)) for board in range(2)]
    areas = [room.along * room.across for room in rooms]
    known = SmallPackings(sizes, counts, kerf, rooms)
    assert known.run(lambda: True)
    every = ByEveryCut(sizes, counts, kerf)
    for fronts, holds in ((known.laid, every.laid), (known.sawn, every.sawn)):
        for load, front in ((load, front) for load, front in fronts.items() if any(load)):
            for room in rooms:
                held = any(shape.along <= room.along and shape.across <= room.across for shape in front)
                assert held is (load in holds(room.along, room.across)), (load, room)
        best = None
        for one in holds(rooms[0].along, rooms[0].across):
            for two in holds(rooms[1].along, rooms[1].across):
                left = [n - a - b for n, a, b in zip(counts, one, two, strict=True)]
                if min(left) >= 0:
                    over = sum(n * a * b for n, (a, b) in zip(left, sizes, strict=True))
                    begun = areas[0] * any(one) + areas[1] * any(two)
                    best = min(best or (10**9, 0), (over, begun))
        found = known.best(fronts, rooms, areas, lambda: True)
        assert found is not None
        assert (known.area(found.left), found.begun) == best
        for room, load in zip(rooms, found.loads, strict=True):
            assert load is None or load in holds(room.along, room.across)
        taken = [sum(load[i] for load in found.loads if load) for i in range(len(sizes))]
        assert [n - m for n, m in zip(counts, taken, strict=True)] == list(found.left)
    assert known.best(known.laid, rooms, areas, lambda: False) is None, "stopped"


def test_how_a_load_lies_by_hand() -> None:
    """Two of 4 × 2 beside one another, and one of 3 × 4 after them, with a kerf of 1: 4 + 1 + 3 by 2 + 1 + 2."""
    room = Room(0, 0, 8, 5)
    known = SmallPackings(((3, 4), (4, 2)), (1, 2), 1, [room])
    assert known.run(lambda: True)
    sections = known.how(room, (1, 2))
    assert sorted(sorted(lanes) for lanes in sections) == [[(0, 1), (0, 1)], [(1, 0)]]
    narrow = SmallPackings(((3, 4), (4, 2)), (1, 2), 1, [Room(0, 0, 7, 5)])
    assert narrow.run(lambda: True)
    assert not any(shape.along <= 7 and shape.across <= 5 for shape in narrow.laid.get((1, 2), ())), "a unit too short"
