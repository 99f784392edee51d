"""Replanning one ripped wood."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, Wood
from tracker.plan.boards.blanks import Demand
from tracker.plan.boards.cancel import KeepGoing, allowance
from tracker.plan.boards.plan import PieceId, WoodPlan
from tracker.plan.boards.remaining import BoardLeft, Place
from tracker.plan.boards.replanning.positions import Result, board_number, full_board, pieces_of, slot_of
from tracker.plan.boards.rip import MixedOrder, RippedOrder, ripped_order
from tracker.plan.boards.wood_problem import at_the_dealer


class RippedJob(Struct):
    """One wood that is ripped. What was planned stays and the rest is planned beside it, unless a completely new plan
    is cheaper; in that case the fewest moves aren't computed.

    A piece whose section has already been cut off lies in its lane, and stays there.
    """

    beside: RippedOrder | MixedOrder
    anew: RippedOrder | MixedOrder
    staying: Mapping[PieceId, Place]
    in_lanes: Mapping[PieceId, Place]
    left: Sequence[BoardLeft]

    @classmethod
    def of(
        cls,
        build: Build,
        wood: Wood,
        demand: Demand,
        left: Sequence[BoardLeft],
        previous: Mapping[PieceId, Place],
        begun: Collection[str],
    ) -> RippedJob:
        keys = {board.key for board in left}
        old = {
            blank.id: place
            for run in demand.runs
            if all(blank.id in previous for blank in run.blanks)
            for blank in run.blanks
            if (place := previous[blank.id]).board in keys
        }
        clear = {piece for piece, place in old.items() if slot_of(place, left) is not None}
        staying = {piece: place for piece, place in old.items() if piece in clear}
        in_lanes = {piece: place for piece, place in old.items() if piece not in clear}
        first = 1 + max((board_number(board.key, wood) for board in left), default=0)

        def without(pieces: Collection[PieceId], boards: Sequence[BoardLeft]) -> RippedOrder | MixedOrder:
            runs = tuple(run for run in demand.runs if not all(blank.id in pieces for blank in run.blanks))
            have = (*at_the_dealer(build, wood), *boards)
            return ripped_order(build, wood, replace(demand, runs=runs), have, first)

        rest = [board.without(staying.values(), build.shop.kerf) for board in left]
        return cls(without(old, rest), without(in_lanes, left), staying, in_lanes, left)

    @property
    def sequences(self) -> set[str]:
        return {run.sequence for run in self.beside.whole}

    def run(self, turn: int, keep_going: KeepGoing) -> Result:
        """The plan in which nothing moves, unless another costs less."""
        beside = self.beside.plan(allowance(turn, keep_going))
        if beside.proved and not beside.bought:
            return Result(self._with(beside, {**self.staying, **self.in_lanes}), (), 0)
        anew = self.anew.plan(allowance(turn, keep_going))
        if (len(beside.unplaced), beside.cost or 0, beside.bought) <= (len(anew.unplaced), anew.cost or 0, anew.bought):
            bounds = replace(beside, cost_bound=anew.cost_bound, bought_bound=anew.bought_bound, proof=anew.proof)
            return Result(self._with(bounds, {**self.staying, **self.in_lanes}), (), 0)
        plan = self._with(anew, self.in_lanes)
        moved = tuple(
            piece.id
            for board in plan.boards
            for piece in board.pieces
            if piece.id in self.staying
            and slot_of(Place.of(board.key, piece), self.left) != slot_of(self.staying[piece.id], self.left)
        )
        return Result(plan, moved, 0)

    def _with(self, plan: WoodPlan, lying: Mapping[PieceId, Place]) -> WoodPlan:
        """The plan with the pieces that stay where they are."""
        boards = {board.key: board for board in plan.boards}
        for left in self.left:
            stay = [place.placed(piece) for piece, place in lying.items() if place.board == left.key]
            if stay:
                boards[left.key] = full_board(self.beside.build, left, (*pieces_of(boards.get(left.key)), *stay))
        return replace(plan, boards=tuple(boards.values()))
