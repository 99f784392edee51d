"""The lower bounds of ripped boards: no way of laying pieces side by side beats them, and they are as high as they can
be (dual feasible functions: Fekete & Schepers 2001)."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

import pytest

from tracker.measure import Length, millimetres
from tracker.measure.length import ZERO
from tracker.plan.boards.rip.bounds import STEPS, _dual_feasible, _steps, _threshold, least_cost, least_length
from tracker.plan.boards.rip.strip import Rect, Strip


@pytest.mark.parametrize("seed", range(20))
def test_what_lies_side_by_side_never_counts_for_more_than_the_board(seed: int) -> None:
    chance = random.Random(f"dual {seed}")
    whole = chance.randint(20, 200)
    widths = sorted({chance.randint(1, whole) for _ in range(6)})
    for u in _dual_feasible(widths, whole):
        for _ in range(60):
            beside: list[int] = []
            while sum(beside) < whole and len(beside) < 12:
                beside.append(chance.choice([*widths, chance.randint(1, whole), whole - sum(beside)]))
            while sum(beside) > whole:
                beside.pop()
            assert sum(map(u, beside)) <= whole * STEPS


def test_the_functions_by_hand() -> None:
    """On a board of 12: u(1) counts what is wider than half; u(2) thirds; the threshold 4 leaves out what is narrower,
    and counts what leaves no room for a 4 as the whole width."""
    half, third, four = _steps(1, 12), _steps(2, 12), _threshold(4, 12)
    assert [half(x) // STEPS for x in (5, 6, 7, 12)] == [0, 6, 12, 12]
    assert [third(x) // STEPS for x in (3, 4, 5, 8, 9, 12)] == [0, 4, 6, 8, 12, 12]
    assert [four(x) // STEPS for x in (3, 4, 8, 9)] == [0, 4, 8, 12]
    known = [[u(x) // STEPS for x in (3, 5, 6, 7)] for u in _dual_feasible([3, 6, 7], 12)]
    assert known[0] == [3, 5, 6, 7]
    assert len(known) == 1 + 6 + 2, "the area, six counts, and the thresholds 3 and 6: 7 is more than half"


def strip(width: int) -> Strip:
    return Strip.of(millimetres(width), ZERO, millimetres(2), [millimetres(1)])


def rects(made: Strip, *sizes: tuple[int, int]) -> list[Rect]:
    return [made.rect(None, millimetres(long), millimetres(wide)) for long, wide in sizes]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("sizes", "grainless", "least"),
    [
        ([(500, 60)] * 3, False, 3 * 502),  # wider than half: one after the other
        ([(500, 49)] * 4, False, 2 * 502),  # 49 + 2 + 49 = 100: two side by side
        ([(500, 50)] * 4, False, 4 * 502),  # a millimetre too much
        ([(500, 60), (60, 60)], True, 502 + 62),  # turned round they are no narrower
        ([(500, 60)], True, 502),  # across the board it doesn't fit
        ([(90, 40)], True, 42),  # there it takes less length, and all of the width
        ([], False, 0),
    ],
)
def test_the_least_length_of_board(sizes: list[tuple[int, int]], grainless: bool, least: float) -> None:
    """A board 100 mm wide, a kerf of 2 mm, which each piece and the board count."""
    made = strip(100)
    found = least_length(rects(made, *sizes), made, grainless)
    assert found.mm == least


def test_a_bound_that_is_stopped_is_the_one_found_so_far() -> None:
    made = strip(100)
    found = least_length(rects(made, *[(500, 60)] * 3), made, False, lambda: False)
    assert found.mm == Fraction(3 * 502 * 62, 102), "the area alone"


@pytest.mark.parametrize("seed", range(30))
def test_the_least_cost_of_boards_of_a_length(seed: int) -> None:
    chance = random.Random(f"cost {seed}")
    boards = [(chance.randint(5, 30), chance.randint(3, 40)) for _ in range(chance.randint(1, 3))]
    need = chance.randint(0, 70)
    ways = product(*(range(-(-need // capacity) + 1) for capacity, _ in boards))
    wanted = min(
        sum(n * cost for n, (_, cost) in zip(way, boards, strict=True))
        for way in ways
        if sum(n * capacity for n, (capacity, _) in zip(way, boards, strict=True)) >= need
    )
    asked = [(millimetres(capacity), cost) for capacity, cost in boards]
    assert least_cost(millimetres(need), asked) == wanted
    cheapest = min(Fraction(cost, capacity) for capacity, cost in boards)
    in_fractions = least_cost(millimetres(need), asked, lambda: False)
    assert in_fractions in (-(-need * cheapest // 1), wanted)
    assert in_fractions <= wanted
    assert least_cost(Length(Fraction(-5)), asked) == 0


@pytest.mark.parametrize(("halvings", "exact"), [(125, True), (126, False)])
def test_lengths_are_exact_up_to_two_to_the_128_units_in_a_millimetre(halvings: int, exact: bool) -> None:
    """With a grid of 320 = 5 · 64 to the millimetre, a length of 2^-125 mm needs 5 · 2^125 units; beyond the limit the
    grid itself is left, with the board rounded down, and kerf and trim up."""
    tiny = Fraction(1, 1 << halvings)
    made = Strip.of(Length(100 + tiny), Length(5 + tiny), Length(2 + tiny))
    assert made.per_mm == (5 << halvings if exact else 320)
    assert made.length(made.width).mm == (100 + tiny if exact else 100)
    assert made.length(made.edge).mm == (5 + tiny if exact else 5 + Fraction(1, 320))
    assert made.length(made.kerf).mm == (2 + tiny if exact else 2 + Fraction(1, 320))
    assert made.up(Length(7 + tiny)) - made.down(Length(7 + tiny)) == (0 if exact else 1)
