"""Planning again in the middle of the work: after a spoiled piece, a new defect, a board that isn't there.

What is still to be cut is planned from what is really left, the dealer for what is missing. Least extra cost comes
first; among plans of that cost the one that changes the least, counted in pieces that change their clear stretch.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from tracker.design.model import Build, Wood
from tracker.measure import Length
from tracker.plan.boards.assemble import Board
from tracker.plan.boards.blanks import BlankLength, Run, Wanted, blank_length, wanted_of
from tracker.plan.boards.cutting import Cutting, Progress, Proof, cut
from tracker.plan.boards.left import BoardLeft, Place
from tracker.plan.boards.moves import Bin, Load, Offer, fewest_moves
from tracker.plan.boards.nesting import ends_of, laid_again, nests, saved_by_sharing
from tracker.plan.boards.order import Order, at_the_dealer, in_hand, order, placed, surely_fitting, wood_plan
from tracker.plan.boards.plan import BoardPlan, CutBoard, Offcut, PieceId, PlacedPiece, WoodPlan
from tracker.plan.boards.planner import allowance
from tracker.plan.boards.ripped import RippedOrder
from tracker.plan.boards.stop import KeepGoing
from tracker.plan.boards.task import Request

FIRST_TURN = 60
"""Times that each question may ask whether to go on, in the first turn; each later turn is four times as long."""
TURNS = 6

Slot = tuple[int, int]
"""A clear stretch: the index of its stock, and which of that stock's stretches it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Replan:
    """What is still to be cut and from what.

    The plan's costs are extra costs: boards in hand are paid for. `moved` are the pieces that change the stretch they
    are cut from, not those that had none; no plan of the same cost moves fewer than `fewest`. `broken` are the
    sequences whose grain no longer runs on, because only some of their pieces are cut anew.
    """

    plan: BoardPlan
    moved: tuple[PieceId, ...]
    fewest: int
    broken: tuple[str, ...] = ()

    @property
    def proved(self) -> bool:
        """Least extra cost, and no plan of that cost changes less."""
        return self.plan.proved and len(self.moved) <= self.fewest

    @property
    def standing(self) -> str:
        """How much changes, in words."""
        if not self.moved:
            return "nothing else changes"
        many = f"{len(self.moved)} pieces change their board" if len(self.moved) > 1 else "1 piece changes its board"
        least = "no plan of that cost changes less"
        return f"{many}; {least if len(self.moved) <= self.fewest else f'at least {self.fewest} must'}"


def replan(
    build: Build,
    length_of: BlankLength = blank_length,
    *,
    left: Sequence[BoardLeft],
    done: Collection[PieceId],
    previous: Mapping[PieceId, Place],
    keep_going: KeepGoing,
) -> Replan:
    """The best plan found for what is still to be cut until `keep_going` says no, or until nothing is left to prove.

    `left` are all boards in hand, the used-up ones too, so that a new board gets a new number. `done` are the blanks
    that are cut and good; a spoiled piece is not among them. `previous` says where each piece was to be cut from; what
    lies no longer within a clear stretch counts as not planned.
    """
    *_, last = replans(build, length_of, left=left, done=done, previous=previous, keep_going=keep_going)
    return last


def replans(
    build: Build,
    length_of: BlankLength = blank_length,
    *,
    left: Sequence[BoardLeft],
    done: Collection[PieceId],
    previous: Mapping[PieceId, Place],
    keep_going: KeepGoing,
) -> Iterator[Replan]:
    """Ever better plans, as `board_plans`; the first one soon."""
    begun = {build.part(part).sequence for part, _ in done} - {""}
    jobs: list[_Job | _RippedJob] = []
    for wood in build.woods:
        wanted = wanted_of(build, wood, length_of, done)
        if wanted.runs or wanted.unplaced:
            mine = [board for board in left if board.wood == wood.id]
            job = _RippedJob if wood.ripped else _Job
            jobs.append(job.of(build, wood, wanted, mine, previous, begun))
    broken = tuple(sorted(begun & {name for job in jobs for name in job.sequences}))
    turn = FIRST_TURN
    for _ in range(TURNS):
        results = [job.run(turn, keep_going) for job in jobs]
        again = Replan(
            plan=BoardPlan(woods=tuple(result.plan for result in results)),
            moved=tuple(piece for result in results for piece in result.moved),
            fewest=sum(result.fewest for result in results),
            broken=broken,
        )
        yield again
        if again.proved or not keep_going():
            return
        turn *= 4


@dataclass(frozen=True, slots=True)
class _Result:
    plan: WoodPlan
    moved: tuple[PieceId, ...]
    fewest: int


@dataclass(slots=True)
class _Job:
    """One wood: its order, and the stretch in which each run was to lie, if it can still lie there.

    `fixed` are the rests of sequences that are partly cut and run on where they are, and of rows that share cuts:
    nobody would cut them elsewhere.
    """

    order: Order
    old: Mapping[int, Slot | None]
    first_number: int
    fixed: Sequence[tuple[BoardLeft, Run, Length]]

    @classmethod
    def of(
        cls,
        build: Build,
        wood: Wood,
        wanted: Wanted,
        left: Sequence[BoardLeft],
        previous: Mapping[PieceId, Place],
        begun: Collection[str],
    ) -> _Job:
        fixed, others = [], []
        shared = _sharing_cuts(build, wanted.runs, left, previous)
        for i, run in enumerate(wanted.runs):
            lies = _lies(run, left, previous) if run.sequence in begun else shared.get(i)
            if lies is None:
                others.append(run)
            else:
                fixed.append((left[lies.board], run, lies.start))
        taken = [Place(board=board.key, at=start, length=run.length) for board, run, start in fixed]
        boards = [board.without(taken, build.shop.kerf) for board in left]
        mine = order(build, wood, replace(wanted, runs=tuple(others)), (*at_the_dealer(build, wood), *in_hand(boards)))
        if mine.slants:
            mine = replace(mine, request=surely_fitting(mine))
        first = len(mine.have) - len(boards)
        found = {i: _lies(run, boards, previous) for i, run in enumerate(others)}
        old = {i: (first + lies.board, lies.stretch) if lies else None for i, lies in found.items()}
        return cls(mine, old, 1 + max((_number(board.key, wood) for board in left), default=0), fixed)

    @property
    def sequences(self) -> set[str]:
        """Those that are cut anew."""
        return {run.sequence for run in self.order.wanted.runs}

    def run(self, turn: int, keep_going: KeepGoing) -> _Result:
        """The least cost, and then the fewest moves at that cost."""
        request = self.order.request
        cheapest = _cheapest(request, allowance(turn, keep_going))
        unplaced = set(cheapest.unplaced)
        staying = {i: slot for i, slot in self.old.items() if slot is not None and i not in unplaced}
        untouched = self._all_stay(staying, unplaced, cheapest, allowance(turn, keep_going))
        if untouched is not None:
            return self._result(untouched, staying, 0)
        plain = self._moved(cheapest, staying)
        better, fewest = self._search(staying, unplaced, cheapest, plain, allowance(turn, keep_going))
        return self._result(better or _with_stays(request, cheapest, staying), staying, fewest)

    def _result(self, cutting: Cutting, staying: Mapping[int, Slot], fewest: int) -> _Result:
        at = _slots(cutting)
        moved = tuple(
            blank.id for i, slot in staying.items() if at[i] != slot for blank in self.order.wanted.runs[i].blanks
        )
        plan = wood_plan(self.order, cutting, self.first_number)
        for board, run, start in self.fixed:
            plan = _with_fixed(self.order.build, plan, board, run, start)
        return _Result(plan, moved, fewest)

    def _moved(self, cutting: Cutting, staying: Mapping[int, Slot]) -> int:
        at = _slots(_with_stays(self.order.request, cutting, staying))
        return sum(len(self.order.wanted.runs[i].laid) for i, slot in staying.items() if at[i] != slot)

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

    def _search(
        self,
        staying: Mapping[int, Slot],
        unplaced: set[int],
        cheapest: Cutting,
        known: int,
        keep_going: KeepGoing,
    ) -> tuple[Cutting | None, int]:
        """A plan with fewer moves than are `known`, if one is found, and how few any plan needs at least."""
        request, runs = self.order.request, self.order.wanted.runs
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


@dataclass(slots=True)
class _RippedJob:
    """One wood that is ripped. What was planned stays and the rest is planned beside it, unless planning all of it anew
    is cheaper; how few must move is not worked out then.

    A piece whose section is cut already lies in its lane, and stays there.
    """

    beside: RippedOrder
    anew: RippedOrder
    staying: Mapping[PieceId, Place]
    in_lanes: Mapping[PieceId, Place]
    left: Sequence[BoardLeft]

    @classmethod
    def of(
        cls,
        build: Build,
        wood: Wood,
        wanted: Wanted,
        left: Sequence[BoardLeft],
        previous: Mapping[PieceId, Place],
        begun: Collection[str],
    ) -> _RippedJob:
        keys = {board.key for board in left}
        old = {
            blank.id: place
            for run in wanted.runs
            for blank in run.blanks
            if (place := previous.get(blank.id)) is not None and place.board in keys
        }
        clear = {piece for piece, place in old.items() if _slot_of(place, left) is not None}
        staying = {piece: place for piece, place in old.items() if piece in clear}
        in_lanes = {piece: place for piece, place in old.items() if piece not in clear}
        first = 1 + max((_number(board.key, wood) for board in left), default=0)

        def without(pieces: Collection[PieceId], boards: Sequence[BoardLeft]) -> RippedOrder:
            runs = tuple(run for run in wanted.runs if not all(blank.id in pieces for blank in run.blanks))
            have = (*at_the_dealer(build, wood), *in_hand(boards))
            return RippedOrder.of(build, wood, replace(wanted, runs=runs), have, first)

        rest = [board.without(staying.values(), build.shop.kerf) for board in left]
        return cls(without(old, rest), without(in_lanes, left), staying, in_lanes, left)

    @property
    def sequences(self) -> set[str]:
        return {run.sequence for run in self.beside.whole}

    def run(self, turn: int, keep_going: KeepGoing) -> _Result:
        """Nothing moves where that costs no more."""
        beside = self.beside.plan(allowance(turn, keep_going))
        if beside.proved and not beside.bought:
            return _Result(self._with(beside, {**self.staying, **self.in_lanes}), (), 0)
        anew = self.anew.plan(allowance(turn, keep_going))
        if (len(beside.unplaced), beside.cost or 0, beside.bought) <= (len(anew.unplaced), anew.cost or 0, anew.bought):
            bounds = replace(beside, cost_bound=anew.cost_bound, bought_bound=anew.bought_bound, proof=anew.proof)
            return _Result(self._with(bounds, {**self.staying, **self.in_lanes}), (), 0)
        plan = self._with(anew, self.in_lanes)
        moved = tuple(
            piece.id
            for board in plan.boards
            for piece in board.pieces
            if piece.id in self.staying
            and _slot_of(Place(board=board.key, at=piece.at, length=piece.length), self.left)
            != _slot_of(self.staying[piece.id], self.left)
        )
        return _Result(plan, moved, 0)

    def _with(self, plan: WoodPlan, lying: Mapping[PieceId, Place]) -> WoodPlan:
        """The plan with the pieces that stay where they lie."""
        boards = {board.key: board for board in plan.boards}
        for left in self.left:
            stay = [
                PlacedPiece(
                    part=part, piece=piece, at=place.at, length=place.length, across=place.across, width=place.width
                )
                for (part, piece), place in lying.items()
                if place.board == left.key
            ]
            if stay:
                boards[left.key] = _full_board(self.beside.build, left, (*_pieces_of(boards.get(left.key)), *stay))
        return replace(plan, boards=tuple(boards.values()))


def _slot_of(place: Place, left: Sequence[BoardLeft]) -> Slot | None:
    """The board and the clear stretch that hold a place."""
    for b, board in enumerate(left):
        if board.key == place.board:
            for n, stretch in enumerate(board.stretches):
                if stretch.start <= place.at and place.end <= stretch.end:
                    return b, n
    return None


def _pieces_of(board: CutBoard | None) -> tuple[PlacedPiece, ...]:
    return board.pieces if board else ()


def _number(key: str, wood: Wood) -> int:
    """The number of a board that was bought; 0 for others."""
    first, _, last = key.rpartition("/")
    return int(last) if first == wood.id and last.isdecimal() else 0


@dataclass(frozen=True, slots=True)
class _Lies:
    """Where a run lies: indices of its board and of the stretch, and where it begins."""

    board: int
    stretch: int
    start: Length


def _lies(run: Run, left: Sequence[BoardLeft], previous: Mapping[PieceId, Place]) -> _Lies | None:
    """Where the run was to lie, if all of it is clear there still and its pieces are laid as they are in it."""
    lay = [previous.get(each.blank.id) for each in run.laid]
    first = lay[0]
    if first is None:
        return None
    start = first.at - run.laid[0].at
    for place, each in zip(lay, run.laid, strict=True):
        if place is None or place.board != first.board or place.at != start + each.at:
            return None
    for b, board in enumerate(left):
        if board.key == first.board:
            for n, stretch in enumerate(board.stretches):
                if stretch.start <= start and start + run.length <= stretch.end:
                    return _Lies(b, n, start)
    return None


def _sharing_cuts(
    build: Build, runs: Sequence[Run], left: Sequence[BoardLeft], previous: Mapping[PieceId, Place]
) -> dict[int, _Lies]:
    """What is left of rows that are partly cut, by run: a cut that the first has shared has made its end already."""
    if not build.shop.nest_miters:
        return {}
    kerf = build.shop.kerf
    found: dict[int, _Lies] = {}
    last: dict[str, Length] = {}
    lying = [(place.at, i, place) for i, run in enumerate(runs) if (place := previous.get(run.blanks[0].id))]
    for at, i, place in sorted(lying):
        part = build.part(runs[i].blanks[0].part)
        if len(runs[i].laid) > 1 or not nests(build, part):
            continue
        tip = max(saved_by_sharing(kerf, part.width, end.miter) for end in ends_of(build, part.id, 1))
        for b, board in enumerate(left):
            for n, stretch in enumerate(board.stretches) if board.key == place.board else ():
                begun = at < stretch.start <= at + tip and place.end <= stretch.end
                if begun or (board.key in last and at < last[board.key] + kerf):
                    found[i] = _Lies(b, n, at)
                    last[board.key] = place.end
    return found


def _with_fixed(build: Build, plan: WoodPlan, board: BoardLeft, run: Run, start: Length) -> WoodPlan:
    """The plan with a run added where it lies, on a board that the plan has without that place, or not at all."""
    mine = _pieces_of(next((each for each in plan.boards if each.key == board.key), None))
    full = _full_board(build, board, (*mine, *(placed(each, start) for each in run.laid)))
    full = replace(full, pieces=laid_again(build, full.pieces))
    return replace(plan, boards=(full, *(each for each in plan.boards if each.key != board.key)))


def _full_board(build: Build, board: BoardLeft, pieces: Sequence[PlacedPiece]) -> CutBoard:
    """What is left of a board with all that is to be cut from it."""
    ordered = sorted(pieces, key=lambda piece: (piece.at, piece.across))
    gone = [Place(board=board.key, at=piece.at, length=piece.length) for piece in ordered]
    rest = board.without(gone, build.shop.kerf)
    return CutBoard(
        key=board.key, wood=board.wood, source=board.source, name=board.name, length=board.length, price=None,
        stretches=board.stretches, pieces=tuple(ordered), begins=board.begins, width=build.wood(board.wood).width,
        offcuts=tuple(Offcut(at=stretch.start, length=stretch.length) for stretch in rest.stretches),
    )  # fmt: skip


def _cost(request: Request, cutting: Cutting) -> int:
    """Money, or length where no prices are known."""
    return cutting.price if any(stock.price for stock in request.stocks) else cutting.length


def _cheapest(request: Request, keep_going: KeepGoing, enough: int | None = None) -> Cutting:
    """The cheapest plan; the lesser aims are left alone, and a plan that costs no more than `enough` will do."""
    over = False
    priced = any(stock.price for stock in request.stocks)

    def report(progress: Progress) -> None:
        nonlocal over
        have, least = (progress.price, progress.price_bound) if priced else (progress.length, progress.length_bound)
        over = over or have <= least or (enough is not None and (have <= enough or least > enough))

    return cut(request, lambda: not over and keep_going(), report)


def _free(request: Request, staying: Mapping[int, Slot]) -> dict[Slot, int]:
    """What is left of every stretch beside the runs that stay in it; nought when nothing more goes in."""
    room = {(s, n): length for s, stock in enumerate(request.stocks) for n, length in enumerate(stock.stretches)}
    for i, slot in staying.items():
        room[slot] -= request.runs[i] + request.kerf
    return {slot: max(0, left) for slot, left in room.items()}


def _slots(cutting: Cutting) -> dict[int, Slot]:
    return {i: (board.stock, n) for board in cutting.boards for n, runs in enumerate(board.stretches) for i in runs}


def _joined(request: Request, staying: Mapping[int, Slot], extra: Sequence[Board], like: Cutting) -> Cutting:
    """The runs that stay, and beside them the boards with the new ones."""
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
    """A plan of these boards that costs what `like` does, with the bounds that are known of that."""
    price = sum(request.stocks[board.stock].price for board in boards)
    length = sum(request.stocks[board.stock].length for board in boards)
    return replace(
        like, boards=tuple(boards), price=price, length=length,
        proof=Proof(price=like.price_bound >= price, length=like.price_bound >= price and like.length_bound >= length),
    )  # fmt: skip


def _with_stays(request: Request, cutting: Cutting, staying: Mapping[int, Slot]) -> Cutting:
    """The same plan, dealt out so that many stay: alike boards change their contents, runs of one size their places.

    Which run of a size lies where is settled at best; which of several alike boards holds what, one by one, most first.
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
    """Boards in hand that are alike, each with the contents of which the most were to lie on it."""
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
