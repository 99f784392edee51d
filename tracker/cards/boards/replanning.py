"""What a new plan changes, in words."""

from __future__ import annotations

from collections.abc import Mapping

from tracker.cards.boards.shopping import stock_size
from tracker.floor.board_words import names_of
from tracker.floor.boards import followed, key_of, laid_out, title_of
from tracker.floor.cut_progress import at_the_saw
from tracker.floor.floor import Floor
from tracker.floor.replanning import lost_pieces, replan_request
from tracker.plan.boards import CutBoard
from tracker.plan.boards.replanning import Replan
from tracker.words import say


def changes(floor: Floor, answer: Replan) -> tuple[str, ...]:
    """The changes, a sentence for each source: `Leg 3, 4 now from the rest of cedar board 2`; what is bought comes
    last.

    A piece that only moves along its board isn't mentioned.
    """
    request = replan_request(floor)
    old = request.previous
    boards = {board.key: board for board in followed(floor.run, floor.state)}
    lost = set(lost_pieces(request))
    said: dict[str, list[str]] = {}
    for board in sorted(laid_out(answer.plan), key=lambda board: board.source == "dealer"):
        for piece in board.pieces:
            was = old.get(piece.id)
            if was is None or was.board != board.key or piece.id in lost or piece.id in answer.moved:
                said.setdefault(_source(floor, board, boards), []).append(key_of(piece))
    return tuple(
        say("{names} now from {where}", names=names_of(floor.run, keys), where=where) for where, keys in said.items()
    )


def _source(floor: Floor, board: CutBoard, boards: Mapping[str, CutBoard]) -> str:
    """The source in words: a board to buy, what is left of one, or a rack board."""
    build = floor.run.build
    if board.source == "dealer":
        return say(
            "a new {title}, to be bought: {size}",
            title=title_of(board),
            size=stock_size(build, build.wood(board.wood), board.length),
        )
    saw = at_the_saw(floor, boards[board.key]) if board.key in boards else None
    begun = saw is not None and saw.begun
    return say("the rest of {title}", title=title_of(board)) if begun else title_of(board)
