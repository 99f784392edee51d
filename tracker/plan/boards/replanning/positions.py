"""Where pieces were planned, whether they can still go there, and boards with the pieces that stay on them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, Wood
from tracker.measure import Length
from tracker.plan.boards.blanks import Batch
from tracker.plan.boards.nesting import ends_of, nests, saved_by_sharing
from tracker.plan.boards.plan import CutBoard, Offcut, PieceId, PlacedPiece, WoodPlan
from tracker.plan.boards.remaining import BoardLeft, Place

Slot = tuple[int, int]
"""A clear stretch: the index of its board or stock, and the index of the stretch."""


class Result(Struct, frozen=True):
    """The plan of one wood, the pieces that change their stretch, and the fewest that must."""

    plan: WoodPlan
    moved: tuple[PieceId, ...]
    fewest: int


def slot_of(place: Place, left: Sequence[BoardLeft]) -> Slot | None:
    """The board and the clear stretch that contain a place."""
    for b, board in enumerate(left):
        if board.key == place.board:
            for n, stretch in enumerate(board.stretches):
                if stretch.start <= place.at and place.end <= stretch.end:
                    return b, n
    return None


def pieces_of(board: CutBoard | None) -> tuple[PlacedPiece, ...]:
    """The pieces on a board, if there is one."""
    return board.pieces if board else ()


def board_number(key: str, wood: Wood) -> int:
    """The number of a bought board; 0 for others."""
    first, _, last = key.rpartition("/")
    return int(last) if first == wood.id and last.isdecimal() else 0


class Lies(Struct, frozen=True):
    """Where a run lies: the indices of its board and of the stretch, and where it begins."""

    board: int
    stretch: int
    start: Length


def where_it_lies(run: Batch, left: Sequence[BoardLeft], previous: Mapping[PieceId, Place]) -> Lies | None:
    """Where the run was planned, if all of that is still clear and its pieces are laid as they are in the run."""
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
                    return Lies(b, n, start)
    return None


def sharing_cuts(
    build: Build, runs: Sequence[Batch], left: Sequence[BoardLeft], previous: Mapping[PieceId, Place]
) -> dict[int, Lies]:
    """The remaining blanks of partly cut rows that share cuts, by run: the shared cut has already made an end of the
    next blank."""
    if not build.shop.nest_miters:
        return {}
    kerf = build.shop.kerf
    found: dict[int, Lies] = {}
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
                    found[i] = Lies(b, n, at)
                    last[board.key] = place.end
    return found


def with_fixed(build: Build, plan: WoodPlan, board: BoardLeft, stay: Sequence[PlacedPiece]) -> WoodPlan:
    """The plan with pieces added at their places, on a board that the plan has without them, or doesn't have at all."""
    mine = pieces_of(next((each for each in plan.boards if each.key == board.key), None))
    full = full_board(build, board, (*mine, *stay))
    return replace(plan, boards=(full, *(each for each in plan.boards if each.key != board.key)))


def full_board(build: Build, board: BoardLeft, pieces: Sequence[PlacedPiece]) -> CutBoard:
    """What is left of a board, with all that is to be cut from it."""
    ordered = sorted(pieces, key=lambda piece: (piece.at, piece.across))
    gone = [Place.of(board.key, piece) for piece in ordered]
    rest = board.without(gone, build.shop.kerf)
    return CutBoard(
        key=board.key, wood=board.wood, source=board.source, name=board.name, length=board.length, price=None,
        stretches=board.stretches, pieces=tuple(ordered), begins=board.begins,
        width=board.width or build.wood(board.wood).width,
        offcuts=tuple(Offcut(at=stretch.start, length=stretch.length) for stretch in rest.stretches),
    )  # fmt: skip
