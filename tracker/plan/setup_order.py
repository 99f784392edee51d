"""In which order the saw's settings are visited, so that the stop is moved as seldom as can be.

Every saw setting is visited once: that is the least there can be, and it is always possible, because blanks need only
the square setting and the two ends of a piece can be trimmed in either order. What is left to choose is the order of
the settings and, of each piece, which end is trimmed second, against the stop. A stop that the next setting needs too
stays where it is.

Found by dynamic programming over the sets of settings already visited (Held and Karp, Journal of the SIAM 10, 1962). Of
each set only the fewest stop settings count: where the stop was left can save one move at most, so a costlier way to
the same set never comes out ahead. Exact while no layer has more than `WIDTH` sets (10 settings besides the square
one); beyond that the best `WIDTH` are followed, and a bound says how near to the least the result is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

WIDTH = 256
"""Sets of visited settings that are followed at a time."""


@dataclass(frozen=True, slots=True, order=True)
class Stop:
    """A stop `mm` from the blade, on the side where the piece lies."""

    mm: float
    side: str


@dataclass(frozen=True, slots=True)
class Trim:
    """The trims of one kind of piece: at which setting each end is cut, and where the piece then lies."""

    mm: float
    ends: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Visit:
    """One setting, and the stops needed there in their order."""

    setting: int
    stops: tuple[Stop, ...]


@dataclass(frozen=True, slots=True)
class Order:
    """`least` is a number of stop settings that no order of the same cuts can beat; proved when it equals theirs."""

    visits: tuple[Visit, ...]
    stop_settings: int
    least: int


@dataclass(frozen=True, slots=True)
class _State:
    """The fewest stop settings for a set of visited settings, and ways to get there, by the stop that each leaves."""

    cost: int
    ways: dict[Stop | None, tuple[Visit, ...]]


_Choices = dict[float, tuple[frozenset[Stop], ...]]


def best_order(settings: int, blanks: Sequence[Stop], trims: Sequence[Trim], leads: frozenset[float]) -> Order:
    """The order of settings 0 … `settings` - 1. Where there are `blanks`, 0 is the square one and comes first.

    `leads` are lengths of blanks that are trimmed at the square setting too, so that their stop can't come last there.
    """
    if settings == 0:
        return Order((), 0, 0)
    state, visited = _State(0, {None: ()}), frozenset[int]()
    if blanks:
        visited = frozenset({0})
        state = _after(state, 0, _choices(0, visited, blanks, trims), leads)
    layer, exact = {visited: state}, True
    for _ in range(len(visited), settings):
        layer = _next_layer(layer, settings, trims)
        if len(layer) > WIDTH:
            exact = False
            layer = dict(sorted(layer.items(), key=lambda each: each[1].cost)[:WIDTH])
    (best,) = layer.values()
    visits = next(iter(best.ways.values()))
    return Order(visits, best.cost, best.cost if exact else _bound(settings, blanks, trims))


def _next_layer(
    layer: dict[frozenset[int], _State], settings: int, trims: Sequence[Trim]
) -> dict[frozenset[int], _State]:
    """Every set with one setting more."""
    following: dict[frozenset[int], _State] = {}
    for done, state in layer.items():
        for setting in range(settings):
            if setting not in done:
                now = done | {setting}
                new = _after(state, setting, _choices(setting, now, (), trims), frozenset())
                following[now] = _better(following.get(now), new)
    return following


def _better(old: _State | None, new: _State) -> _State:
    if old is None or new.cost < old.cost:
        return new
    return _State(old.cost, new.ways | old.ways) if new.cost == old.cost else old


def _bound(settings: int, blanks: Sequence[Stop], trims: Sequence[Trim]) -> int:
    """No order needs fewer: what each setting needs whatever came before it, less a kept stop between two settings."""
    lengths = {stop.mm for stop in blanks} | {trim.mm for trim in trims if trim.ends}
    at_once = sum(
        len(options[0])
        for setting in range(settings)
        for options in _choices(setting, frozenset({setting}), blanks if setting == 0 else (), trims).values()
    )
    return max(len(lengths), at_once - (settings - 1))


def _choices(setting: int, done: frozenset[int], blanks: Sequence[Stop], trims: Sequence[Trim]) -> _Choices:
    """For every length cut against a stop at `setting`: the smallest sets of stops that serve all its pieces.

    `done` are the settings visited, this one included: a piece meets the stop at the later of its ends' settings.
    """
    wanted: dict[float, list[frozenset[Stop]]] = {}
    for stop in blanks:
        wanted.setdefault(stop.mm, []).append(frozenset({stop}))
    for trim in trims:
        here = frozenset(Stop(trim.mm, side) for at, side in trim.ends if at == setting)
        if here and all(at in done for at, _ in trim.ends):
            wanted.setdefault(trim.mm, []).append(here)
    return {mm: _smallest(needs) for mm, needs in wanted.items()}


def _smallest(needs: list[frozenset[Stop]]) -> tuple[frozenset[Stop], ...]:
    """All smallest sets of stops with at least one of each need."""
    every = sorted(frozenset().union(*needs))
    for size in range(1, len(every) + 1):
        found = tuple(
            frozenset(chosen) for chosen in combinations(every, size) if all(need & set(chosen) for need in needs)
        )
        if found:
            return found
    raise AssertionError("every need has a stop")


def _after(state: _State, setting: int, choices: _Choices, leads: frozenset[float]) -> _State:
    """What follows when `setting` is visited next: with a stop kept where it was, if any way there allows it."""
    total = sum(len(options[0]) for options in choices.values())
    if total == 0:
        return _State(state.cost, {stop: (*visits, Visit(setting, ())) for stop, visits in state.ways.items()})
    every = sorted({stop for options in choices.values() for option in options for stop in option})
    lasts = [stop for stop in every if total == 1 or stop.mm not in leads] or every
    kept = {
        last: first
        for last in lasts
        for first in state.ways
        if first is not None and _fits(first, last, choices, total)
    }
    firsts: dict[Stop, Stop | None] = dict(kept) if kept else dict.fromkeys(lasts)
    anyway = next(iter(state.ways.values()))
    ways: dict[Stop | None, tuple[Visit, ...]] = {
        last: (*(state.ways[first] if first else anyway), Visit(setting, _sequence(first, last, choices)))
        for last, first in firsts.items()
    }
    return _State(state.cost + total - bool(kept), ways)


def _fits(first: Stop, last: Stop, choices: _Choices, total: int) -> bool:
    """Whether a smallest choice can begin with `first` and end with `last`."""
    if first == last and total > 1:
        return False
    together = {first, last} if first.mm == last.mm else {first}
    return any(together <= option for option in choices.get(first.mm, ()))


def _sequence(first: Stop | None, last: Stop, choices: _Choices) -> tuple[Stop, ...]:
    """A smallest choice with `first` first and `last` last, the others from long to short."""
    stops: list[Stop] = []
    for mm, options in choices.items():
        must = {stop for stop in (first, last) if stop is not None and stop.mm == mm}
        stops.extend(next(option for option in options if must <= option))
    return tuple(sorted(stops, key=lambda stop: (stop != first, stop == last, -stop.mm, stop.side)))


def stop_moves(stops: Iterator[Stop | None]) -> int:
    """How often the stop is set, for the stops of cuts in their order; None is a cut made without one."""
    at: Stop | None = None
    moves = 0
    for stop in stops:
        if stop is not None and stop != at:
            moves, at = moves + 1, stop
    return moves
