"""From a request to boards with runs on them: what can be placed, the search, and assembling the boards."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.solver.assemble import Board, assemble, rack_boards_used
from tracker.plan.boards.solver.longest_offcut import LongestOffcut
from tracker.plan.boards.solver.master import Counts
from tracker.plan.boards.solver.problem import Cuts, Request, Stock, Task, make_task
from tracker.plan.boards.solver.solve import Bench, Search, Solution, first_solution, least_cost


class Proof(Struct, frozen=True):
    """How far down the list of aims the plan is proved to be the best."""

    price: bool = False
    length: bool = False
    boards: bool = False
    offcut: bool = False


class Cutting(Struct, frozen=True, kw_only=True):
    """A complete plan, and what is proved about it.

    No plan costs less than `price_bound`; none that costs no more buys less than `length_bound`. `unplaced` are runs
    (indices) that no available board can hold; the plan is the best for the others.
    """

    boards: tuple[Board, ...]
    unplaced: tuple[int, ...] = ()
    price: int = 0
    length: int = 0
    price_bound: int = 0
    length_bound: int = 0
    proof: Proof = Proof(True, True, True, True)


class Progress(Struct, frozen=True):
    """What is known so far: the price and bought length of the best plan, and their bounds."""

    price: int
    length: int
    price_bound: int
    length_bound: int


def _nothing(_: Progress) -> None:
    return None


def cut(request: Request, keep_going: KeepGoing, report: Callable[[Progress], None] = _nothing) -> Cutting:
    """The best plan found before `keep_going` returns False; the first plan exists before it is called.

    Aims, in this order: least cost, least bought length, fewest boards, longest single offcut.
    """
    runs = range(len(request.runs))
    endless = max((s.stretches[0] for s in request.stocks if s.supply is None and s.stretches), default=-1)
    long = [i for i in runs if request.runs[i] > endless]
    placed, unplaced, certain = _place_long(request, long, keep_going) if long else ((), (), True)
    wanted = [i for i in runs if i not in set(unplaced)]
    if not wanted:
        return Cutting(boards=(), unplaced=unplaced, proof=Proof(certain, certain, certain, certain))
    task = make_task(request, wanted)
    loose = task.loose()
    start = _start(request, task, loose, placed)

    def tell(solution: Solution) -> None:
        report(Progress(*divmod(solution.cost, task.per_price), *divmod(solution.bound, task.per_price)))

    first = first_solution(loose, start, tell, keep_going)
    bench = Bench(task)
    cheapest = least_cost(loose, bench, first, tell, keep_going)
    solution, proof = _refine(task, loose, bench, cheapest, keep_going)
    return _cutting(request, task, wanted, unplaced, solution, cheapest, proof if certain else Proof())


def _place_long(
    request: Request, long: Sequence[int], keep_going: KeepGoing
) -> tuple[tuple[Board, ...], tuple[int, ...], bool]:
    """Place runs that no purchasable board can hold: as much of their length as possible is laid on the rack.

    The same search is used, with boards of exactly the wanted sizes "for sale" at their length: what lies on those is
    unplaced. Returns what lies on the rack, what is unplaced, and whether it is certain that no more can be placed.
    """
    rack = tuple(replace(s, price=0, length=0) for s in request.stocks if s.supply is not None)
    nowhere = tuple(Stock(stretches=(size,), length=size) for size in sorted({request.runs[i] for i in long}))
    both = Request(runs=request.runs, kerf=request.kerf, stocks=rack + nowhere)
    task = make_task(both, long)
    loose = task.loose()
    first = first_solution(loose, (), lambda _: None, keep_going)
    solution = least_cost(loose, Bench(task), first, lambda _: None, keep_going)
    boards = assemble(both, task, _with_rack(task, loose, solution), solution.layout, long)
    owned = [index for index, s in enumerate(request.stocks) if s.supply is not None]
    placed = tuple(replace(b, stock=owned[b.stock]) for b in boards if b.stock < len(rack))
    unplaced = sorted(i for b in boards if b.stock >= len(rack) for runs in b.stretches for i in runs)
    return placed, tuple(unplaced), solution.proved


def _start(request: Request, task: Task, loose: Task, placed: tuple[Board, ...]) -> Cuts:
    """What `_place_long` laid on the rack, as cuts of the loose task."""
    size = sorted({request.runs[i] + request.kerf for board in placed for runs in board.stretches for i in runs})
    if not size:
        return ()
    index = {length * task.unit: i for i, length in enumerate(task.sizes)}
    kind_of = {kind.stretches[0][0]: k for k, kind in enumerate(loose.kinds) if kind.supply is not None}
    cuts = []
    for board in placed:
        for room, runs in zip(request.stocks[board.stock].stretches, board.stretches, strict=True):
            if runs:
                counts: dict[int, int] = {}
                for i in runs:
                    at = index[request.runs[i] + request.kerf]
                    counts[at] = counts.get(at, 0) + 1
                capacity = task.capacities.index((room + request.kerf) // task.unit)
                cuts.append((kind_of[capacity], tuple(sorted(counts.items()))))
    return tuple(cuts)


def _with_rack(task: Task, loose: Task, solution: Solution) -> Counts:
    """The counts of a loose solution in boards: what is bought, and the rack boards that its layout needs."""
    counts = [0] * len(task.kinds)
    for k, mine in zip(task.bought, loose.bought, strict=True):
        counts[k] = solution.counts[mine]
    return rack_boards_used(task, counts, solution.layout)


def _refine(task: Task, loose: Task, bench: Bench, cheapest: Solution, keep_going: KeepGoing) -> tuple[Solution, Proof]:
    """The fewest boards and the longest offcut, once the cost is proved."""
    counts = _with_rack(task, loose, cheapest)
    price = cheapest.bound // task.per_price >= cheapest.cost // task.per_price
    if not cheapest.proved:
        return replace(cheapest, counts=counts), Proof(price=price)
    boards = task.counting_boards(1 + sum(task.demand) + sum(kind.supply or 0 for kind in task.kinds))
    cost = boards.cost_of(counts)
    start = Solution(counts, cheapest.layout, cost, cost - sum(counts) + 1)
    fewest = Search(bench, boards, start, lambda _: None).run(keep_going)
    if not fewest.proved:
        return fewest, Proof(price=True, length=True)
    offcut = LongestOffcut(boards, bench, fewest, keep_going)
    return offcut.run(), Proof(True, True, True, offcut.proved)


def _cutting(
    request: Request,
    task: Task,
    wanted: Sequence[int],
    unplaced: tuple[int, ...],
    solution: Solution,
    cheapest: Solution,
    proof: Proof,
) -> Cutting:
    boards = assemble(request, task, solution.counts, solution.layout, wanted)
    price = sum(request.stocks[b.stock].price for b in boards)
    length = sum(request.stocks[b.stock].length for b in boards)
    price_bound, length_bound = divmod(cheapest.bound, task.per_price)
    if price_bound < price:  # the bound on length holds only at the cheapest price
        length_bound = 0
    return Cutting(
        boards=boards,
        unplaced=unplaced,
        price=price,
        length=length,
        price_bound=price_bound,
        length_bound=length_bound,
        proof=proof,
    )
