"""Which board a piece is cut from, according to the current plan: the only rule for the card, the tap and the
boards."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.work import facts
from tracker.work.facts import Entry, PlannedBoard, PlannedCut
from tracker.work.run import Item, Run
from tracker.work.state.state import State


def planned_place(run: Run, state: State, item: Item) -> tuple[PlannedBoard, PlannedCut] | None:
    """The board that the plan has for a blank, and the position on it. None without such a plan, or where the blank was
    cut there before and spoiled: that wood is gone."""
    gone = set(_cut_before(run, state, item)) if state.spoils(run, item) else set()
    places = ((board, cut) for board in state.boards(run) for cut in board.pieces if cut.item == item.key)
    return next(((board, cut) for board, cut in places if (board.key, cut.at) not in gone), None)


def wood_is_gone(run: Run, state: State, item: Item) -> bool:
    """Whether the plan still has the piece where it was cut and spoiled."""
    planned = any(cut.item == item.key for board in state.boards(run) for cut in board.pieces)
    return planned and planned_place(run, state, item) is None


def _cut_before(run: Run, state: State, item: Item) -> Iterator[tuple[str, int]]:
    """Every board and position that the piece was ever cut from."""
    for past in state.history(run, item):
        if past.undone_by is None and isinstance(past.entry.fact, facts.Done) and past.entry.fact.board:
            yield past.entry.fact.board, past.entry.fact.at


def cut_from_boards(run: Run, state: State) -> Iterator[tuple[str, Entry]]:
    """For each piece cut from a known board: its key, and the entry that says so; spoiled pieces are included."""
    here = state.runs.get(run.name)
    for key, record in here.items.items() if here else ():
        for entry in record.history.live if record.spoils else (tick.first for tick in record.ticks):
            if isinstance(entry.fact, facts.Done) and entry.fact.board:
                yield key, entry


def what_was_cut_from(run: Run, state: State, board: str) -> str:
    """The name of the first piece, or the first offcut on the rack, that came from a board; empty where there is
    none."""
    for key, cut in cut_from_boards(run, state):
        if isinstance(cut.fact, facts.Done) and cut.fact.board == board:
            return short_name(run, key)
    return next((name for name, kept in state.racked(run).items() if kept.fact.board == board), "")


def short_name(run: Run, key: str) -> str:
    """A piece's short name for sentences; its key if a revised build no longer has it."""
    return run.items[key].short if key in run.items else key
