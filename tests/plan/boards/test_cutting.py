"""The solver on whole numbers: against the checker, against exhaustive search and against published values."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable, Iterator

import pytest
from board_checker import faults_of_cutting
from board_shop import INCH, shop_request

from tracker.plan.boards import Cutting, Progress, Proof, Request, Stock, cut

ALL = Proof(True, True, True, True)


def asks(times: int) -> Callable[[], bool]:
    """A keep_going that is true `times` times: a time limit without a clock."""
    left = iter(range(times))
    return lambda: next(left, None) is not None


# ---- every plan is a plan


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("patience", [0, 3, 60])
def test_every_plan_passes_the_checker(seed: int, patience: int) -> None:
    blanks = (5, 12, 25, 45)[seed % 4]
    request = shop_request(seed, blanks, linear=seed % 3 == 0, rack=seed % 2 == 0)
    cutting = cut(request, asks(patience))
    assert faults_of_cutting(request, cutting) == []
    assert cutting.unplaced == ()


@pytest.mark.parametrize("seed", range(24))
def test_shop_sized_cut_lists_are_proved_to_the_last_aim(seed: int) -> None:
    request = shop_request(seed, 5 + seed % 12, linear=seed % 3 == 0, rack=seed % 2 == 0)
    assert cut(request, asks(100_000)).proof == ALL


def test_the_first_plan_is_there_before_anybody_says_go_on_and_later_ones_are_no_worse() -> None:
    request = shop_request(7, 60)
    told: list[Progress] = []
    asked = False

    def keep_going() -> bool:
        nonlocal asked
        asked = True
        assert told, "no plan before the first question"
        return len(told) < 100

    cutting = cut(request, keep_going, told.append)
    assert asked
    costs = [(each.price, each.length) for each in told]
    assert costs == sorted(costs, reverse=True)
    bounds = [(each.price_bound, each.length_bound) for each in told]
    assert bounds == sorted(bounds)
    assert (cutting.price, cutting.length) == costs[-1]


def test_the_same_request_gives_the_same_plan() -> None:
    request = shop_request(3, 30)
    assert cut(request, asks(300)) == cut(request, asks(300))


# ---- against trying everything


def stretch_fillings(request: Request, boards: tuple[int, ...]) -> Iterator[list[int]]:
    """The rest of each stretch of these boards, for every way of laying all the runs into them."""
    rooms = [room for stock in boards for room in request.stocks[stock].stretches]

    def lay(at: int, used: list[int], held: list[int]) -> Iterator[list[int]]:
        if at == len(request.runs):
            yield [max(0, room - u - request.kerf) if n else room for room, u, n in zip(rooms, used, held, strict=True)]
            return
        tried = set()
        for k, room in enumerate(rooms):
            need = request.runs[at] + (request.kerf if held[k] else 0)
            if used[k] + need <= room and (room, used[k], held[k]) not in tried:
                tried.add((room, used[k], held[k]))
                used[k] += need
                held[k] += 1
                yield from lay(at + 1, used, held)
                used[k] -= need
                held[k] -= 1

    yield from lay(0, [0] * len(rooms), [0] * len(rooms))


def by_trying_everything(request: Request) -> tuple[int, int, int, int]:
    """Least (price, length, boards), and the longest offcut among plans with those: every set of boards, every way."""
    stocks = range(len(request.stocks))
    best: tuple[int, int, int] | None = None
    longest = -1
    for many in range(1, len(request.runs) + 1):
        for boards in itertools.combinations_with_replacement(stocks, many):
            if any(boards.count(s) > 1 and request.stocks[s].supply == 1 for s in boards):
                continue
            key = (sum(request.stocks[s].price for s in boards), sum(request.stocks[s].length for s in boards), many)
            if best is not None and key > best:
                continue
            left = max((max(each) for each in stretch_fillings(request, boards)), default=None)
            if left is not None:
                longest = left if best is None or key < best else max(longest, left)
                best = key
    assert best is not None
    return (*best, longest)


def tiny(seed: int) -> Request:
    """Up to six runs, two or three lengths, up to two rack boards; short numbers, so that ties abound."""
    chance = random.Random(seed)
    stocks = [
        Stock(stretches=(length - 2,), price=chance.choice((length, length + chance.randint(-3, 3), 0)), length=length)
        for length in chance.sample((20, 26, 30, 40), chance.randint(1, 3))
    ]
    for _ in range(chance.randint(0, 2)):
        stretches = tuple(chance.randint(3, 20) for _ in range(chance.randint(1, 3)))
        stocks.append(Stock(stretches=stretches, supply=1))
    runs = tuple(chance.randint(3, 18) for _ in range(chance.randint(1, 6)))
    return Request(runs=runs, kerf=chance.choice((0, 1, 1, 2)), stocks=tuple(stocks))


def offcut_of(request: Request, cutting: Cutting) -> int:
    longest = 0
    for board in cutting.boards:
        for room, runs in zip(request.stocks[board.stock].stretches, board.stretches, strict=True):
            used = sum(request.runs[i] for i in runs) + len(runs) * request.kerf
            longest = max(longest, room - used)
    return longest


@pytest.mark.parametrize("seed", range(150))
def test_tiny_ones_are_as_good_as_trying_everything(seed: int) -> None:
    request = tiny(seed)
    cutting = cut(request, asks(100_000))
    assert faults_of_cutting(request, cutting) == []
    assert cutting.proof == ALL
    assert (cutting.price, cutting.length, len(cutting.boards), offcut_of(request, cutting)) == by_trying_everything(
        request
    )


@pytest.mark.parametrize("seed", range(0, 150, 3))
@pytest.mark.parametrize("patience", [0, 1, 2, 4])
def test_a_bound_is_never_above_the_best_plan_however_early_it_is_asked(seed: int, patience: int) -> None:
    request = tiny(seed)
    cutting = cut(request, asks(patience))
    price, length, *_ = by_trying_everything(request)
    assert cutting.price_bound <= price <= cutting.price
    if cutting.price == price:
        assert cutting.length_bound <= length <= cutting.length


# ---- what can't be placed


def test_a_blank_longer_than_any_board_is_unplaced_and_the_rest_is_cut() -> None:
    request = Request(runs=(50, 200, 40), kerf=1, stocks=(Stock(stretches=(100,), price=5, length=100),))
    cutting = cut(request, asks(1000))
    assert cutting.unplaced == (1,)
    assert faults_of_cutting(request, cutting) == []
    assert cutting.price == 5


def test_what_only_the_rack_can_hold_goes_there_and_the_longest_first() -> None:
    stocks = (Stock(stretches=(100,), price=5, length=100), Stock(stretches=(210,), supply=1))
    request = Request(runs=(120, 150, 60, 50), kerf=1, stocks=stocks)
    cutting = cut(request, asks(1000))
    assert cutting.unplaced == (0,)  # 150 or 120 on the rack: 150 is longer
    assert faults_of_cutting(request, cutting) == []
    assert cutting.price == 5  # 150 with 50 on the rack, 60 on a board


def test_with_a_rack_alone_as_much_length_as_possible_is_placed() -> None:
    stocks = (Stock(stretches=(100,), supply=1), Stock(stretches=(60, 30), supply=1))
    request = Request(runs=(55, 44, 59, 30, 70), kerf=1, stocks=stocks)
    cutting = cut(request, asks(10_000))
    # 100 holds 55 + 44 and their kerf, 60 holds 59, 30 holds 30: all but 70
    assert cutting.unplaced == (4,)
    assert faults_of_cutting(request, cutting) == []


def test_no_boards_at_all() -> None:
    cutting = cut(Request(runs=(10, 20), kerf=1, stocks=()), asks(10))
    assert (cutting.unplaced, cutting.boards) == ((0, 1), ())


def test_nothing_to_cut() -> None:
    assert cut(Request(runs=(), kerf=1, stocks=(Stock(stretches=(9,), price=1, length=9),)), asks(1)).boards == ()


# ---- published values


def test_gilmore_gomory_style_textbook_case_takes_453_rolls() -> None:
    """45, 36, 31 and 14 in, demands 97, 610, 395 and 211, from rolls of 100 in: 453 (textbook, from memory)."""
    runs = (45,) * 97 + (36,) * 610 + (31,) * 395 + (14,) * 211
    request = Request(runs=runs, kerf=0, stocks=(Stock(stretches=(100,), length=1),))
    cutting = cut(request, asks(10_000))
    assert cutting.length == len(cutting.boards) == 453
    assert cutting.length_bound == 453
    assert cutting.proof.length
    assert faults_of_cutting(request, cutting) == []


@pytest.mark.parametrize(("sixty_fourths", "boards"), [(96 * 64 + 24, 1), (96 * 64 + 23, 2)])
def test_kerf_edge(sixty_fourths: int, boards: int) -> None:
    """Four of 24 in at a kerf of 1/8: a clear 96 3/8 in holds them, 96 23/64 doesn't (n blanks, n - 1 kerfs)."""
    clear = sixty_fourths * INCH // 64
    request = Request(runs=(24 * INCH,) * 4, kerf=INCH // 8, stocks=(Stock(stretches=(clear,), price=1, length=1),))
    assert len(cut(request, asks(1000)).boards) == boards


@pytest.mark.parametrize("seed", range(5))
def test_triplets_fill_every_bin_to_the_brim(seed: int) -> None:
    """Made as Falkenauer (1996) made his: threes that sum to 1000, each from 250 to 500, so n / 3 bins do."""
    chance = random.Random(f"triplets {seed}")
    runs: list[int] = []
    while len(runs) < 60:
        first = chance.randint(380, 490)
        second = chance.randint(250, min(499, 1000 - first - 250))
        if 250 <= 1000 - first - second < 500:
            runs += [first, second, 1000 - first - second]
    chance.shuffle(runs)
    request = Request(runs=tuple(runs), kerf=0, stocks=(Stock(stretches=(1000,), length=1),))
    cutting = cut(request, asks(20_000))
    assert len(cutting.boards) == 20
    assert cutting.proof.length
