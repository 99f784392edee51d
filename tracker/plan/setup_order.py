"""In which order the saw's settings are visited, so that the stop is moved as seldom as can be.

Every saw setting is visited once: that is the least there can be, and it is always possible, because blanks need only
the square setting and the two ends of a piece can be trimmed in either order. What is left to choose is the order of
the settings and, of each piece, which end is trimmed second, against the stop. A stop that the next setting needs too
stays where it is. Exact by dynamic programming over the sets of settings already visited (Held and Karp, Journal of the
SIAM 10, 1962), as long as there are no more than `EXACT` of them; above that the order of the file, and a bound.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

EXACT = 8
"""Settings besides the square one up to which the order is found exactly: 256 sets of them."""


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
    cost: int
    visits: tuple[Visit, ...]


_Choices = dict[float, tuple[frozenset[Stop], ...]]


def best_order(settings: int, blanks: Sequence[Stop], trims: Sequence[Trim], leads: frozenset[float]) -> Order:
    """The order of settings 0 … `settings` - 1. Where there are `blanks`, 0 is the square one and comes first.

    `leads` are lengths of blanks that are trimmed at the square setting too, so that their stop can't come last there.
    """
    if settings == 0:
        return Order((), 0, 0)
    lengths = {stop.mm for stop in blanks} | {trim.mm for trim in trims if trim.ends}
    others = range(1 if blanks else 0, settings)
    start = _State(0, ())
    square: frozenset[int] = frozenset({0}) if blanks else frozenset()
    states: dict[Stop | None, _State] = {None: start}
    if blanks:
        states = _after(start, None, 0, _choices(0, square, blanks, trims), leads)
    if len(others) > EXACT:
        for setting in others:
            states = _step(states, setting, frozenset(range(setting + 1)), trims)
        best = min(states.values(), key=lambda state: state.cost)
        return Order(best.visits, best.cost, len(lengths))
    layer = {square: states}
    for _ in others:  # one more setting visited in each round
        following: dict[frozenset[int], dict[Stop | None, _State]] = {}
        for done, reached in layer.items():
            for setting in others:
                if setting not in done:
                    now = done | {setting}
                    _keep_best(following.setdefault(now, {}), _step(reached, setting, now, trims))
        layer = following
    best = min((state for reached in layer.values() for state in reached.values()), key=lambda state: state.cost)
    return Order(best.visits, best.cost, best.cost)


def _step(
    reached: dict[Stop | None, _State], setting: int, done: frozenset[int], trims: Sequence[Trim]
) -> dict[Stop | None, _State]:
    """From every stop that the saw may be left at to every stop that it may be left at after `setting`."""
    choices = _choices(setting, done, (), trims)
    result: dict[Stop | None, _State] = {}
    for left_at, state in reached.items():
        _keep_best(result, _after(state, left_at, setting, choices, frozenset()))
    return result


def _keep_best(kept: dict[Stop | None, _State], new: dict[Stop | None, _State]) -> None:
    for stop, state in new.items():
        if stop not in kept or state.cost < kept[stop].cost:
            kept[stop] = state


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


def _after(
    state: _State, left_at: Stop | None, setting: int, choices: _Choices, leads: frozenset[float]
) -> dict[Stop | None, _State]:
    """What follows when `setting` is visited with the stop left at `left_at`, by the stop that it leaves."""
    total = sum(len(options[0]) for options in choices.values())
    if total == 0:
        return {left_at: _State(state.cost, (*state.visits, Visit(setting, ())))}
    result: dict[Stop | None, _State] = {}
    possible = sorted({stop for options in choices.values() for option in options for stop in option})
    for last in possible:
        if total > 1 and last.mm in leads:
            continue
        for kept in (left_at, None):
            stops = _sequence(kept, last, choices)
            if stops:
                new = _State(state.cost + total - (kept is not None), (*state.visits, Visit(setting, stops)))
                _keep_best(result, {last: new})
    return result


def _sequence(first: Stop | None, last: Stop, choices: _Choices) -> tuple[Stop, ...]:
    """One smallest choice with `first` first and `last` last, the others from long to short; empty if there is none."""
    stops: list[Stop] = []
    for mm, options in choices.items():
        must = {stop for stop in (first, last) if stop is not None and stop.mm == mm}
        fitting = next((option for option in options if must <= option), None)
        if fitting is None:
            return ()
        stops.extend(fitting)
    if first is not None and (first not in stops or (first == last and len(stops) > 1)):
        return ()
    return tuple(sorted(stops, key=lambda stop: (stop != first, stop == last, -stop.mm, stop.side)))


def stop_moves(stops: Iterator[Stop | None]) -> int:
    """How often the stop is set, for the stops of cuts in their order; None is a cut made without one."""
    at: Stop | None = None
    moves = 0
    for stop in stops:
        if stop is not None and stop != at:
            moves, at = moves + 1, stop
    return moves
