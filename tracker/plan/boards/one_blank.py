"""Plans with every piece: the planner lays blanks, and some blanks are still several pieces."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from msgspec.structs import replace

from tracker.design.model import Build
from tracker.design.one_blank import one_blank
from tracker.plan.boards.plan import BoardPlan, CutBoard, PieceId, PlacedPiece, Unplaced, WoodPlan


def with_all_pieces(build: Build, plan: BoardPlan, done: Collection[PieceId] = ()) -> BoardPlan:
    """Add the other pieces of each blank at its position: the leaves of one board, and short pieces milled as one.
    `done` are cut already."""
    return BoardPlan(woods=tuple(_wood(build, wood, done) for wood in plan.woods))


def _wood(build: Build, plan: WoodPlan, done: Collection[PieceId]) -> WoodPlan:
    boards = tuple(_board(build, board, done) for board in plan.boards)
    unplaced = tuple(
        replace(each, piece=piece) for each in plan.unplaced for piece in (each.piece, *_others(build, each, done))
    )
    return replace(plan, boards=boards, unplaced=tuple(dict.fromkeys(unplaced)))


def _board(build: Build, board: CutBoard, done: Collection[PieceId]) -> CutBoard:
    pieces = tuple(
        replace(blank, piece=piece) for blank in board.pieces for piece in (blank.piece, *_others(build, blank, done))
    )
    return board if len(pieces) == len(board.pieces) else replace(board, pieces=pieces)


def _others(build: Build, blank: PlacedPiece | Unplaced, done: Collection[PieceId]) -> Iterator[int]:
    part = build.part(blank.part)
    for piece in one_blank(part, build.wood(part.wood), blank.piece):
        if piece != blank.piece and (blank.part, piece) not in done:
            yield piece
