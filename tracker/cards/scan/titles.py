"""The titles of the items whose labels were scanned."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.words import say
from tracker.work.codes import Code
from tracker.work.run import Run, board_key


def named_item(run: Run | None, code: Code) -> tuple[str, str] | None:
    """The key and title of the item or rack board whose label has `code` in this build."""
    if run is None:
        return None
    if key := run.by_code.get(code):
        return key, run.items[key].title
    board = run.board_of(code)
    return (board_key(board.name), say("Board {board}", board=board.name)) if board else None


def titles_of(run: Run | None, codes: Iterable[Code]) -> tuple[tuple[str, Code], ...]:
    """The title and code of each of `codes` that is in the current build, to ask which of them is meant."""
    return tuple((named[1], code) for code in codes if (named := named_item(run, code)))
