"""Boards for a whole build: one wood at a time, in turns, so that no wood waits until another is proved."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from tracker.design.model import Build, Wood
from tracker.plan.boards.blanks import demand_of
from tracker.plan.boards.cancel import KeepGoing, allowance
from tracker.plan.boards.if_ripped import plan_if_ripped, with_saving
from tracker.plan.boards.nesting import pairs
from tracker.plan.boards.one_blank import with_all_pieces
from tracker.plan.boards.plan import BoardPlan
from tracker.plan.boards.remaining import rack_board
from tracker.plan.boards.rip import MixedOrder, RippedOrder, ripped_order
from tracker.plan.boards.wood_problem import Order, at_the_dealer, order

FIRST_TURN = 200
"""How many times a wood's search may call `keep_going` in its first turn; each later turn allows four times as many."""


def plan_boards(build: Build, *, keep_going: KeepGoing) -> BoardPlan:
    """The best plan found before `keep_going` returns False or nothing is left to prove.

    `keep_going` is called every few milliseconds; it may check a clock or a button. There is always a plan.
    """
    *_, last = board_plans(build, keep_going=keep_going)
    return last


def board_plans(build: Build, *, keep_going: KeepGoing) -> Iterator[BoardPlan]:
    """Successively better plans: the first at once, another after every turn, the last when everything is proved or
    time is up."""
    orders = [order for wood in build.woods if (order := _order(build, wood))]
    plans = [order.plan(lambda: False) for order in orders]
    plan = BoardPlan(woods=tuple(plans))
    yield with_all_pieces(build, plan)
    ripped = [plan_if_ripped(order) if isinstance(order, Order) else None for order in orders]
    if any(ripped):
        plans = [with_saving(build, each, other) for each, other in zip(plans, ripped, strict=True)]
        plan = BoardPlan(woods=tuple(plans))
        yield with_all_pieces(build, plan)
    turn = FIRST_TURN
    while not plan.settled and keep_going():
        for at, order in enumerate(orders):
            if not BoardPlan(woods=(plans[at],)).settled and keep_going():
                plans[at] = with_saving(build, order.plan(allowance(turn, keep_going)), ripped[at])
                plan = BoardPlan(woods=tuple(plans))
                yield with_all_pieces(build, plan)
        turn *= 4


def _order(build: Build, wood: Wood) -> Order | RippedOrder | MixedOrder | None:
    """The order of one wood; None when nothing is made of it."""
    demand = demand_of(build, wood)
    if not demand.runs and not demand.unplaced:
        return None
    rack = (rack_board(build, board) for board in build.rack if board.wood == wood.id)
    have = (*at_the_dealer(build, wood), *rack)
    if wood.ripped:
        return ripped_order(build, wood, demand, have)
    return order(build, wood, replace(demand, runs=tuple(pairs(build, demand.runs))), have)
