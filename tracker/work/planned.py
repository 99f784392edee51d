"""The part of a board plan that matches the build: after a revision, or in a forged log, it may plan pieces that don't
exist."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from tracker.work.facts import PlannedBoard, PlannedCut
from tracker.work.run import Run


def of_the_build(run: Run, boards: tuple[PlannedBoard, ...]) -> tuple[PlannedBoard, ...]:
    """The boards of woods that the build has, each with the pieces that the build has; usually the boards unchanged."""
    return boards if all(_is_whole(run, board) for board in boards) else tuple(_left(run, boards))


def _left(run: Run, boards: tuple[PlannedBoard, ...]) -> Iterator[PlannedBoard]:
    for board in boards:
        left = replace(board, pieces=tuple(cut for cut in board.pieces if _is_piece(run, cut)))
        if _is_whole(run, left):
            yield left


def _is_whole(run: Run, board: PlannedBoard) -> bool:
    known = board.length > 0 and any(wood.id == board.wood for wood in run.build.woods)
    return known and all(_is_piece(run, cut) for cut in board.pieces)


def _is_piece(run: Run, cut: PlannedCut) -> bool:
    return cut.item in run.items and run.items[cut.item].kind == "piece" and cut.length > 0 and cut.at >= 0
