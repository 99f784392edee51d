"""Lower bounds for a ripped wood that hold for every plan, guillotine or not.

Dual feasible functions on the widths (Fekete & Schepers 2001), including the plain area, give the least length of board
that the pieces take; a small knapsack gives the least cost of boards of that length.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from math import ceil

from tracker.measure import Length
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.rip.strip import Rect, Strip

STEPS = 60
"""Divisible by 1 to 6, so that every share from a step function is a whole number of sixtieths."""


def least_length(rects: Sequence[Rect], strip: Strip, grainless: bool, keep_going: KeepGoing = lambda: True) -> Length:
    """The least length of board that the pieces take, with a kerf added to each piece and to the boards.

    With (l + k) by (w + k) for every piece and (L + k) by (W + k) for every board, pieces may touch. At every cross
    section the widths add up to no more than the board's, and so do their images under a dual feasible function u; so
    the sum of (l + k) · u(w) is no more than the length of all boards. When `keep_going` returns False, the bound found
    so far is returned.
    """
    whole = strip.width + strip.kerf
    many = Counter((rect.along + strip.kerf, rect.across + strip.kerf) for rect in rects)
    lying = {size: [way for way in ((size, size[::-1]) if grainless else (size,)) if way[1] <= whole] for size in many}
    best = 0
    for u in _dual_feasible(sorted({across for both in lying.values() for _, across in both}), whole):
        total = sum(n * min(along * u(across) for along, across in lying[size]) for size, n in many.items())
        best = max(best, total)
        if not keep_going():
            break
    return Length(Fraction(best, whole * STEPS * strip.per_mm))


def _dual_feasible(widths: Sequence[int], whole: int) -> Iterator[Callable[[int], int]]:
    """The functions: the area; u(k) for small k, which counts how many lie side by side; and the threshold for every
    width.

    Each gives, for a width, its share of the `whole` width times `whole` times STEPS.
    """
    yield lambda x: x * STEPS
    for k in range(1, 7):
        yield _steps(k, whole)
    for width in widths:
        if 2 * width <= whole:
            yield _threshold(width, whole)


def _steps(k: int, whole: int) -> Callable[[int], int]:
    def u(x: int) -> int:
        times, rest = divmod(x * (k + 1), whole)
        return times * whole * STEPS // k if rest else x * STEPS

    return u


def _threshold(least: int, whole: int) -> Callable[[int], int]:
    def u(x: int) -> int:
        if x > whole - least:
            return whole * STEPS
        return 0 if x < least else x * STEPS

    return u


def least_cost(need: Length, boards: Sequence[tuple[Length, int]], keep_going: KeepGoing = lambda: True) -> int:
    """The least cost of boards (capacity, cost) whose capacities add up to `need`, each in any number.

    When `keep_going` returns False: the least cost if fractions of boards were sold.
    """
    order = sorted(boards, key=lambda board: Fraction(board[1]) / board[0].mm)
    cheapest, price = order[0]
    in_fractions = ceil(max(Fraction(0), need.mm / cheapest.mm * price))
    best = min(cost * max(0, -(-need.mm // length.mm)) for length, cost in order)
    stopped = False

    def take(at: int, left: Fraction, cost: int) -> None:
        nonlocal best, stopped
        if left <= 0:
            best = min(best, cost)
            return
        if at == len(order) or cost + left * order[at][1] / order[at][0].mm >= best:
            return
        stopped = stopped or not keep_going()
        length, price = order[at]
        for count in range(-(-left // length.mm), -1, -1):
            if stopped or best <= in_fractions:
                return
            take(at + 1, left - count * length.mm, cost + count * price)

    take(0, need.mm, 0)
    return in_fractions if stopped else best
