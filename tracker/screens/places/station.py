"""The station: what can be done here now, beside the card of the current piece."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

from msgspec.structs import replace

from tracker.cards.cautions import BY_STATION
from tracker.cards.piece.action import chosen_step
from tracker.cards.piece.piece import piece_card
from tracker.cards.station.batch import Batch, Strip, action_here, batch_of, undo_here
from tracker.cards.station.station import QueueCard, queue_card
from tracker.floor.floor import Floor
from tracker.screens.desk import the_desk
from tracker.screens.overlays.work_sheet import WorkSheet
from tracker.screens.places.barred import BarredScreen
from tracker.screens.places.batch_bar import ALL
from tracker.screens.places.empty import EmptyView
from tracker.screens.places.piece import PieceView
from tracker.work.decide.intents import DoTogether
from tracker.work.operations import Step
from tracker.work.run import Item


class StationScreen(BarredScreen):
    """The queue of one station and one card, of a piece or an assembly. Of the queue only the current batch is visible;
    the rest is behind a tap, because the card needs the room."""

    def __init__(self, **kwargs: Any) -> None:
        self._together: DoTogether | None = None
        self.selected: Hashable = None
        """The key of the current item in the list of all work."""
        super().__init__(**kwargs)

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        queue = queue_card(floor, desk.station)
        self.card = queue
        key, chosen = (desk.item_key, desk.current_item.chosen) if desk.item_key in floor.run.items else _first(queue)
        self._together, claims, strip = None, ("", ""), None
        if not key:
            self.view(EmptyView).card = queue
        elif floor.item(key).kind == "piece":
            step, ready = self._draw_piece(floor, floor.item(key), chosen)
            chosen = step.id if step else ""
            batch = batch_of(floor, floor.item(key), step) if step else None
            strip = _strip(queue, batch, (key, chosen)) if batch else None
            if batch and ready:
                self._together, claims = batch.together, (batch.all_text, batch.all_short)
        else:
            self._draw_assembly(floor, key)
        self.selected = (key, chosen) if strip else key or None
        self.batch.show(strip, (key, chosen), *claims)
        self._head_bar()

    def _head_bar(self) -> None:
        """Set the words above the strip: the caution, and in landscape, where height is scarce, also the title of the
        piece. The card of an assembly has its own title."""
        bar, view = self.batch, self.ids.place.children[0]
        piece = isinstance(view, PieceView)
        shown = getattr(view.card, "action", None)
        caution = (shown.caution if shown else "") or BY_STATION[the_desk().station]
        bar.title = view.card.title if piece and not self.upright else ""
        bar.caution, bar.alone = caution, not piece
        self.ids.clocks.on_card = view.card.key if getattr(view.card, "clock", None) else ""
        if hasattr(view, "clocked"):
            view.clocked = bool(self.ids.clocks.ids.chips.children)

    def _draw_piece(self, floor: Floor, item: Item, chosen: str) -> tuple[Step | None, bool]:
        """The card of a piece, with a button that names what comes next; the step that it ticks, and whether it may."""
        desk = the_desk()
        step = chosen_step(floor, item, chosen)
        ticked = desk.current_item.ticked == item.key
        action = action_here(floor, item, step, desk.station, ticked=ticked)
        card = replace(
            piece_card(floor, item.key, chosen),
            action=action,
            undo=undo_here(floor, item, moved=desk.current_item.moved),
        )
        self.view(PieceView).card = card
        return step, action.ready

    def _draw_assembly(self, floor: Floor, key: str) -> None:
        from tracker.cards.glueup.glueup import assembly_card  # the current item is usually a piece
        from tracker.screens.places.assembly import AssemblyView

        self.view(AssemblyView).card = assembly_card(floor, key)

    def choose(self, key: Hashable) -> None:
        """A row of the queue was tapped, or a piece of a strip; or the button for the rest of a batch was held."""
        if key == ALL:
            self.tick_all()
            return
        item, step = key if isinstance(key, tuple) else (key, "")
        the_desk().show_item(item, step)

    def show_list(self) -> None:
        """Show everything that can be done here, over the screen."""
        WorkSheet(title=self.card.title, selected=self.selected).show()

    def tick_all(self) -> None:
        """Tick the rest of the current batch."""
        if self._together is not None:
            the_desk().current_item.tick(self._together)


def _first(queue: QueueCard) -> tuple[str, str]:
    return next(((row.key, row.step) for group in queue.groups for row in group.rows), ("", ""))


def _strip(queue: QueueCard, batch: Batch, at: tuple[str, str]) -> Strip | None:
    """The strip of a batch that has the current piece and its step; None where it is the only piece, or where nothing
    of the batch is in the queue any more."""
    queued = {(row.key, row.step) for group in queue.groups for row in group.rows if row.tone == "ready"}
    if len(batch.places) < 2 or not any((place.key, place.step) in queued for place in batch.places):
        return None
    return next((strip for strip in batch.strips if any((each.key, each.step) == at for each in strip.places)), None)
