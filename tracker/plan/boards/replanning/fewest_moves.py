"""Replanning one wood: least cost first, then the fewest runs that change their clear stretch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, Wood
from tracker.plan.boards.blanks import Demand
from tracker.plan.boards.cancel import KeepGoing, allowance
from tracker.plan.boards.plan import PieceId, PlacedPiece
from tracker.plan.boards.remaining import BoardLeft, Place
from tracker.plan.boards.replanning.fewest_moves_exact import Bin, Load, Offer, fewest_moves
from tracker.plan.boards.replanning.positions import Result, Slot, board_number, sharing_cuts, where_it_lies, with_fixed
from tracker.plan.boards.solver import Board, Cutting, Held, Progress, Proof, Repair, Request, cut
from tracker.plan.boards.wood_problem import Order, at_the_dealer, order, safe_request, wood_plan

MENDS = 1_000


class Job(Struct):
    """One wood: its order, and the previous stretch of each run, if the run can still lie there.

    `fixed` are the remaining pieces of partly cut sequences, which continue where they are, and of rows that share
    cuts: it would make no sense to cut them elsewhere.
    """

    order: Order
    old: Mapping[int, Slot | None]
    first_number: int
    fixed: Sequence[tuple[BoardLeft, tuple[PlacedPiece, ...]]]

    @classmethod
    def of(
        cls,
        build: Build,
        wood: Wood,
        demand: Demand,
        left: Sequence[BoardLeft],
        previous: Mapping[PieceId, Place],
        begun: Collection[str],
    ) -> Job:
        fixed, others = [], []
        shared = sharing_cuts(build, demand.runs, left, previous)
        for i, run in enumerate(demand.runs):
            lies = where_it_lies(run, left, previous) if run.sequence in begun else shared.get(i)
            if lies is None:
                others.append(run)
            else:
                stay = tuple(previous[blank.id].placed(blank.id) for blank in run.blanks)
                fixed.append((left[lies.board], stay))
        taken = [Place.of(board.key, piece) for board, stay in fixed for piece in stay]
        boards = [board.without(taken, build.shop.kerf) for board in left]
        mine = order(build, wood, replace(demand, runs=tuple(others)), (*at_the_dealer(build, wood), *boards))
        if mine.slants:
            mine = replace(mine, request=safe_request(mine))
        first = len(mine.have) - len(boards)
        found = {i: where_it_lies(run, boards, previous) for i, run in enumerate(others)}
        old = {i: (first + lies.board, lies.stretch) if lies else None for i, lies in found.items()}
        return cls(mine, old, 1 + max((board_number(board.key, wood) for board in left), default=0), fixed)

    @property
    def sequences(self) -> set[str]:
        """The sequences that are cut again."""
        return {run.sequence for run in self.order.demand.runs}

    def run(self, turn: int, keep_going: KeepGoing) -> Result:
        """Find the least cost, and then the fewest moves at that cost."""
        request = self.order.request
        cheapest = _cheapest(request, allowance(turn, keep_going))
        unplaced = set(cheapest.unplaced)
        staying = {i: slot for i, slot in self.old.items() if slot is not None and i not in unplaced}
        untouched = self._all_stay(staying, unplaced, cheapest, allowance(turn, keep_going))
        if untouched is not None:
            return self._result(untouched, staying, 0)
        plans = [cheapest, *self._repaired(staying, unplaced, cheapest, allowance(turn, keep_going))]
        known, plain = min(((self._moved(plan, staying), plan) for plan in plans), key=lambda pair: pair[0])
        better, fewest = self._search(staying, unplaced, cheapest, known, allowance(turn, keep_going))
        return self._result(better or _with_stays(request, plain, staying), staying, fewest)

    def _result(self, cutting: Cutting, staying: Mapping[int, Slot], fewest: int) -> Result:
        at = _slots(cutting)
        moved = tuple(
            blank.id for i, slot in staying.items() if at[i] != slot for blank in self.order.demand.runs[i].blanks
        )
        plan = wood_plan(self.order, cutting, self.first_number)
        for board, stay in self.fixed:
            plan = with_fixed(self.order.build, plan, board, stay)
        return Result(plan, moved, fewest)

    def _moved(self, cutting: Cutting, staying: Mapping[int, Slot]) -> int:
        at = _slots(_with_stays(self.order.request, cutting, staying))
        return sum(len(self.order.demand.runs[i].laid) for i, slot in staying.items() if at[i] != slot)

    def _all_stay(
        self, staying: Mapping[int, Slot], unplaced: set[int], cheapest: Cutting, keep_going: KeepGoing
    ) -> Cutting | None:
        """The plan in which nothing moves, if it costs no more than the cheapest."""
        request = self.order.request
        new = [i for i in range(len(request.runs)) if i not in staying and i not in unplaced]
        room = _free(request, staying)
        stocks = tuple(
            replace(stock, stretches=tuple(room[s, n] for n in range(len(stock.stretches))))
            for s, stock in enumerate(request.stocks)
        )
        rest = Request(runs=tuple(request.runs[i] for i in new), kerf=request.kerf, stocks=stocks)
        found = _cheapest(rest, keep_going, enough=_cost(request, cheapest))
        if found.unplaced or _cost(request, found) > _cost(request, cheapest):
            return None
        extra = [Board(b.stock, tuple(tuple(new[i] for i in runs) for runs in b.stretches)) for b in found.boards]
        return _joined(request, staying, extra, cheapest)

    def _repaired(
        self, staying: Mapping[int, Slot], unplaced: set[int], cheapest: Cutting, keep_going: KeepGoing
    ) -> Iterator[Cutting]:
        """A plan on the boards of the cheapest one, repaired from the previous positions: few moves, but not proved the
        fewest."""
        request = self.order.request
        placed = [i for i in range(len(request.runs)) if i not in unplaced]
        sizes = sorted({request.runs[i] for i in placed}, reverse=True)
        at = {size: k for k, size in enumerate(sizes)}
        slots = [(s, n) for s, stock in enumerate(request.stocks) if stock.supply for n in range(len(stock.stretches))]
        bought = [board.stock for board in cheapest.boards if request.stocks[board.stock].supply is None]
        held: list[Held] = [{} for _ in (*slots, *bought)]
        waiting: dict[int, list[int]] = {}
        for i in sorted(placed, reverse=True):
            waiting.setdefault(at[request.runs[i]], []).append(i)
        for i, slot in staying.items():
            mine = held[slots.index(slot)]
            mine[at[request.runs[i]]] = mine.get(at[request.runs[i]], 0) + 1
        left = [len(waiting[k]) - sum(fill.get(k, 0) for fill in held) for k in range(len(sizes))]
        rooms = [request.stocks[s].stretches[n] for s, n in slots] + [request.stocks[s].stretches[0] for s in bought]
        kerf = request.kerf
        repair = Repair([size + kerf for size in sizes], [room + kerf for room in rooms], held, left)
        found = repair.run(MENDS, keep_going)
        if found is None:
            return
        runs = [tuple(waiting[k].pop() for k, n in sorted(fill.items()) for _ in range(n)) for fill in found]
        stretches: dict[int, list[tuple[int, ...]]] = {}
        for (s, _), mine_now in zip(slots, runs, strict=False):
            stretches.setdefault(s, []).append(mine_now)
        boards = [Board(s, tuple(each)) for s, each in stretches.items() if any(each)]
        boards += [Board(s, (each,)) for s, each in zip(bought, runs[len(slots) :], strict=True) if each]
        yield _summed(request, boards, cheapest)

    def _search(
        self,
        staying: Mapping[int, Slot],
        unplaced: set[int],
        cheapest: Cutting,
        known: int,
        keep_going: KeepGoing,
    ) -> tuple[Cutting | None, int]:
        """A plan with fewer moves than `known`, if one is found, and a lower bound of the moves that any plan needs."""
        request, runs = self.order.request, self.order.demand.runs
        slots = [(s, n) for s, stock in enumerate(request.stocks) if stock.supply for n in range(len(stock.stretches))]
        loads = {i: Load(request.runs[i] + request.kerf, len(run.laid), i) for i, run in enumerate(runs)}
        bins = [
            Bin(
                request.stocks[s].stretches[n] + request.kerf,
                [loads[i] for i, slot in staying.items() if slot == (s, n)],
            )
            for s, n in slots
        ]
        dealer = [s for s, stock in enumerate(request.stocks) if stock.supply is None and stock.stretches]
        priced = any(request.stocks[s].price for s in dealer)
        offers = [
            Offer(stock.stretches[0] + request.kerf, stock.price if priced else stock.length)
            for stock in (request.stocks[s] for s in dealer)
        ]
        new = [loads[i] for i in loads if i not in staying and i not in unplaced]
        found = fewest_moves(bins, new, offers, _cost(request, cheapest), known, keep_going)
        if found.bins is None:
            return None, found.least
        held: dict[int, list[tuple[int, ...]]] = {}
        for (s, _), inside in zip(slots, found.bins, strict=True):
            held.setdefault(s, []).append(tuple(load.run for load in inside))
        boards = [Board(s, tuple(stretches)) for s, stretches in held.items() if any(stretches)]
        boards += [Board(dealer[kind], (tuple(load.run for load in inside),)) for kind, inside in found.bought]
        return _summed(request, boards, cheapest), found.least


def _cost(request: Request, cutting: Cutting) -> int:
    """The cost in money, or in length where no prices are known."""
    return cutting.price if any(stock.price for stock in request.stocks) else cutting.length


def _cheapest(request: Request, keep_going: KeepGoing, enough: int | None = None) -> Cutting:
    """The cheapest plan, ignoring the lesser aims; stop at a plan that costs no more than `enough`."""
    over = False
    priced = any(stock.price for stock in request.stocks)

    def report(progress: Progress) -> None:
        nonlocal over
        have, least = (progress.price, progress.price_bound) if priced else (progress.length, progress.length_bound)
        over = over or have <= least or (enough is not None and (have <= enough or least > enough))

    return cut(request, lambda: not over and keep_going(), report)


def _free(request: Request, staying: Mapping[int, Slot]) -> dict[Slot, int]:
    """What is left of every stretch beside the runs that stay in it; zero when nothing more fits."""
    room = {(s, n): length for s, stock in enumerate(request.stocks) for n, length in enumerate(stock.stretches)}
    for i, slot in staying.items():
        room[slot] -= request.runs[i] + request.kerf
    return {slot: max(0, left) for slot, left in room.items()}


def _slots(cutting: Cutting) -> dict[int, Slot]:
    return {i: (board.stock, n) for board in cutting.boards for n, runs in enumerate(board.stretches) for i in runs}


def _joined(request: Request, staying: Mapping[int, Slot], extra: Sequence[Board], like: Cutting) -> Cutting:
    """A plan with the runs that stay, and the boards with the new ones added."""
    held: dict[int, list[list[int]]] = {}
    for i, (s, n) in staying.items():
        held.setdefault(s, [[] for _ in request.stocks[s].stretches])[n].append(i)
    bought = []
    for board in extra:
        if request.stocks[board.stock].supply is None:
            bought.append(board)
            continue
        mine = held.setdefault(board.stock, [[] for _ in board.stretches])
        for runs, more in zip(mine, board.stretches, strict=True):
            runs += more
    owned = [Board(s, tuple(tuple(runs) for runs in stretches)) for s, stretches in sorted(held.items())]
    return _summed(request, [*owned, *bought], like)


def _summed(request: Request, boards: Sequence[Board], like: Cutting) -> Cutting:
    """A plan of these boards with the cost bounds that are known from `like`."""
    price = sum(request.stocks[board.stock].price for board in boards)
    length = sum(request.stocks[board.stock].length for board in boards)
    return replace(
        like, boards=tuple(boards), price=price, length=length,
        proof=Proof(price=like.price_bound >= price, length=like.price_bound >= price and like.length_bound >= length),
    )  # fmt: skip


def _with_stays(request: Request, cutting: Cutting, staying: Mapping[int, Slot]) -> Cutting:
    """The same plan rearranged so that many runs stay: equal boards swap their contents, runs of one size their places.

    Which run of a size goes where is optimal; which of several equal boards gets which contents is chosen greedily.
    """
    boards = _alike_boards_dealt(request, cutting.boards, staying)
    waiting: dict[int, list[int]] = {}
    for board in boards:
        for i in (i for runs in board.stretches for i in runs):
            waiting.setdefault(request.runs[i], []).append(i)
    dealt: list[list[list[int | None]]] = []
    for board in boards:  # first those that stay
        stretches: list[list[int | None]] = []
        for n, runs in enumerate(board.stretches):
            stretches.append([])
            for size in (request.runs[i] for i in runs):
                here = (i for i in waiting[size] if staying.get(i) == (board.stock, n))
                stretches[-1].append(next(here, None))
                if stretches[-1][-1] is not None:
                    waiting[size].remove(stretches[-1][-1])
        dealt.append(stretches)
    full = []
    for board, stretches in zip(boards, dealt, strict=True):  # then the others
        sizes = [[request.runs[i] for i in runs] for runs in board.stretches]
        filled = [
            tuple(waiting[size].pop(0) if stays is None else stays for size, stays in zip(*pair, strict=True))
            for pair in zip(sizes, stretches, strict=True)
        ]
        full.append(replace(board, stretches=tuple(filled)))
    return replace(cutting, boards=tuple(full))


def _alike_boards_dealt(request: Request, boards: Sequence[Board], staying: Mapping[int, Slot]) -> list[Board]:
    """Equal boards in hand, each given the contents of which the most were to lie on it."""
    bought = [board for board in boards if request.stocks[board.stock].supply is None]
    contents = [board.stretches for board in boards if request.stocks[board.stock].supply is not None]
    owned = [s for s, stock in enumerate(request.stocks) if stock.supply is not None]
    wanted = {
        (s, n): Counter(request.runs[i] for i, slot in staying.items() if slot == (s, n))
        for s in owned
        for n in range(len(request.stocks[s].stretches))
    }
    held = [[Counter(request.runs[i] for i in runs) for runs in content] for content in contents]
    fits = {board.stretches: request.stocks[board.stock].stretches for board in boards}
    pairs = [
        (sum((wanted[s, n] & inside).total() for n, inside in enumerate(held[c])), -s, -c)
        for s in owned
        for c, content in enumerate(contents)
        if request.stocks[s].stretches == fits[content]
    ]
    dealt: dict[int, Board] = {}
    used: set[int] = set()
    for _, minus_s, minus_c in sorted(pairs, reverse=True):
        s, c = -minus_s, -minus_c
        if c not in dealt and s not in used:
            dealt[c] = Board(s, contents[c])
            used.add(s)
    return [*(dealt[c] for c in sorted(dealt)), *bought]
