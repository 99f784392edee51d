"""Offcuts that went to the rack are boards of the run: they have codes, labels and cards like the others."""

from __future__ import annotations

from msgspec.structs import replace

from tracker.design.model import EdgeDefect, RackBoard
from tracker.measure.length import ZERO, of_grid
from tracker.work.codes import code_for
from tracker.work.facts import Racked
from tracker.work.run import Run, board_key
from tracker.work.state.state import State


def entered(run: Run, state: State) -> dict[str, RackBoard]:
    """The offcuts that went to the rack and the boards entered there, by key."""
    woods = {wood.id for wood in run.build.woods}
    kept = state.racked(run).items()
    return {board_key(name): _board(one.fact) for name, one in kept if one.fact.wood in woods}


def _board(fact: Racked) -> RackBoard:
    """Both ends of an offcut are fresh from the saw."""
    whole = (each for each in fact.defects if not each.deep)
    return RackBoard(
        wood=fact.wood,
        length=of_grid(fact.length),
        name=fact.name,
        end_trim=None if fact.rough_ends else ZERO,
        width=of_grid(fact.width) if fact.width else None,
        thickness=of_grid(fact.thickness) if fact.thickness else None,
        defects=tuple((of_grid(each.start), of_grid(each.end)) for each in whole),
        edge_defects=tuple(
            EdgeDefect(start=of_grid(each.start), end=of_grid(each.end), edge=each.edge, deep=of_grid(each.deep))
            for each in fact.defects
            if each.deep
        ),
    )


def with_racked(run: Run, state: State) -> Run:
    """The run with the offcuts that were put on its rack; both of their ends are fresh from the saw."""
    racked = entered(run, state)
    if not racked:
        return run
    codes = {key: code_for(run.name, key) for key in racked}
    return replace(run, boards={**run.boards, **racked}, codes={**run.codes, **codes})
