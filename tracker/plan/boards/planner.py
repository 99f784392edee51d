"""Boards for a whole build: each wood by itself, all of them in turns, so that none waits for another to be proved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from tracker.design.model import Build, RackBoard, Wood
from tracker.measure import Length
from tracker.measure.length import GRID, ZERO
from tracker.plan.boards.assemble import Board
from tracker.plan.boards.blanks import BlankLength, Run, Wanted, as_read, blank_length, wanted_of
from tracker.plan.boards.cutting import Cutting, cut
from tracker.plan.boards.plan import BoardPlan, CutBoard, Offcut, PlacedPiece, Unplaced, WoodPlan
from tracker.plan.boards.stop import KeepGoing
from tracker.plan.boards.stretches import Stretch, clear_stretches
from tracker.plan.boards.task import Request, Stock

FIRST_TURN = 200
"""Times that a wood may ask whether to go on, in its first turn; each later turn is four times as long."""


def plan_boards(build: Build, length_of: BlankLength = blank_length, *, keep_going: KeepGoing) -> BoardPlan:
    """The best plan found until `keep_going` says no, or until nothing is left to prove.

    `keep_going` is asked every few milliseconds; it holds whatever clock or button there is. There is always a plan.
    """
    *_, last = board_plans(build, length_of, keep_going=keep_going)
    return last


def board_plans(build: Build, length_of: BlankLength = blank_length, *, keep_going: KeepGoing) -> Iterator[BoardPlan]:
    """Ever better plans: the first at once, another after every turn, the last when all is proved or time is up."""
    orders = [order for wood in build.woods if (order := _order(build, wood, length_of))]
    plans = [_wood_plan(build, order, cut(order.request, lambda: False)) for order in orders]
    plan = BoardPlan(woods=tuple(plans))
    yield plan
    turn = FIRST_TURN
    while not plan.settled and keep_going():
        for at, order in enumerate(orders):
            if not BoardPlan(woods=(plans[at],)).settled and keep_going():
                plans[at] = _wood_plan(build, order, cut(order.request, _allowance(turn, keep_going)))
                plan = BoardPlan(woods=tuple(plans))
                yield plan
        turn *= 4


def _allowance(times: int, keep_going: KeepGoing) -> KeepGoing:
    """`keep_going`, but no more than so many times."""
    left = times

    def go() -> bool:
        nonlocal left
        left -= 1
        return left >= 0 and keep_going()

    return go


@dataclass(frozen=True, slots=True)
class _Have:
    """A board that can be had: what it is called and how long, and its clear stretches."""

    source: Literal["dealer", "rack"]
    name: str
    length: Length
    price: Decimal | None
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class _Order:
    """What is wanted of one wood and what there is, in words of the shop and of the solver."""

    wood: Wood
    wanted: Wanted
    have: tuple[_Have, ...]
    request: Request
    price_step: Decimal
    """The money of one step of the solver's whole-number prices."""


def _order(build: Build, wood: Wood, length_of: BlankLength) -> _Order | None:
    """None when nothing is made of this wood."""
    wanted = wanted_of(build, wood, length_of)
    if not wanted.runs and not wanted.unplaced:
        return None
    have = (*_dealer(build, wood), *(_owned(build, board) for board in build.rack if board.wood == wood.id))
    exponents = [price.as_tuple().exponent for price in wood.prices]
    step = Decimal(1).scaleb(min([0, *(e for e in exponents if isinstance(e, int))]))
    kerf = build.shop.kerf.grid_up()
    stocks = tuple(
        Stock(
            stretches=tuple(stretch.length.grid_down() for stretch in each.stretches),
            price=int((each.price or Decimal(0)) / step),
            length=each.length.grid_up() if each.source == "dealer" else 0,
            supply=None if each.source == "dealer" else 1,
        )
        for each in have
    )
    request = Request(runs=tuple(run.grid(kerf) for run in wanted.runs), kerf=kerf, stocks=stocks)
    return _Order(wood, wanted, have, request, step)


def _dealer(build: Build, wood: Wood) -> Iterator[_Have]:
    for at, length in enumerate(wood.lengths):
        price = wood.prices[at] if wood.prices else None
        yield _Have("dealer", wood.id, length, price, clear_stretches(length, build.shop.end_trim, (), build.shop.kerf))


def _owned(build: Build, board: RackBoard) -> _Have:
    trim = build.shop.end_trim if board.end_trim is None else board.end_trim
    return _Have(
        "rack", board.name, board.length, None, clear_stretches(board.length, trim, board.defects, build.shop.kerf)
    )


def _wood_plan(build: Build, order: _Order, cutting: Cutting) -> WoodPlan:
    sources = [order.have[board.stock].source for board in cutting.boards]
    boards = [
        _cut_board(build, order, board, sources[: at + 1].count("dealer")) for at, board in enumerate(cutting.boards)
    ]
    bought = [board.length for board in boards if board.source == "dealer"]
    costed = bool(order.wood.prices) or not bought
    return WoodPlan(
        wood=order.wood.id,
        boards=tuple(boards),
        unplaced=(*order.wanted.unplaced, *_unplaced(build, order, cutting)),
        cost=cutting.price * order.price_step if costed else None,
        cost_bound=cutting.price_bound * order.price_step if costed else None,
        bought=sum(bought, ZERO),
        bought_bound=Length.of(cutting.length_bound, "mm") / GRID,
        proof=cutting.proof,
        notes=order.wanted.notes,
    )


def _cut_board(build: Build, order: _Order, board: Board, number: int) -> CutBoard:
    """One board with its pieces at their exact places; `number` counts the boards that are bought."""
    have = order.have[board.stock]
    pieces: list[PlacedPiece] = []
    offcuts: list[Offcut] = []
    for stretch, indices in zip(have.stretches, board.stretches, strict=True):
        at = stretch.start
        for blank in (blank for i in indices for blank in order.wanted.runs[i].blanks):
            pieces.append(PlacedPiece(part=blank.part, piece=blank.piece, at=at, length=blank.length))
            at = at + blank.length + build.shop.kerf
        if at < stretch.end:
            offcuts.append(Offcut(at=at, length=stretch.end - at))
    return CutBoard(
        source=have.source,
        name=have.name if have.source == "rack" else f"{have.name} {number}",
        length=have.length,
        price=have.price,
        pieces=tuple(pieces),
        offcuts=tuple(offcuts),
    )


def _unplaced(build: Build, order: _Order, cutting: Cutting) -> Iterator[Unplaced]:
    for i in cutting.unplaced:
        run = order.wanted.runs[i]
        why = _why(build, order, run)
        for blank in run.blanks:
            yield Unplaced(part=blank.part, piece=blank.piece, why=why)


def _why(build: Build, order: _Order, run: Run) -> str:
    """Why no board holds this run."""
    clear = [stretch.length for have in order.have for stretch in have.stretches]
    need = f"needs {as_read(build, run.length(build.shop.kerf))} in one clear stretch"
    if run.sequence:
        need = f"the sequence '{run.sequence}' {need}"
    if not clear:
        return f"{need}, and there is no {order.wood.id} to be had: it has no lengths and none is on the rack"
    if run.length(build.shop.kerf) > max(clear):
        return f"{need}; the longest of {order.wood.id} is {as_read(build, max(clear))}"
    return f"{need}, and the rack has not enough of those; the dealer's lengths are shorter"
