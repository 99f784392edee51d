"""What is wanted of one wood and what there is of it, in words of the shop and of the solver, and the way back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from tracker.design.model import Build, Wood
from tracker.measure import Length
from tracker.measure.length import GRID, ZERO
from tracker.plan.boards.assemble import Board
from tracker.plan.boards.blanks import Laid, Run, Wanted, as_read
from tracker.plan.boards.cutting import Cutting
from tracker.plan.boards.left import BoardLeft, Source
from tracker.plan.boards.plan import CutBoard, Offcut, PlacedPiece, Unplaced, WoodPlan
from tracker.plan.boards.stretches import Stretch, clear_stretches
from tracker.plan.boards.task import Request, Stock


@dataclass(frozen=True, slots=True)
class Have:
    """A board that can be had: what it is called, how long it is, what is clear of it. No `key` at the dealer's."""

    source: Source
    key: str
    name: str
    length: Length
    price: Decimal | None
    stretches: tuple[Stretch, ...]
    begins: Length = ZERO


@dataclass(frozen=True, slots=True)
class Order:
    """One wood's order. `price_step` is the money of one step of the solver's whole-number prices."""

    build: Build
    wood: Wood
    wanted: Wanted
    have: tuple[Have, ...]
    request: Request
    price_step: Decimal


def at_the_dealer(build: Build, wood: Wood) -> Iterator[Have]:
    """One for each length that is sold."""
    for at, length in enumerate(wood.lengths):
        price = wood.prices[at] if wood.prices else None
        stretches = clear_stretches(length, build.shop.end_trim, (), build.shop.kerf)
        yield Have("dealer", "", wood.id, length, price, stretches)


def in_hand(boards: Iterable[BoardLeft]) -> Iterator[Have]:
    """One for each board in hand: it costs nothing."""
    for board in boards:
        yield Have(board.source, board.key, board.name, board.length, None, board.stretches, board.begins)


def order(build: Build, wood: Wood, wanted: Wanted, have: Sequence[Have]) -> Order:
    """The order of what is wanted, from what there is."""
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
    request = Request(runs=tuple(run.length.grid_up() for run in wanted.runs), kerf=kerf, stocks=stocks)
    return Order(build, wood, wanted, tuple(have), request, step)


def wood_plan(order: Order, cutting: Cutting, first_number: int = 1) -> WoodPlan:
    """The plan that this cutting is; boards to be bought are numbered from `first_number` on."""
    sources = [order.have[board.stock].source for board in cutting.boards]
    boards = [
        _cut_board(order, board, first_number - 1 + sources[: at + 1].count("dealer"))
        for at, board in enumerate(cutting.boards)
    ]
    bought = [board.length for board in boards if board.source == "dealer"]
    costed = bool(order.wood.prices) or not bought
    return WoodPlan(
        wood=order.wood.id,
        boards=tuple(boards),
        unplaced=(*order.wanted.unplaced, *_unplaced(order, cutting)),
        cost=cutting.price * order.price_step if costed else None,
        cost_bound=cutting.price_bound * order.price_step if costed else None,
        bought=sum(bought, ZERO),
        bought_bound=Length.of(cutting.length_bound, "mm") / GRID,
        proof=cutting.proof,
        notes=order.wanted.notes,
    )


def _cut_board(order: Order, board: Board, number: int) -> CutBoard:
    """One board with its pieces at their exact places; `number` counts the boards that are bought.

    In each stretch the shortest run is cut first, so that what is held at every cut is as long as it can be.
    """
    have, kerf = order.have[board.stock], order.build.shop.kerf
    pieces: list[PlacedPiece] = []
    offcuts: list[Offcut] = []
    for stretch, indices in zip(have.stretches, board.stretches, strict=True):
        at = stretch.start
        runs = sorted((order.wanted.runs[i] for i in indices), key=lambda run: run.length)
        for run in runs:
            pieces += (placed(each, at) for each in run.laid)
            at = at + run.length + kerf
        if at < stretch.end:
            offcuts.append(Offcut(at=at, length=stretch.end - at))
    dealer = have.source == "dealer"
    return CutBoard(
        key=f"{order.wood.id}/{number}" if dealer else have.key,
        wood=order.wood.id,
        source=have.source,
        name=f"{have.name} {number}" if dealer else have.name,
        length=have.length,
        price=have.price,
        stretches=have.stretches,
        pieces=tuple(pieces),
        offcuts=tuple(offcuts),
        begins=have.begins,
    )


def placed(laid: Laid, at: Length) -> PlacedPiece:
    """A blank of a run that begins `at`."""
    blank = laid.blank
    return PlacedPiece(
        part=blank.part, piece=blank.piece, at=at + laid.at, length=blank.length, across=laid.across, width=laid.width,
        turned=laid.turned, over=laid.over,
    )  # fmt: skip


def _unplaced(order: Order, cutting: Cutting) -> Iterator[Unplaced]:
    for i in cutting.unplaced:
        run = order.wanted.runs[i]
        why = _why(order, run)
        for blank in run.blanks:
            yield Unplaced(part=blank.part, piece=blank.piece, why=why)


def _why(order: Order, run: Run) -> str:
    """Why no board holds this run."""
    build, wood, long = order.build, order.wood.id, run.length
    clear = [stretch.length for have in order.have for stretch in have.stretches]
    need = f"needs {as_read(build, long)} in one clear stretch"
    if run.sequence:
        need = f"the sequence '{run.sequence}' {need}"
    if not clear:
        return f"{need}, and there is no {wood} to be had: it has no lengths and none is on the rack"
    if long > max(clear):
        return f"{need}; the longest of {wood} is {as_read(build, max(clear))}"
    return f"{need}, and the rack has not enough of those; the dealer's lengths are shorter"
