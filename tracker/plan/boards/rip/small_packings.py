"""Every way to lay a few pieces on boards of different widths: the best plan of a small request, and its proof.

Pieces of one size are counted, not told apart, so the contents of a stretch are a number of each size: a load. For each
load the smallest rectangles that hold it are computed from those of smaller loads (dynamic programming, after Gilmore &
Gomory 1965): once for plans of this saw (crosscut into sections, ripped into lanes, cut to length), and once for any
cuts from edge to edge. A search over what is left after each board then assigns loads to boards. The first kind gives
the plan, the second the bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import product

from msgspec import Struct

from tracker.plan.boards.cancel import KeepGoing

Size = tuple[int, int]
"""Length and width along and across the board, in units."""
Load = tuple[int, ...]
"""The number of pieces of each size."""
MOST_LOADS = 20_000
"""A request with more loads than this isn't small."""


class Shape(Struct, frozen=True):
    """A rectangle that holds a load, and how: the lanes of a section, or the sections of a stretch. `how` is empty
    where only the size matters."""

    along: int
    across: int
    how: tuple[tuple[Load, ...], ...] = ()


class Room(Struct, frozen=True):
    """One clear stretch: its board, the way in which that is cleared, and its size in units."""

    board: int
    way: int
    along: int
    across: int


Front = tuple[Shape, ...]
Join = Callable[[Load], Front]


class Chosen(Struct, frozen=True):
    """What is left of each size, the area of the boards begun, and the load of each room (None: empty)."""

    left: Load
    begun: int
    loads: tuple[Load | None, ...]


class SmallPackings:
    """All loads that fit some room, the small ones first. It continues where it stopped when time ran out."""

    def __init__(self, sizes: Sequence[Size], counts: Load, kerf: int, rooms: Sequence[Room]) -> None:
        self.sizes, self.counts, self.kerf, self.rooms = tuple(sizes), counts, kerf, tuple(rooms)
        self.along = max((room.along for room in rooms), default=0)
        self.across = max((room.across for room in rooms), default=0)
        nothing = (0,) * len(sizes)
        self._lanes: dict[Load, Shape] = {}
        self._sections: dict[Load, Front] = {}
        self.laid: dict[Load, Front] = {nothing: ()}
        """The rectangles for sections and lanes, with how each load lies in them."""
        self.sawn: dict[Load, Front] = {nothing: ()}
        """The rectangles for any cuts from edge to edge, without how."""
        self._work = self._steps()
        self.finished = False

    def run(self, keep_going: KeepGoing) -> bool:
        """Whether all loads are known now; False when time ran out, or there are too many of them."""
        for _ in self._work:
            if not keep_going() or len(self.sawn) > MOST_LOADS:
                return False
        self.finished = True
        return True

    def _steps(self) -> Iterator[None]:
        layer = {(0,) * len(self.sizes)}
        while layer:
            following = set()
            for load in sorted(layer):
                for at, most in enumerate(self.counts):
                    if load[at] < most:
                        following.add((*load[:at], load[at] + 1, *load[at + 1 :]))
            layer = set()
            for load in sorted(following):
                if self._add(load):
                    layer.add(load)
                yield

    def _add(self, load: Load) -> bool:
        """Compute the rectangles that hold this load; False where it fits no room."""
        parts = [(part, tuple(a - b for a, b in zip(load, part, strict=True))) for part in _parts(load)]
        lane = self._lane(load)
        if lane is not None:
            self._lanes[load] = lane
        single = (lane,) if lane is not None else ()
        across = (self._beside(self._lanes[one], other) for one, rest in parts if one in self._lanes
                  for other in self._sections.get(rest, ()))  # fmt: skip
        sections = self._least((*single, *across))
        if sections:
            self._sections[load] = sections
        after = (self._after(one, other) for part, rest in parts for one in self._sections.get(part, ())
                 for other in self.laid.get(rest, ()))  # fmt: skip
        laid = self._least((*(Shape(s.along, s.across, (s.how[0],)) for s in sections), *after))
        if laid:
            self.laid[load] = laid
        sawn = self._least((*laid, *self._any(parts)))
        if sawn:
            self.sawn[load] = tuple(Shape(each.along, each.across) for each in sawn)
        return bool(sawn)

    def _any(self, parts: Sequence[tuple[Load, Load]]) -> Iterator[Shape]:
        for part, rest in parts:
            for one in self.sawn.get(part, ()):
                for other in self.sawn.get(rest, ()):
                    yield Shape(one.along + self.kerf + other.along, max(one.across, other.across))
                    yield Shape(max(one.along, other.along), one.across + self.kerf + other.across)

    def _lane(self, load: Load) -> Shape | None:
        """The load end to end in one lane."""
        along = sum(n * (size[0] + self.kerf) for n, size in zip(load, self.sizes, strict=True)) - self.kerf
        across = max(size[1] for n, size in zip(load, self.sizes, strict=True) if n)
        return Shape(along, across, ((load,),)) if along <= self.along and across <= self.across else None

    def _beside(self, lane: Shape, section: Shape) -> Shape:
        lanes = (*lane.how[0], *section.how[0])
        return Shape(max(lane.along, section.along), lane.across + self.kerf + section.across, (lanes,))

    def _after(self, section: Shape, others: Shape) -> Shape:
        along, across = section.along + self.kerf + others.along, max(section.across, others.across)
        return Shape(along, across, (section.how[0], *others.how))

    def _least(self, shapes: Sequence[Shape]) -> Front:
        """The shapes that fit some room and don't contain a smaller one."""
        best: list[Shape] = []
        for each in sorted(
            (each for each in shapes if each.along <= self.along and each.across <= self.across),
            key=lambda shape: (shape.along, shape.across),
        ):
            if not best or each.across < best[-1].across:
                best.append(each)
        return tuple(best)

    # -- which load on which board ---------------------------------------------------------------------------------

    def best(
        self, fronts: dict[Load, Front], rooms: Sequence[Room], areas: Sequence[int], keep_going: KeepGoing
    ) -> Chosen | None:
        """The least area left over, then the least area of boards begun; None when time ran out.

        For each room only loads to which nothing can be added matter; they are reduced to the pieces that are still to
        be cut.
        """
        walks = {self.counts: Chosen(self.counts, 0, ())}
        for board, area in enumerate(areas):
            mine = [room for room in rooms if room.board == board]
            before, walks = walks, {}
            for way in sorted({room.way for room in mine}) or [0]:
                steps = {(left, False): each for left, each in before.items()}
                for room in mine:
                    holds = [load for load, front in fronts.items() if room.way == way and _holds(room, front)]
                    steps = _next_room(steps, _fullest(holds))
                    if not keep_going():
                        return None
                for (left, used), each in steps.items():
                    begun = each.begun + area * used
                    if left not in walks or begun < walks[left].begun:
                        walks[left] = Chosen(left, begun, each.loads)
        return min(walks.values(), key=lambda each: (self.area(each.left), each.begun))

    def area(self, load: Load) -> int:
        """The area of all pieces of a load, in square units."""
        return sum(n * along * across for n, (along, across) in zip(load, self.sizes, strict=True))

    def how(self, room: Room, load: Load) -> tuple[tuple[Load, ...], ...]:
        """How a load lies on a room that holds it: its sections, each with its lanes."""
        return next(s.how for s in self.laid[load] if s.along <= room.along and s.across <= room.across)


def _next_room(steps: dict[tuple[Load, bool], Chosen], fullest: Sequence[Load]) -> dict[tuple[Load, bool], Chosen]:
    """What can be left after one more room, with the least area begun before: the room stays empty, or gets one of the
    loads."""
    found: dict[tuple[Load, bool], Chosen] = {}
    for (left, used), each in steps.items():
        for most in (None, *fullest):
            load = None if most is None else tuple(map(min, left, most))
            if load is not None and not any(load):
                continue
            rest = left if load is None else tuple(a - b for a, b in zip(left, load, strict=True))
            key = (rest, used or load is not None)
            if key not in found or each.begun < found[key].begun:
                found[key] = Chosen(rest, each.begun, (*each.loads, load))
    return found


def _parts(load: Load) -> Iterator[Load]:
    """Every part of a load with at least one of its first size, but not all of it."""
    first = next(at for at, n in enumerate(load) if n)
    ranges = [range(1, n + 1) if at == first else range(n + 1) for at, n in enumerate(load)]
    return (part for part in product(*ranges) if part != load)


def _holds(room: Room, front: Front) -> bool:
    return any(shape.along <= room.along and shape.across <= room.across for shape in front)


def _fullest(loads: Sequence[Load]) -> list[Load]:
    """The loads that aren't part of another one."""
    best: list[Load] = []
    for load in sorted(loads, key=sum, reverse=True):
        if not any(all(a <= b for a, b in zip(load, other, strict=True)) for other in best):
            best.append(load)
    return best
