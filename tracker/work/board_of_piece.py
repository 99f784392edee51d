"""From which board a piece is cut, by the plan that is followed: one rule for the card, the tap and the boards."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.work import facts
from tracker.work.facts import PlannedBoard, PlannedCut
from tracker.work.run import Item, Run
from tracker.work.state.state import State


def planned_place(run: Run, state: State, item: Item) -> tuple[PlannedBoard, PlannedCut] | None:
    """The board that the plan has for a blank, and the place on it. None without a plan for it, or where it was cut
    there before and spoiled: that wood is gone."""
    gone = set(_cut_before(run, state, item)) if state.spoils(run, item) else set()
    places = ((board, cut) for board in state.boards(run) for cut in board.pieces if cut.item == item.key)
    return next(((board, cut) for board, cut in places if (board.key, cut.at) not in gone), None)


def wood_is_gone(run: Run, state: State, item: Item) -> bool:
    """The plan still has the piece where it was cut and spoiled."""
    planned = any(cut.item == item.key for board in state.boards(run) for cut in board.pieces)
    return planned and planned_place(run, state, item) is None


def _cut_before(run: Run, state: State, item: Item) -> Iterator[tuple[str, int]]:
    """Every board and place that the piece was ever cut from."""
    for past in state.history(run, item):
        if past.undone_by is None and isinstance(past.entry.fact, facts.Done) and past.entry.fact.board:
            yield past.entry.fact.board, past.entry.fact.at
