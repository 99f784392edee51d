"""Planning again in the middle of the work: after a spoiled piece, a new defect, or a missing board.

What is still to be cut is planned on what is really left; the dealer supplies what is missing. Least extra cost comes
first; among plans of equal cost the one with the fewest changes, counted in pieces that change their clear stretch.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from msgspec import Struct

from tracker.design.copies import sequence_of
from tracker.design.model import Build
from tracker.plan.boards.blanks import demand_of
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.one_blank import with_all_pieces
from tracker.plan.boards.plan import BoardPlan, PieceId
from tracker.plan.boards.remaining import BoardLeft, Place
from tracker.plan.boards.replanning.fewest_moves import Job
from tracker.plan.boards.replanning.fewest_moves_ripped import RippedJob
from tracker.words import say

FIRST_TURN = 60
"""How many times each question may call `keep_going` in the first turn; each later turn allows four times as many."""
TURNS = 6


class Replan(Struct, frozen=True, kw_only=True):
    """What is still to be cut, and from which boards.

    The plan's costs are extra costs: boards in hand are paid for. `moved` are the pieces that change the stretch they
    are cut from, not those that had none; no plan of the same cost moves fewer than `fewest`. `broken` are the
    sequences whose grain no longer runs on, because only some of their pieces are cut again.
    """

    plan: BoardPlan
    moved: tuple[PieceId, ...]
    fewest: int
    broken: tuple[str, ...] = ()

    @property
    def proved(self) -> bool:
        """Proved: least extra cost, and no plan of that cost changes less."""
        return self.plan.proved and len(self.moved) <= self.fewest

    @property
    def change_words(self) -> str:
        """How much changes, in words."""
        if not self.moved:
            return say("nothing else changes")
        many = (
            say("{count} pieces change their board", count=len(self.moved))
            if len(self.moved) > 1
            else say("1 piece changes its board")
        )
        least = say("no plan of that cost changes less")
        return (
            f"{many}; {least}"
            if len(self.moved) <= self.fewest
            else say("{many}; at least {fewest} must", many=many, fewest=self.fewest)
        )


def replan(
    build: Build,
    *,
    left: Sequence[BoardLeft],
    done: Collection[PieceId],
    previous: Mapping[PieceId, Place],
    keep_going: KeepGoing,
) -> Replan:
    """The best plan for what is still to be cut, found before `keep_going` returns False or nothing is left to prove.

    `left` are all boards in hand, including used-up ones, so that a new board gets a new number. `done` are the blanks
    that are cut and good; a spoiled piece is not among them. `previous` says where each piece was to be cut from; a
    place that is no longer within a clear stretch counts as not planned.
    """
    *_, last = replans(build, left=left, done=done, previous=previous, keep_going=keep_going)
    return last


def replans(
    build: Build,
    *,
    left: Sequence[BoardLeft],
    done: Collection[PieceId],
    previous: Mapping[PieceId, Place],
    keep_going: KeepGoing,
) -> Iterator[Replan]:
    """Successively better plans, like `board_plans`; the first one comes quickly."""
    begun = {sequence_of(build.part(part), piece) for part, piece in done} - {""}
    jobs: list[Job | RippedJob] = []
    for wood in build.woods:
        demand = demand_of(build, wood, done)
        if demand.runs or demand.unplaced:
            mine = [board for board in left if board.wood == wood.id]
            job = RippedJob if wood.ripped else Job
            jobs.append(job.of(build, wood, demand, mine, previous, begun))
    broken = tuple(sorted(begun & {name for job in jobs for name in job.sequences}))
    turn = FIRST_TURN
    for _ in range(TURNS):
        results = [job.run(turn, keep_going) for job in jobs]
        again = Replan(
            plan=with_all_pieces(build, BoardPlan(woods=tuple(result.plan for result in results)), done),
            moved=tuple(piece for result in results for piece in result.moved),
            fewest=sum(result.fewest for result in results),
            broken=broken,
        )
        yield again
        if again.proved or not keep_going():
            return
        turn *= 4
