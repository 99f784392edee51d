"""The fewest moves: which runs change their stretch so that new ones can be cut, within what may be spent.

New runs are laid longest first: where there is room, on a bought board, or where other runs make room and are laid
again (an ejection chain, Glover 1996). The number of moves allowed rises by one at a time (iterative deepening, Korf
1985), so that the first plan found moves the fewest, and every number that failed is a proved bound. Dead ends are
remembered.

Why the search is complete: take any plan, lay its new runs longest first into the stretches that it has them in, and
move the runs that leave only when room is needed. Moving a run to make room for one of its own size is never needed:
the new one goes where that one would have gone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations

from msgspec import Struct, field

from tracker.plan.boards.cancel import KeepGoing, Stopped

MOST_MOVES = 12
NODES_AT_A_TIME = 50
REMEMBERED = 200_000
FIRST_NODES = 1_000
PART_NODES = 300
FEW_BINS = 14


class Load(Struct, frozen=True, order=True):
    """A run for this search: its size with its kerf, how many pieces move with it, and its number."""

    size: int
    pieces: int
    run: int


class Bin(Struct):
    """A clear stretch: its capacity with its kerf, the loads in it that may move, and the new ones."""

    capacity: int
    stay: list[Load]
    new: list[Load] = field(default_factory=list)
    kind: int | None = None  # for a bought board, the index of its offer

    @property
    def free(self) -> int:
        return self.capacity - sum(load.size for load in self.stay) - sum(load.size for load in self.new)


class Offer(Struct, frozen=True):
    """A board that can be bought: its capacity with its kerf, and its cost."""

    capacity: int
    cost: int


class Moves(Struct, frozen=True):
    """The loads of every bin and of every bought board, or None when there is no such plan; `least` is the number of
    moves it takes."""

    bins: list[list[Load]] | None
    bought: list[tuple[int, list[Load]]]
    moved: int
    least: int


class FewestMoves:
    """The search: `bins` as they are now, the new loads, and the most that may be spent."""

    def __init__(self, bins: Sequence[Bin], new: Sequence[Load], offers: Sequence[Offer], budget: int) -> None:
        self._start = [Bin(b.capacity, sorted(b.stay, reverse=True)) for b in bins]
        self._new = sorted(new, reverse=True)
        self._offers = offers
        self._budget = budget
        paid = [Fraction(offer.capacity, offer.cost) for offer in offers if offer.cost]
        self._per_cost = max(paid, default=Fraction(0))
        self._free_offers = any(offer.cost == 0 for offer in offers)
        self._shortest = min((load.size for load in (*new, *(each for b in bins for each in b.stay))), default=0)

    def run(self, keep_going: KeepGoing, known: int, least: int = 0, nodes: int | None = None) -> Moves:
        """Plans with at least `least` and fewer than `known` moves, fewest first, until one is found or time is up."""
        self._keep_going, self._nodes, self._most = keep_going, 0, nodes
        for allowed in range(least, min(known, MOST_MOVES + 1)):
            self._bins = [Bin(b.capacity, list(b.stay)) for b in self._start]
            self._dead: dict[tuple[object, ...], int] = {}
            try:
                if self._lay(list(self._new), self._budget, allowed):
                    return self._found(allowed)
            except Stopped:
                return Moves(None, [], known, allowed)
        return Moves(None, [], known, min(known, MOST_MOVES + 1))

    def _found(self, allowed: int) -> Moves:
        bins = [[*b.stay, *b.new] for b in self._bins if b.kind is None]
        bought = [(b.kind, b.new) for b in self._bins if b.kind is not None]
        return Moves(bins, bought, allowed, allowed)

    def _lay(self, waiting: list[Load], money: int, allowed: int) -> bool:
        """Lay the longest waiting run, and then the others."""
        if not waiting:
            return True
        self._count()
        if not self._enough_room(waiting, money, allowed):
            return False
        key = self._state(waiting, money)
        if self._dead.get(key, -1) >= allowed:
            return False
        load, rest = waiting[0], waiting[1:]
        if self._with_room(load, rest, money, allowed) or self._by_buying(load, rest, money, allowed):
            return True
        if allowed and self._by_moving(load, rest, money, allowed):
            return True
        if len(self._dead) < REMEMBERED:
            self._dead[key] = allowed
        return False

    def _count(self) -> None:
        self._nodes += 1
        if self._nodes == self._most:
            raise Stopped
        if self._nodes % NODES_AT_A_TIME == 0 and not self._keep_going():
            raise Stopped

    def _enough_room(self, waiting: list[Load], money: int, allowed: int) -> bool:
        """Whether the total length suffices: what is free, and what the money buys at the best rate. Where runs may
        still move, shorter rooms count too: the shortest of all runs may go there."""
        if self._free_offers:
            return True
        shortest = self._shortest if allowed else waiting[-1].size
        free = sum(room for b in self._bins if (room := b.free) >= shortest or (allowed and b.stay))
        return sum(load.size for load in waiting) <= free + money * self._per_cost

    def _state(self, waiting: list[Load], money: int) -> tuple[object, ...]:
        bins = sorted((b.free, tuple((load.size, load.pieces) for load in b.stay)) for b in self._bins)
        return tuple((load.size, load.pieces) for load in waiting), tuple(bins), money

    def _distinct(self, load: Load) -> Iterator[Bin]:
        """Bins that are long enough, fullest first, one of each set of equals."""
        seen = set()
        for box in sorted(self._bins, key=lambda b: b.free):
            state = (box.free, tuple((each.size, each.pieces) for each in box.stay))
            if box.capacity >= load.size and state not in seen:
                seen.add(state)
                yield box

    def _with_room(self, load: Load, rest: list[Load], money: int, allowed: int) -> bool:
        for box in self._distinct(load):
            if box.free >= load.size:
                box.new.append(load)
                if self._lay(rest, money, allowed):
                    return True
                box.new.remove(load)
        return False

    def _by_buying(self, load: Load, rest: list[Load], money: int, allowed: int) -> bool:
        for kind, offer in enumerate(self._offers):
            if offer.capacity >= load.size and offer.cost <= money:
                self._bins.append(Bin(offer.capacity, [], [load], kind))
                if self._lay(rest, money - offer.cost, allowed):
                    return True
                self._bins.pop()
        return False

    def _by_moving(self, load: Load, rest: list[Load], money: int, allowed: int) -> bool:
        for box in self._distinct(load):
            need = load.size - box.free
            if need <= 0 or not box.stay:
                continue
            for out in _ways_to_make_room(box.stay, need, allowed, load.size):
                before = box.stay
                box.stay = [each for each in before if each not in out]
                box.new.append(load)
                moved = sum(each.pieces for each in out)
                if self._lay(sorted([*rest, *out], reverse=True), money, allowed - moved):
                    return True
                box.new.remove(load)
                box.stay = before
        return False


def fewest_moves(
    bins: Sequence[Bin], new: Sequence[Load], offers: Sequence[Offer], budget: int, known: int, keep_going: KeepGoing
) -> Moves:
    """A plan with fewer than `known` moves, if one is found, and a lower bound of the moves (at least one).

    The search runs briefly over all stretches; then over a few of them at a time, which finds plans with many moves
    quickly; then over all for as long as time allows.
    """
    whole = FewestMoves(bins, new, offers, budget)
    best = whole.run(keep_going, known, 1, FIRST_NODES)
    if best.bins is not None or best.least >= known:
        return best
    known = best.moved
    need = sum(load.size for load in new)
    emptiest = sorted(range(len(bins)), key=lambda b: -bins[b].free)[:FEW_BINS]
    for few in (2, 3, 4):
        for some in combinations(emptiest, few):
            if not keep_going():
                return best
            if budget or sum(bins[b].free for b in some) >= need:
                part = FewestMoves([bins[b] for b in some], new, offers, budget)
                found = part.run(keep_going, known, best.least, PART_NODES)
                if found.bins is not None:
                    known = found.moved
                    full = [list(b.stay) for b in bins]
                    for b, inside in zip(some, found.bins, strict=True):
                        full[b] = inside
                    best = Moves(full, found.bought, known, best.least)
        if best.bins is not None:
            break
    found = whole.run(keep_going, known, best.least)
    return found if found.bins is not None else Moves(best.bins, best.bought, known, found.least)


def _ways_to_make_room(stay: list[Load], need: int, allowed: int, not_size: int) -> Iterator[list[Load]]:
    """The ways to free at least `need` by moving at most `allowed` pieces, none of them needlessly, shortest first."""
    options = sorted(load for load in stay if load.pieces <= allowed and load.size != not_size)

    def choose(first: int, out: list[Load], got: int, left: int) -> Iterator[list[Load]]:
        if got >= need:
            if all(got - load.size < need for load in out):
                yield list(out)
            return
        for at in range(first, len(options)):
            load = options[at]
            if load.pieces > left or (at > first and _alike(load, options[at - 1])):
                continue
            out.append(load)
            yield from choose(at + 1, out, got + load.size, left - load.pieces)
            out.pop()

    yield from choose(0, [], 0, allowed)


def _alike(one: Load, other: Load) -> bool:
    return one.size == other.size and one.pieces == other.pieces
