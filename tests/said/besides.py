"""What a screen shows beside an item's card: what follows a tick, the undo, the words of its cuts, its own step."""

from __future__ import annotations

from collections.abc import Iterator

from said.lines import lines_of

from tracker.cards.glueup.times import times
from tracker.cards.piece.own_step import own_step_card
from tracker.cards.piece.piece import piece_card
from tracker.cards.piece.piece_options import measurables, swap_partners
from tracker.cards.piece.stop import stop_words
from tracker.cards.station.batch import action_here, batch_of, following, undo_here
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import next_step
from tracker.work.run import Item


def besides(floor: Floor, item: Item) -> Iterator[str]:
    """Lines of text for a piece or an assembly before its next step."""
    step = next_step(floor, item)
    yield from lines_of(own_step_card(floor, item.key, step), "own step")
    for moved in (False, True):
        yield from lines_of(undo_here(floor, item, moved=moved), f"undo {moved}")
    if item.kind == "assembly":
        yield from lines_of(times(floor, item), "times")
        return
    card = piece_card(floor, item.key)
    yield f"draws {type(card.shape).__name__}, {stop_words(floor, item, step)}"
    for cut in card.cuts:
        yield f"{cut.face}, {cut.edge}, {cut.measured}"
    yield from lines_of((*swap_partners(floor, item.key), *measurables(floor, item.key)), "life")
    station = step.station if step else "saw"
    for ticked in (False, True):
        yield from lines_of(action_here(floor, item, step, station, ticked=ticked), f"action {ticked}")
    yield from lines_of(action_here(floor, item, step, "finishing", ticked=True), "elsewhere")
    if step is not None:
        yield from lines_of(batch_of(floor, item, step), "batch")
        yield from lines_of(following(floor, item, step, station), "next")
