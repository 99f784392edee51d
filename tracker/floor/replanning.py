"""Planning again after a piece was spoiled: the question to the planner, and what is kept of its answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build
from tracker.floor.boards import blanks_of, followed, key_of, laid_out
from tracker.floor.cut_progress import AtTheSaw, CutBlank, all_at_the_saw, boards_at_hand, cut_from
from tracker.floor.floor import Floor
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan.boards import CutBoard, PlacedPiece
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.plan import PieceId
from tracker.plan.boards.remaining import HAIR, BoardLeft, Place
from tracker.plan.boards.replanning import Replan, replans
from tracker.work.run import item_key


class ReplanRequest(Struct, frozen=True, kw_only=True):
    """The arguments of `plan.boards.replan`: the boards in hand, what is cut and good, where the rest was to come
    from."""

    left: tuple[BoardLeft, ...]
    done: frozenset[PieceId]
    previous: Mapping[PieceId, Place]
    shared: frozenset[str] = frozenset()
    """The boards on which pieces lie side by side or share cuts, so that a missing one may touch its neighbour."""
    spoiled: tuple[CutBlank, ...] = ()
    """The places of spoiled pieces."""
    resized: frozenset[PieceId] = frozenset()
    """Pieces that the build file wants longer or shorter than the current plan has them."""


class BoardProposal(Struct, frozen=True, kw_only=True):
    """What can be done about lost pieces: plan only them, so that nothing else changes, or replan everything still to
    be cut.

    `least_change` is the first answer, where pieces are lost; `least_cost` is the second, where it costs less (or is
    the only one).
    """

    least_change: Replan | None
    least_cost: Replan | None

    def chosen(self, cheaper: bool) -> Replan:
        """The answer of least cost if it is asked for, or is the only one."""
        found = (
            self.least_cost
            if self.least_cost is not None and (cheaper or self.least_change is None)
            else self.least_change
        )
        assert found is not None
        return found


def only_lost(request: ReplanRequest, kerf: Length) -> ReplanRequest:
    """The same question for the lost pieces alone: the others keep their places."""
    lost = frozenset(lost_pieces(request))
    kept = {piece: place for piece, place in request.previous.items() if piece not in lost}
    left = tuple(board.without(kept.values(), kerf) for board in request.left)
    clear = tuple(replace(b, stretches=tuple(s for s in b.stretches if s.length > HAIR)) for b in left)
    return ReplanRequest(left=clear, done=request.done | frozenset(kept), previous={})


def new_plans(build: Build, request: ReplanRequest, *, keep_going: KeepGoing) -> Iterator[BoardProposal]:
    """Successively better answers: first those that change nothing else, then cheaper ones, if any."""

    def answers(question: ReplanRequest) -> Iterator[Replan]:
        return replans(build, left=question.left, done=question.done, previous=question.previous, keep_going=keep_going)

    least_change = None
    if lost_pieces(request):
        for least_change in answers(only_lost(request, build.shop.kerf)):
            yield BoardProposal(least_change=least_change, least_cost=None)
    for least_cost in answers(request):
        if least_change is None or is_cheaper(least_cost, least_change):
            yield BoardProposal(least_change=least_change, least_cost=least_cost)


def is_cheaper(one: Replan, other: Replan) -> bool:
    """Whether a plan leaves fewer pieces without a board, or costs less, or, without prices, buys less."""

    def rank(answer: Replan) -> tuple[int, Decimal, Length]:
        bought = sum((wood.bought for wood in answer.plan.woods if wood.cost is None), ZERO)
        return len(answer.plan.unplaced), answer.plan.cost, bought

    return rank(one) < rank(other)


def replan_request(floor: Floor) -> ReplanRequest:
    """The question for the present state of the shop."""
    saws = all_at_the_saw(floor, followed(floor.run, floor.state))
    done = frozenset((item.id, item.number) for item in floor.run.pieces if cut_from(floor, item.key) is not None)
    previous = {
        piece.id: Place(board=saw.board.key, at=piece.at, length=piece.length)
        for saw in saws
        for piece in saw.left.pieces
    }
    return ReplanRequest(
        left=tuple(boards_at_hand(floor, saws)),
        done=done,
        previous=previous,
        shared=frozenset(saw.board.key for saw in saws if saw.shared),
        spoiled=tuple(away for saw in saws for away in saw.spoiled),
        resized=frozenset(piece.id for saw in saws for piece in saw.left.pieces if _resized(floor, piece)),
    )


def _resized(floor: Floor, piece: PlacedPiece) -> bool:
    """Whether a piece has changed its size. A piece of a sheet without grain may lie across, with its width along the
    board."""
    part = floor.run.build.part(piece.part)
    sides = (*blanks_of(floor.run.build, part, piece.piece), part.width)
    return all(abs(piece.length - side) > HAIR for side in sides)


def started(floor: Floor) -> bool:
    """Whether something was already cut, so that only the rest is planned."""
    return any(
        cut_from(floor, item.key) is not None or floor.state.spoils(floor.run, item) for item in floor.run.pieces
    )


def needed(floor: Floor) -> bool:
    """Whether a piece still to be cut is planned where the wood is gone."""
    return bool(floor.state.boards(floor.run)) and bool(lost_pieces(replan_request(floor)))


def lost_pieces(request: ReplanRequest) -> tuple[PieceId, ...]:
    """The pieces planned where the wood is gone, or where they no longer fit."""
    clear = {board.key: board for board in request.left}

    def lost(piece: PieceId, place: Place) -> bool:
        if piece in request.resized:
            return True
        if place.board in request.shared:
            mine = (away.place for away in request.spoiled if away.item == item_key(*piece))
            return any(gone.board == place.board and abs(gone.at - place.at) < HAIR for gone in mine)
        return not _lies(place, clear.get(place.board))

    return tuple(piece for piece, place in request.previous.items() if lost(piece, place))


def _lies(place: Place, board: BoardLeft | None) -> bool:
    return board is not None and any(
        stretch.start - HAIR < place.at and place.end < stretch.end + HAIR for stretch in board.stretches
    )


def to_follow(floor: Floor, answer: Replan) -> tuple[CutBoard, ...]:
    """All boards from now on: those of the current plan with what was cut from them, what stays, and those of the
    answer."""
    planned = {board.key: board for board in laid_out(answer.plan)}
    replanned = {piece.id for board in planned.values() for piece in board.pieces}
    replanned |= {(each.part, each.piece) for each in answer.plan.unplaced}
    saws = all_at_the_saw(floor, followed(floor.run, floor.state))
    kept = [_joined(saw, planned.pop(saw.board.key, None), replanned) for saw in saws]
    return (*kept, *planned.values())


def _joined(saw: AtTheSaw, again: CutBoard | None, replanned: set[PieceId]) -> CutBoard:
    cut = [piece for piece in saw.board.pieces if key_of(piece) in saw.cut]
    stay = [piece for piece in saw.left.pieces if piece.id not in replanned]
    coming = again.pieces if again else ()
    return replace(saw.board, pieces=tuple(sorted((*cut, *stay, *coming), key=lambda piece: piece.at)))
