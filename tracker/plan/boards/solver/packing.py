"""Whether these blanks can be cut from these boards: an exact search, after a quick try.

The boards are given and paid for, so every clear stretch is a separate bin. The search is bin completion that branches
where there are the fewest choices ("fail first", Haralick & Elliott 1980), remembers dead ends, and prices waste with
the duals of the relaxation; a large subtree gets its own duals.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.plan.boards.cancel import KeepGoing, Stopped
from tracker.plan.boards.solver.bin_completion import Choice, Guide, Wish, choices
from tracker.plan.boards.solver.column_generation import Pool, Relaxation, Source
from tracker.plan.boards.solver.diving import Dive
from tracker.plan.boards.solver.knapsack import FINE, Pattern, SubsetSums
from tracker.plan.boards.solver.local_search import Repair
from tracker.plan.boards.solver.problem import Cuts, Layout

FEW = 60
"""Branchings with at least this many choices (2 or more) aren't listed completely at first."""
MANY = 4000
GROWN = 60
"""Nodes below a branching after which it gets its own duals."""
DIVE_NODES = 1_500
REMEMBERED = 100_000


class Answer(Struct, frozen=True):
    """`layout` when the blanks can be cut; otherwise None, and `proved` says whether that is certain."""

    layout: Layout | None
    proved: bool


class _State(Struct, frozen=True):
    left: list[int]
    have: tuple[int, ...]
    guide: Guide
    waste: int  # value that may still be wasted
    slack: int  # length that may still be wasted
    first: int = 0

    def after(self, at: int, choice: Choice) -> _State:
        left = self.left[:]
        for i, n in choice.pattern:
            left[i] -= n
        have = (*self.have[:at], self.have[at] - 1, *self.have[at + 1 :])
        waste = self.waste - (self.guide.most[at] - choice.value)
        return _State(left, have, self.guide, waste, self.slack - choice.left, self.first)


# One long class: its searches share what they have learned, which makes the second one quick.
class Packer:
    """Packs blanks of `sizes` into stretches of `capacities`; keeps what it learns between calls."""

    def __init__(self, sizes: Sequence[int], capacities: Sequence[int], pool: Pool) -> None:
        self._sizes = sizes
        self._capacities = capacities
        self._pool = pool
        self._dead: set[tuple[tuple[int, ...], tuple[int, ...]]] = set()
        self._path: list[tuple[int, Pattern]] = []

    # ---- a quick try

    def try_quickly(self, demand: Sequence[int], have: Sequence[int]) -> Layout | None:
        """Try simple ways for a few milliseconds: best fit, and filling each stretch in turn as full as possible."""
        places = [at for at, many in enumerate(have) for _ in range(many)]
        for order, longest in ((places, True), (places[::-1], True), (places, False)):
            layout = self._fill_in_turn(demand, order, longest)
            if layout is not None:
                return layout
        return self._best_fit(demand, have)

    def _fill_in_turn(self, demand: Sequence[int], order: Sequence[int], longest: bool) -> Layout | None:
        """Fill the stretches in this order, each with the `longest` blank that fits (or not) and the fullest rest.

        Minimum bin slack, and with the longest blank fixed MBS' (Gupta & Ho 1999; Fleszar & Hindi 2002).
        """
        left = list(demand)
        layout: list[tuple[int, Pattern]] = []
        for at in order:
            room = self._capacities[at]
            counts: dict[int, int] = {}
            first = next((i for i, n in enumerate(left) if n and self._sizes[i] <= room), None) if longest else None
            if first is not None:
                left[first] -= 1
                room -= self._sizes[first]
            totals = SubsetSums.of(self._sizes, left, room, first or 0, fine=FINE)
            counts = totals.made_of(totals.fullest(room))
            for i, n in counts.items():
                left[i] -= n
            if first is not None:
                counts[first] = counts.get(first, 0) + 1
            if counts:
                layout.append((at, tuple(sorted(counts.items()))))
        return None if any(left) else tuple(layout)

    def _best_fit(self, demand: Sequence[int], have: Sequence[int]) -> Layout | None:
        rooms = [[self._capacities[at], at] for at, many in enumerate(have) for _ in range(many)]
        patterns: list[dict[int, int]] = [{} for _ in rooms]
        for i, count in enumerate(demand):
            size = self._sizes[i]
            for _ in range(count):
                box = min(
                    (b for b, (room, _) in enumerate(rooms) if room >= size), key=lambda b: rooms[b][0], default=-1
                )
                if box < 0:
                    return None
                rooms[box][0] -= size
                patterns[box][i] = patterns[box].get(i, 0) + 1
        return tuple(
            (at, tuple(sorted(pattern.items()))) for (_, at), pattern in zip(rooms, patterns, strict=True) if pattern
        )

    def repair(self, demand: Sequence[int], have: Sequence[int], tries: int, keep_going: KeepGoing) -> Layout | None:
        """A packing found by repairing one that leaves something over."""
        places = [at for at in self._places(have) for _ in range(have[at])]
        repair = Repair.of(self._sizes, [self._capacities[at] for at in places], demand)
        held = repair.run(tries, keep_going)
        if held is None:
            return None
        return tuple((at, tuple(sorted(pattern.items()))) for at, pattern in zip(places, held, strict=True) if pattern)

    # ---- the exact search

    def settle(self, demand: Sequence[int], have: Sequence[int], nodes: int, keep_going: KeepGoing) -> Answer:
        """Search with the duals of this packing's relaxation, which may decide it alone."""
        self._keep_going = keep_going
        guide = self.guide(demand, have)
        return Answer(None, True) if guide is None else self.search(demand, have, guide, nodes, keep_going)

    def search(
        self, demand: Sequence[int], have: Sequence[int], guide: Guide, nodes: int, keep_going: KeepGoing
    ) -> Answer:
        """Search at most `nodes` nodes."""
        room = sum(c * n for c, n in zip(self._capacities, have, strict=True))
        slack = room - sum(s * n for s, n in zip(self._sizes, demand, strict=True))
        self._nodes, self._allowed, self._keep_going = 0, nodes, keep_going
        self._path = []
        state = _State(list(demand), tuple(have), guide, guide.spare(demand, have), slack)
        try:
            found = self._solve(state)
        except Stopped:
            return Answer(None, False)
        return Answer(tuple(self._path), True) if found else Answer(None, True)

    def _solve(self, state: _State) -> bool:
        trimmed = self._without_useless(state)
        if trimmed is None:
            return True
        state = trimmed
        if state.waste < 0 or state.slack < 0:
            return False
        key = (tuple(state.left[state.first :]), state.have)
        if key in self._dead:
            return False
        self._count_node()
        if self._any_of(state):
            return True
        if len(self._dead) < REMEMBERED:
            self._dead.add(key)
        return False

    def _any_of(self, state: _State) -> bool:
        """Whether one of the choices at this state leads to a solution; least waste first."""
        before, fresh = self._nodes, False
        options = self._children(state)
        while options:
            at, choice = options.pop()
            self._path.append((at, choice.pattern))
            if self._solve(state.after(at, choice)):
                return True
            self._path.pop()
            if not fresh and options and self._nodes - before > GROWN:
                fresh = True
                guide = self.guide(state.left, state.have)
                if guide is None:
                    return False
                state = replace(state, guide=guide, waste=guide.spare(state.left, state.have))
                options = _priced_again(options, state)
        return False

    def _count_node(self) -> None:
        self._nodes += 1
        if self._nodes > self._allowed or not self._keep_going():
            raise Stopped

    def _without_useless(self, state: _State) -> _State | None:
        """Drop sizes that are done and stretches too short for anything; None when everything is cut."""
        first, left = state.first, state.left
        while first < len(left) and not left[first]:
            first += 1
        if first == len(left):
            return None
        last = len(left) - 1
        while not left[last]:
            last -= 1
        have, waste, slack = state.have, state.waste, state.slack
        for at, capacity in enumerate(self._capacities):
            if capacity >= self._sizes[last]:
                break
            if have[at]:
                waste -= state.guide.most[at] * have[at]
                slack -= capacity * have[at]
                have = (*have[:at], 0, *have[at + 1 :])
        return _State(left, have, state.guide, waste, slack, first)

    def _children(self, state: _State) -> list[tuple[int, Choice]]:
        """The choices of the branching with the fewest, best last: what fills one of the shortest stretches, or where
        the longest blank goes and what lies beside it."""
        best: list[tuple[int, Choice]] | None = None
        longest = self._sizes[state.first]
        for at, many in enumerate(state.have):
            if not many:
                continue
            found = self._fills(state, at, must=False, limit=min(FEW, len(best) if best is not None else FEW))
            if best is None or len(found) < len(best):
                best = [(at, choice) for choice in found]
            if len(best) <= 1 or self._capacities[at] >= longest:
                break
        if best is None:
            return []
        if len(best) > 1:
            best = self._around_longest(state, best)
        best.sort(key=lambda option: state.guide.most[option[0]] - option[1].value, reverse=True)
        return best

    def _around_longest(self, state: _State, best: list[tuple[int, Choice]]) -> list[tuple[int, Choice]]:
        """The choices for the longest blank's stretch, or `best` when those are no fewer."""
        cut_short = len(best) >= FEW
        found: list[tuple[int, Choice]] = []
        shorter = -1  # a pattern that fits a shorter stretch may lie in that one: the two can be exchanged
        for at, many in enumerate(state.have):
            if not many:
                continue
            capacity = self._capacities[at]
            if capacity >= self._sizes[state.first]:
                for choice in self._fills(state, at, must=True, limit=MANY):
                    if capacity - choice.left > shorter:
                        found.append((at, choice))
                if len(found) >= len(best) and not cut_short:
                    return best
            shorter = capacity
        return found

    def _fills(self, state: _State, at: int, *, must: bool, limit: int) -> list[Choice]:
        wish = Wish(state.guide.most[at] - state.waste, state.slack, must, limit)
        found = choices(self._sizes, state.left, state.first, self._capacities[at], state.guide, wish)
        if must and len(found) >= MANY:
            raise Stopped
        return found

    def guide(self, demand: Sequence[int], have: Sequence[int]) -> Guide | None:
        """The duals of the relaxation of this packing; None when it has no solution even in fractions."""
        relaxation = self.relax(demand, have, self._keep_going)
        guide = Guide.of(relaxation.valuation, self._sizes, demand, self._capacities, have)
        return None if guide.spare(demand, have) < 0 else guide

    # ---- in fractions

    def relax(
        self, demand: Sequence[int], have: Sequence[int], keep_going: KeepGoing, *, easily: bool = False
    ) -> Relaxation:
        """The relaxation of this packing, solved (or `easily`): the least length of stretches used, in fractions."""
        relaxation = Relaxation(self._sizes, demand, self._sources(have), self._pool)
        relaxation.solve(keep_going, easily=easily)
        return relaxation

    def _sources(self, have: Sequence[int]) -> list[Source]:
        longest = self._capacities[-1]
        return [Source(self._capacities[at], self._capacities[at] / longest, have[at]) for at in self._places(have)]

    def _places(self, have: Sequence[int]) -> list[int]:
        """The capacities for which there are stretches, and which hold something."""
        return [at for at, n in enumerate(have) if n and self._capacities[at] >= self._sizes[-1]]

    def dive(
        self, demand: Sequence[int], have: Sequence[int], relaxation: Relaxation, keep_going: KeepGoing
    ) -> Layout | None:
        """Follow the relaxation down, and search the rest."""
        places = self._places(have)

        def finish(left: list[int], supply: list[int | None]) -> Cuts | None:
            still = [0] * len(have)
            for at, n in zip(places, supply, strict=True):
                still[at] = n or 0
            layout = self.settle(left, still, DIVE_NODES, keep_going).layout
            return None if layout is None else tuple((places.index(at), pattern) for at, pattern in layout)

        taken = Dive.start(self._sizes, demand, relaxation.sources, self._pool).run(finish, keep_going, relaxation)
        return None if taken is None else tuple((places[k], pattern) for k, pattern in taken)


def _priced_again(options: list[tuple[int, Choice]], state: _State) -> list[tuple[int, Choice]]:
    """The same choices at new values, without those that waste too much."""
    priced = []
    for at, choice in options:
        value = sum([state.guide.each[i] * n for i, n in choice.pattern])
        if state.guide.most[at] - value <= state.waste:
            priced.append((at, Choice(value, choice.left, choice.pattern)))
    priced.sort(key=lambda option: state.guide.most[option[0]] - option[1].value, reverse=True)
    return priced
