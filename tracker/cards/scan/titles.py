"""The titles of the items whose labels were scanned."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.words import say
from tracker.work.codes import Code
from tracker.work.run import Run, board_key


def named_item(run: Run | None, code: Code) -> tuple[str, str] | None:
    """Key and title of the item, or of the board on the rack, whose label holds `code` in this build."""
    if run is None:
        return None
    if key := run.by_code.get(code):
        return key, run.items[key].title
    board = run.board_of(code)
    return (board_key(board.name), say("Board {board}", board=board.name)) if board else None


def titles_of(run: Run | None, codes: Iterable[Code]) -> tuple[tuple[str, Code], ...]:
    """Title and code of each of `codes` that is in the build in hand: what to ask when several may be meant."""
    return tuple((named[1], code) for code in codes if (named := named_item(run, code)))
