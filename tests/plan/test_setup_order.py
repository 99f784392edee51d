"""The order of the saw's settings, on numbers alone: against every order, and where only some orders are followed."""

from __future__ import annotations

import random
from itertools import permutations, product

import pytest

from tracker.plan import setup_order
from tracker.plan.setup_order import Order, Stop, Trim, best_order, stop_moves

SIDES = ("left", "right")
Asked = tuple[int, list[Stop], list[Trim]]


def asked(seed: int, settings: int, trims: int) -> Asked:
    """Blanks are cut at setting 0; each piece has one or two ends, and is trimmed to one of four lengths."""
    chance = random.Random(f"order {seed}")
    blanks = sorted({Stop(10.0 * chance.randint(50, 54), "left") for _ in range(chance.randint(0, 3))})
    found = []
    for at in range(max(trims, settings)):
        first = at % settings
        ends = [(first, chance.choice(SIDES))]
        if chance.random() < 0.8:
            ends.append((chance.randrange(settings), chance.choice(SIDES)))
        found.append(Trim(10.0 * chance.randint(40, 43), tuple(ends)))
    return settings, blanks, list(dict.fromkeys(found))


def moves_of(order: Order) -> int:
    return stop_moves(iter([stop for visit in order.visits for stop in visit.stops]))


def faults(asked: Asked, order: Order) -> list[str]:
    """Every setting once, the square one first where there are blanks; and at the later end of each piece a stop."""
    settings, blanks, trims = asked
    turn = {visit.setting: at for at, visit in enumerate(order.visits)}
    wrong = []
    if sorted(turn) != list(range(settings)) or len(order.visits) != settings:
        wrong.append("a setting is missing, or there twice")
    if blanks and (order.visits[0].setting != 0 or not set(blanks) <= set(order.visits[0].stops)):
        wrong.append("the blanks don't come first")
    for trim in trims:
        latest = max(turn[at] for at, _ in trim.ends)
        here = {Stop(trim.mm, side) for at, side in trim.ends if turn[at] == latest}
        if not here & set(order.visits[latest].stops):
            wrong.append(f"no stop for {trim}")
    if moves_of(order) != order.stop_settings:
        wrong.append(f"{moves_of(order)} moves, not {order.stop_settings}")
    return wrong


def by_every_order(asked: Asked) -> int:
    """The fewest stop settings over every order of the settings, every choice of sides and every order of stops."""
    settings, blanks, trims = asked
    best = 10**6
    for order in permutations(range(settings)):
        if blanks and order[0] != 0:
            continue
        turn = {setting: at for at, setting in enumerate(order)}
        options = []
        for trim in trims:
            latest = max(turn[at] for at, _ in trim.ends)
            options.append([(latest, Stop(trim.mm, side)) for at, side in trim.ends if turn[at] == latest])
        for chosen in product(*options):
            at_turn: list[set[Stop]] = [set() for _ in order]
            for latest, stop in chosen:
                at_turn[latest].add(stop)
            if blanks:
                at_turn[0] |= set(blanks)
            ends: dict[Stop | None, int] = {None: 0}
            for stops in at_turn:
                ends = _after(ends, stops)
            best = min(best, *ends.values())
    return best


def _after(ends: dict[Stop | None, int], stops: set[Stop]) -> dict[Stop | None, int]:
    if not stops:
        return ends
    found: dict[Stop | None, int] = {}
    for at, cost in ends.items():
        for last in stops:
            kept = at in stops and (len(stops) == 1 or at != last)
            found[last] = min(found.get(last, 10**6), cost + len(stops) - kept)
    return found


@pytest.mark.parametrize("seed", range(40))
def test_no_order_sets_the_stop_less_often(seed: int) -> None:
    problem = asked(seed, 2 + seed % 3, 3 + seed % 4)
    found = best_order(*problem, frozenset())
    assert faults(problem, found) == []
    assert found.stop_settings == found.least == by_every_order(problem)


@pytest.mark.parametrize("seed", range(40))
def test_where_only_some_orders_are_followed_a_bound_tells_how_near_it_is(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    problem = asked(100 + seed, 4 + seed % 3, 8)
    best = best_order(*problem, frozenset()).stop_settings
    for name, value in (("EXACT", 0), ("WIDTH", 2), ("TRIED", 2), ("LEFT", 1)):
        monkeypatch.setattr(setup_order, name, value)
    found = best_order(*problem, frozenset())
    assert faults(problem, found) == []
    assert found.least <= best <= found.stop_settings
    monkeypatch.setattr(setup_order, "WIDTH", 500)
    monkeypatch.setattr(setup_order, "TRIED", 64)
    monkeypatch.setattr(setup_order, "LEFT", 64)
    wide = best_order(*problem, frozenset())
    assert faults(problem, wide) == []
    assert best <= wide.stop_settings <= best + 1


def test_ten_settings_besides_the_square_one_are_searched_and_eleven_are_not() -> None:
    for settings, blanks, exact in ((10, [], True), (11, [], False), (11, [Stop(9.0, "left")], True)):
        trims = [Trim(float(at), ((at, "left"),)) for at in range(settings)]
        work = setup_order._Work(settings, blanks, trims, frozenset())
        assert work.exact is exact


def test_a_stop_that_trims_the_blank_too_does_not_come_last() -> None:
    """Blanks of 500 and 600 mm, and the one of 500 is trimmed square: its blank is cut before, so 600 comes last and
    stays for the next setting."""
    blanks = [Stop(500.0, "left"), Stop(600.0, "left")]
    trims = [Trim(500.0, ((1, "left"),)), Trim(600.0, ((2, "left"),))]
    free, led = (best_order(3, blanks, trims, leads) for leads in (frozenset[float](), frozenset({500.0})))
    assert free.stop_settings == led.stop_settings == 3
    assert led.visits[0].stops[-1] == Stop(600.0, "left")
    assert [visit.setting for visit in led.visits] == [0, 2, 1]


def test_moves_of_a_stop() -> None:
    one, other = Stop(1.0, "left"), Stop(1.0, "right")
    assert stop_moves(iter([])) == 0
    assert stop_moves(iter([None, one, None, one, other, other, one])) == 3
    assert best_order(0, [], [], frozenset()) == Order((), 0, 0)
    none = best_order(2, [], [Trim(5.0, ((0, "left"),))], frozenset())
    assert (none.stop_settings, none.least) == (1, 1)
