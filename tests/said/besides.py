"""What a screen shows beside an item's card: what follows a tick, the undo, the words of its cuts, its own step."""

from __future__ import annotations

from collections.abc import Iterator

from said.lines import lines_of, properties_of

from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.glueup.plugs import plugs_card
from tracker.cards.glueup.prove import prove_card
from tracker.cards.glueup.screws import screws_card
from tracker.cards.glueup.times import times
from tracker.cards.piece.own_step import own_step_card
from tracker.cards.piece.piece import piece_card
from tracker.cards.piece.piece_options import measurables, swap_partners
from tracker.cards.piece.stop import stop_words
from tracker.cards.station.batch import action_here, batch_of, following, undo_here
from tracker.cards.wood.at_work import wood_card
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import next_step
from tracker.work.run import Item

ASSEMBLY_CARDS = (assembly_card, checklist_card, plugs_card, prove_card, screws_card, wood_card)


def besides(floor: Floor, item: Item) -> Iterator[str]:
    """Lines of text for a piece or an assembly before its next step."""
    step = next_step(floor, item)
    yield from lines_of(own_step_card(floor, item.key, step), "own step")
    for moved in (False, True):
        yield from lines_of(undo_here(floor, item, moved=moved), f"undo {moved}")
    if item.kind == "assembly":
        yield from lines_of(times(floor, item), "times")
        for card in ASSEMBLY_CARDS:
            yield from properties_of(card(floor, item.key), card.__name__)
        return
    card = piece_card(floor, item.key)
    yield f"draws {type(card.shape).__name__}, {stop_words(floor, item, step)}"
    yield from properties_of((card.action, card.undo, card.to_set), "card")
    for cut in card.cuts:
        yield f"{cut.face}, {cut.edge}, {cut.measured}"
    yield from lines_of((*swap_partners(floor, item.key), *measurables(floor, item.key)), "life")
    station = step.station if step else "saw"
    for ticked in (False, True):
        yield from lines_of(action_here(floor, item, step, station, ticked=ticked), f"action {ticked}")
    yield from lines_of(action_here(floor, item, step, "finishing", ticked=True), "elsewhere")
    if step is not None:
        yield from lines_of(batch_of(floor, item, step), "batch")
        yield from properties_of(batch_of(floor, item, step).strips, "batch")
        yield from lines_of(following(floor, item, step, station), "next")
