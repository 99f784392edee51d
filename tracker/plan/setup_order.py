"""In which order to visit the saw's settings, so that the stop is moved as seldom as possible.

Every saw setting is visited once. That is the fewest possible, and always feasible, because blanks need only the square
setting and the two ends of a piece can be trimmed in either order. What is left to choose is the order of the settings
and, for each piece, which end is trimmed second, against the stop. A stop that the next setting needs too is left where
it is.

The order is found by dynamic programming over the sets of settings already visited (Held and Karp, Journal of the SIAM
10, 1962). For each set only the way with the fewest stop settings counts: the position of the stop can save at most one
move, so a costlier way to the same set is never better. Exact for up to `EXACT` settings besides the square one. For
more, only the best sets are followed (fewer of them the more settings there are), and only some of the stops that each
may leave; so a build of any size is planned in about `STEPS` steps, and a bound tells how close to the optimum the
result is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations, islice

from msgspec import Struct

EXACT = 10
"""Up to this many settings besides the square one, every order is considered."""
WIDTH = 256
"""For more settings: the most sets of visited settings followed at a time,"""
TRIED = 64
"""the most settings tried next after each set (unvisited ones that come first in the file),"""
LEFT = 16
"""and the most stops that each may leave."""
STEPS = 60_000
"""The total number of settings tried next: about a second."""


class Stop(Struct, frozen=True, order=True):
    """A stop `mm` from the blade, on the side where the piece lies."""

    mm: float
    side: str


class Trim(Struct, frozen=True):
    """The trims of one kind of piece: the setting at which each end is cut, and where the piece lies there."""

    mm: float
    ends: tuple[tuple[int, str], ...]


class Visit(Struct, frozen=True):
    """One setting, and the stops needed there in order."""

    setting: int
    stops: tuple[Stop, ...]


class Order(Struct, frozen=True):
    """`least` is a number of stop settings that no order of the same cuts can beat; if the order needs no more, it is
    proved optimal."""

    visits: tuple[Visit, ...]
    stop_settings: int
    least: int


_Choices = dict[float, tuple[frozenset[Stop], ...]]
"""For every length cut against a stop: the smallest sets of stops that serve all its pieces."""
_Set = int
"""A set of settings, one bit for each."""


class _Needs(Struct, frozen=True):
    """What is cut against a stop when a setting is visited, and which stops can come last there."""

    choices: _Choices
    total: int
    lasts: tuple[Stop, ...]

    def firsts(self, left: Sequence[Stop | None]) -> dict[Stop, Stop]:
        """For each stop that can come last: one of the stops in `left` that can come first, if any."""
        held = [
            stop for stop in left if stop is not None and any(stop in each for each in self.choices.get(stop.mm, ()))
        ]
        found = {}
        for last in self.lasts:
            first = next((each for each in reversed(held) if self._fits(each, last)), None)
            if first is not None:
                found[last] = first
        return found

    def _fits(self, first: Stop, last: Stop) -> bool:
        """Whether a smallest choice that has `first` can begin with it and end with `last`."""
        if first == last and self.total > 1:
            return False
        return first.mm != last.mm or any({first, last} <= option for option in self.choices[first.mm])

    def sequence(self, first: Stop | None, last: Stop) -> tuple[Stop, ...]:
        """A smallest choice with `first` first and `last` last, the others from long to short."""
        stops: list[Stop] = []
        for mm, options in self.choices.items():
            must = {stop for stop in (first, last) if stop is not None and stop.mm == mm}
            stops.extend(next(option for option in options if must <= option))
        return tuple(sorted(stops, key=lambda stop: (stop != first, stop == last, -stop.mm, stop.side)))


class _Way(Struct, frozen=True):
    """A visit and those before it. `last` is None where no stop is needed."""

    setting: int
    needs: _Needs
    first: Stop | None
    last: Stop | None
    before: _Way | None

    def visits(self) -> tuple[Visit, ...]:
        """All visits in the order of work."""
        visits, way = [], self
        while True:
            stops = () if way.last is None else way.needs.sequence(way.first, way.last)
            visits.append(Visit(way.setting, stops))
            if way.before is None:
                return tuple(reversed(visits))
            way = way.before


class _State(Struct, frozen=True):
    """The fewest stop settings for a set of visited settings, and the ways to get there, by the stop that each
    leaves."""

    cost: int
    ways: dict[Stop | None, _Way | None]


class _Work:
    """What every setting needs, computed once for each set of visited settings that makes a difference."""

    def __init__(self, settings: int, blanks: Sequence[Stop], trims: Sequence[Trim], leads: frozenset[float]) -> None:
        self.exact = settings - bool(blanks) <= EXACT
        self._blanks, self._leads = blanks, leads
        self._wanted: defaultdict[Stop, _Set] = defaultdict(int)
        """For every stop, the set of settings that may need it."""
        for blank in blanks:
            self._wanted[blank] |= 1
        self._at: list[list[tuple[Trim, _Set]]] = [[] for _ in range(settings)]
        for trim in trims:
            ends = {at for at, _ in trim.ends}
            for at in ends:
                self._at[at].append((trim, sum(1 << each for each in ends)))
            for at, side in trim.ends:
                self._wanted[Stop(trim.mm, side)] |= 1 << at
        self._partners = [0] * settings
        for at, here in enumerate(self._at):
            for _, ends_here in here:
                self._partners[at] |= ends_here
        self._known: dict[tuple[int, _Set], _Needs] = {}

    def needs(self, setting: int, done: _Set) -> _Needs:
        """What a setting needs. `done` are the settings visited, including this one: a piece meets the stop at the
        later of its ends."""
        key = setting, done & self._partners[setting]
        if key not in self._known:
            self._known[key] = self._needs(*key)
        return self._known[key]

    def _needs(self, setting: int, done: _Set) -> _Needs:
        first = setting == 0 and bool(self._blanks)
        wanted: dict[float, list[frozenset[Stop]]] = {}
        for stop in self._blanks if first else ():
            wanted.setdefault(stop.mm, []).append(frozenset({stop}))
        for trim, ends in self._at[setting]:
            if not ends & ~done:
                here = frozenset(Stop(trim.mm, side) for at, side in trim.ends if at == setting)
                wanted.setdefault(trim.mm, []).append(here)
        choices = {mm: _smallest(needs) for mm, needs in wanted.items()}
        total = sum(len(options[0]) for options in choices.values())
        every = sorted({stop for options in choices.values() for option in options for stop in option})
        leads = self._leads if first else frozenset[float]()
        lasts = [stop for stop in every if total == 1 or stop.mm not in leads] or every
        return _Needs(choices, total, tuple(lasts if self.exact else self._kept_by_others(lasts, setting)))

    def _kept_by_others(self, stops: Sequence[Stop], setting: int) -> Sequence[Stop]:
        """The stops that another setting may need too, up to a limit; or any one."""
        return [stop for stop in stops if self._wanted[stop] & ~(1 << setting)][:LEFT] or stops[:1]

    def thinned(self, state: _State, done: _Set) -> _State:
        """Drop the ways that leave a stop that no setting still needs, and all but a few of the others."""
        useful = {stop: way for stop, way in state.ways.items() if stop is not None and self._wanted[stop] & ~done}
        return _State(state.cost, dict(islice((useful or state.ways).items(), LEFT if useful else 1)))


def best_order(settings: int, blanks: Sequence[Stop], trims: Sequence[Trim], leads: frozenset[float]) -> Order:
    """The order of settings 0 … `settings` - 1. Where there are `blanks`, 0 is the square one and comes first.

    `leads` are lengths of blanks that are trimmed at the square setting too, so their stop can't come last there.
    """
    if settings == 0:
        return Order((), 0, 0)
    work = _Work(settings, blanks, trims, leads)
    state, visited = _State(0, {None: None}), 0
    if blanks:
        visited = 1
        state = _after(state, 0, work.needs(0, visited))
    layer = {visited: state}
    width = max(1, min(WIDTH, STEPS // (settings * min(settings, TRIED))))
    for _ in range(visited, settings):
        layer = _next_layer(layer, settings, work)
        if not work.exact:
            best_first = sorted(layer.items(), key=lambda each: each[1].cost)[:width]
            layer = {done: work.thinned(state, done) for done, state in best_first}
    (best,) = layer.values()
    way = next(iter(best.ways.values()))
    assert way is not None  # at least one setting is visited
    return Order(way.visits(), best.cost, best.cost if work.exact else _bound(settings, blanks, trims, work))


def _next_layer(layer: dict[_Set, _State], settings: int, work: _Work) -> dict[_Set, _State]:
    """Every set with one more setting, among those that are tried."""
    following: dict[_Set, _State] = {}
    for done, state in layer.items():
        for setting in islice((each for each in range(settings) if not done >> each & 1), TRIED):
            now = done | 1 << setting
            old = following.get(now)
            new = _after(state, setting, work.needs(setting, now))
            following[now] = _better(old, new)
    return following


def _better(old: _State | None, new: _State) -> _State:
    if old is None or new.cost < old.cost:
        return new
    return _State(old.cost, new.ways | old.ways) if new.cost == old.cost else old


def _bound(settings: int, blanks: Sequence[Stop], trims: Sequence[Trim], work: _Work) -> int:
    """A lower bound: what each setting needs after any other, less one kept stop between two settings."""
    lengths = {stop.mm for stop in blanks} | {trim.mm for trim in trims if trim.ends}
    at_once = sum(work.needs(setting, 1 << setting).total for setting in range(settings))
    return max(len(lengths), at_once - (settings - 1))


def _smallest(needs: list[frozenset[Stop]]) -> tuple[frozenset[Stop], ...]:
    """All smallest sets of stops with at least one for each need."""
    every = sorted(frozenset().union(*needs))
    sets = (
        tuple(frozenset(chosen) for chosen in combinations(every, size) if all(need & set(chosen) for need in needs))
        for size in range(1, len(every) + 1)
    )
    return next(found for found in sets if found)


def _after(state: _State, setting: int, needs: _Needs) -> _State:
    """What follows when `setting` is visited next: with a stop left in place, if any way there allows it."""
    if needs.total == 0:
        return _State(state.cost, {stop: _Way(setting, needs, None, None, way) for stop, way in state.ways.items()})
    kept = needs.firsts(tuple(state.ways))
    anyway = next(iter(state.ways.values()))
    ways: dict[Stop | None, _Way | None] = {
        last: _Way(setting, needs, kept.get(last), last, state.ways[kept[last]] if kept else anyway)
        for last in kept or needs.lasts
    }
    return _State(state.cost + needs.total - bool(kept), ways)


def stop_moves(stops: Iterator[Stop | None]) -> int:
    """How often the stop is set, given the stops of cuts in order; None is a cut made without one."""
    at: Stop | None = None
    moves = 0
    for stop in stops:
        if stop is not None and stop != at:
            moves, at = moves + 1, stop
    return moves
