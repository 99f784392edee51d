"""Offcuts that went to the rack count as boards of the run: they have codes, labels and cards like the others."""

from __future__ import annotations

from msgspec.structs import replace

from tracker.design.model import RackBoard
from tracker.measure.length import ZERO, of_grid
from tracker.work.codes import code_for
from tracker.work.run import Run, board_key
from tracker.work.state.state import State


def with_racked(run: Run, state: State) -> Run:
    """The run with the offcuts that were put on its rack: both their ends are fresh from the saw."""
    racked = {
        board_key(name): RackBoard(wood=kept.fact.wood, length=of_grid(kept.fact.length), name=name, end_trim=ZERO)
        for name, kept in state.racked(run).items()
        if any(wood.id == kept.fact.wood for wood in run.build.woods)
    }
    if not racked:
        return run
    codes = {key: code_for(run.name, key) for key in racked}
    return replace(run, boards={**run.boards, **racked}, codes={**run.codes, **codes})
