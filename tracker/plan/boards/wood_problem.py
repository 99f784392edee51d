"""The problem of one wood: what is wanted and what is available, in the shop's terms and the solver's, and back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, Wood
from tracker.measure import Length
from tracker.measure.length import ZERO, of_grid
from tracker.plan.boards.blanks import Batch, Demand, Laid, as_read
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.nesting import Slant, row, slant_of, wider_kerf
from tracker.plan.boards.plan import CutBoard, Offcut, PlacedPiece, Unplaced, WoodPlan
from tracker.plan.boards.remaining import BoardLeft
from tracker.plan.boards.solver import Board, Cutting, Proof, Request, Stock, cut
from tracker.plan.clear_board_lengths import clear_stretches
from tracker.words import say


class Order(Struct, frozen=True):
    """The order for one wood. `price_step` is the money in one step of the solver's whole-number prices.

    `slants` are the runs (by index) that share cuts with others of their slant in the same stretch.
    """

    build: Build
    wood: Wood
    demand: Demand
    have: tuple[BoardLeft, ...]
    request: Request
    price_step: Decimal
    slants: Mapping[int, Slant]

    def gathered(self, indices: Iterable[int]) -> list[Batch]:
        """The runs in one stretch, those of a slant joined into one row: shortest first, so that the length held at
        every cut is as long as possible."""
        runs, rows = [], dict[Slant, list[Batch]]()
        for i in indices:
            if i in self.slants:
                rows.setdefault(self.slants[i], []).append(self.demand.runs[i])
            else:
                runs.append(self.demand.runs[i])
        for slant, mine in rows.items():
            if len(mine) == 1:
                runs += mine
                continue
            blanks = sorted((run.blanks[0] for run in mine), key=lambda blank: blank.length)
            runs.append(row(self.build, slant, blanks))
        return sorted(runs, key=lambda run: run.length)

    def plan(self, keep_going: KeepGoing) -> WoodPlan:
        """The best plan found before `keep_going` returns False."""
        cutting = _nested(self, keep_going) if self.slants else cut(self.request, keep_going)
        return replace(wood_plan(self, cutting), exhausted=keep_going())


def at_the_dealer(build: Build, wood: Wood) -> Iterator[BoardLeft]:
    """One stock for each length sold."""
    for at, length in enumerate(wood.lengths):
        price = wood.prices[at] if wood.prices else None
        stretches = clear_stretches(length, build.shop.end_trim, (), build.shop.kerf)
        yield BoardLeft(
            key="", wood=wood.id, source="dealer", name=wood.id, length=length, stretches=stretches, price=price
        )


def order(build: Build, wood: Wood, demand: Demand, have: Sequence[BoardLeft]) -> Order:
    """The order for what is wanted, from what is available."""
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
    request = Request(runs=tuple(run.length.grid_up() for run in demand.runs), kerf=kerf, stocks=stocks)
    slants = {i: slant for i, run in enumerate(demand.runs) if (slant := slant_of(build, run))}
    return Order(build, wood, demand, tuple(have), request, step, slants)


def safe_request(order: Order) -> Request:
    """The order's request with shared cuts counted such that a plan that fits the request fits the boards.

    n blanks of a slant in one stretch save n - 1 times: n savings are counted, and one for each slant is subtracted
    from every stretch. That is exact where all blanks are of one slant.
    """
    kerf = order.build.shop.kerf
    alone = len(set(order.slants.values())) == 1 and len(order.slants) == len(order.demand.runs)
    once = ZERO
    for slant in set(order.slants.values()):
        once = once + slant.saved(kerf) + (ZERO if alone else wider_kerf(kerf, slant.miter))
    stocks = tuple(
        replace(stock, stretches=tuple(max(0, (each.length - once).grid_down()) for each in have.stretches))
        for stock, have in zip(order.request.stocks, order.have, strict=True)
    )
    return replace(_overcounted(order), stocks=stocks)


def _overcounted(order: Order) -> Request:
    """The order's request with one saving too many for each slant in a stretch: its bound holds for every plan."""
    kerf = order.build.shop.kerf
    lengths = (
        run.length - order.slants[i].saved(kerf) if i in order.slants else run.length
        for i, run in enumerate(order.demand.runs)
    )
    return replace(order.request, runs=tuple(length.grid_up() for length in lengths))


def _nested(order: Order, keep_going: KeepGoing) -> Cutting:
    """The best of three plans: with shared cuts overcounted, which also gives the bound; counted safely; and none
    shared."""
    sure = cut(safe_request(order), keep_going)
    if len(set(order.slants.values())) == 1 and len(order.slants) == len(order.demand.runs):
        return sure
    bound = cut(_overcounted(order), keep_going)
    plans = [sure, cut(order.request, keep_going), *([bound] if _fits(order, bound) else [])]
    best = min(plans, key=lambda plan: (len(plan.unplaced), plan.price, plan.length))
    if len(best.unplaced) != len(bound.unplaced):  # the bound belongs to other pieces
        return replace(best, price_bound=0, length_bound=0, proof=Proof())
    price = best.price <= bound.price_bound
    length = price and best.length <= bound.length_bound
    return replace(
        best, price_bound=min(bound.price_bound, best.price), length_bound=bound.length_bound if price else 0,
        proof=Proof(price=price, length=length),
    )  # fmt: skip


def _fits(order: Order, cutting: Cutting) -> bool:
    kerf = order.build.shop.kerf
    for board in cutting.boards:
        for stretch, indices in zip(order.have[board.stock].stretches, board.stretches, strict=True):
            runs = order.gathered(indices)
            if sum((run.length + kerf for run in runs), -kerf) > stretch.length:
                return False
    return True


def wood_plan(order: Order, cutting: Cutting, first_number: int = 1) -> WoodPlan:
    """This cutting as a plan; bought boards are numbered from `first_number` up."""
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
        unplaced=(*order.demand.unplaced, *_unplaced(order, cutting)),
        cost=cutting.price * order.price_step if costed else None,
        cost_bound=cutting.price_bound * order.price_step if costed else None,
        bought=sum(bought, ZERO),
        bought_bound=of_grid(cutting.length_bound),
        proof=cutting.proof,
        notes=order.demand.notes,
    )


def _cut_board(order: Order, board: Board, number: int) -> CutBoard:
    """One board with its pieces at their exact positions; `number` counts the bought boards."""
    have, kerf = order.have[board.stock], order.build.shop.kerf
    pieces: list[PlacedPiece] = []
    offcuts: list[Offcut] = []
    for stretch, indices in zip(have.stretches, board.stretches, strict=True):
        at = stretch.start
        for run in order.gathered(indices):
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
        width=have.width or order.wood.width,
    )


def placed(laid: Laid, at: Length) -> PlacedPiece:
    """A blank of a run that begins at `at`."""
    blank = laid.blank
    return PlacedPiece(
        part=blank.part, piece=blank.piece, at=at + laid.at, length=laid.length or blank.length,
        across=laid.across, width=laid.width, turned=laid.turned, over=laid.over, left=laid.left, right=laid.right,
    )  # fmt: skip


def _unplaced(order: Order, cutting: Cutting) -> Iterator[Unplaced]:
    for i in cutting.unplaced:
        run = order.demand.runs[i]
        why = _why(order, run)
        for blank in run.blanks:
            yield Unplaced(part=blank.part, piece=blank.piece, why=why)


def _why(order: Order, run: Batch) -> str:
    """Why no board can hold this run."""
    build, wood, long = order.build, order.wood.id, run.length
    clear = [stretch.length for have in order.have for stretch in have.stretches]
    need = say("needs {length} in one clear stretch", length=as_read(build, long))
    if run.sequence:
        need = say("the sequence '{sequence}' {need}", sequence=run.sequence, need=need)
    if not clear:
        return say(
            "{need}, and there is no {wood} to be had: it has no lengths and none is on the rack", need=need, wood=wood
        )
    if long > max(clear):
        return say("{need}; the longest of {wood} is {length}", need=need, wood=wood, length=as_read(build, max(clear)))
    return say("{need}, and the rack has not enough of those; the dealer's lengths are shorter", need=need)
