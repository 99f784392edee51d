"""The station: what can be done here now, beside the card of the piece in hand."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

from kivy.properties import StringProperty
from msgspec.structs import replace

from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.piece.action import chosen_step
from tracker.cards.piece.piece import piece_card
from tracker.cards.station.batch import action_here, batch_of, undo_here
from tracker.cards.station.settings_of_work import THERE
from tracker.cards.station.station import QueueCard, queue_card
from tracker.cards.words import CAUTIONS
from tracker.floor.floor import Floor
from tracker.screens.base import CardScreen, CardView
from tracker.screens.desk import the_desk
from tracker.screens.places.glueup import AssemblyView
from tracker.screens.places.piece import PieceView
from tracker.screens.toolkit.lists import Cell, RowView
from tracker.work.decide.intents import DoTogether
from tracker.work.run import Item

ALL = "all of the batch"
"""The key of the row that is held for all that are left."""


class EmptyView(CardView):
    """In the card's place where nothing is in hand and nothing is ready: draws the QueueCard's own words, and leads to
    the station where most can be done."""

    busiest = StringProperty("")
    go_words = StringProperty("")
    ready_words = StringProperty("")

    def on_card(self, *_: object) -> None:
        station, count = max(self.card.counts, key=lambda pair: pair[1])
        self.busiest = station if count else ""
        self.go_words = f"Go to {THERE[station]}" if count else ""
        self.ready_words = f"{count} ready" if count else ""


class StationScreen(CardScreen):
    """The queue of one station and one card, a piece's or an assembly's."""

    caution = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        self._together: DoTogether | None = None
        super().__init__(**kwargs)

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        queue = queue_card(floor, desk.station)
        self.card = queue
        key, chosen = (desk.item_key, desk.in_hand.chosen) if desk.item_key in floor.run.items else _first(queue)
        self._together, all_text = None, ""
        if not key:
            self._view(EmptyView).card = queue
        elif floor.item(key).kind == "piece":
            chosen, all_text = self._draw_piece(floor, floor.item(key), chosen)
        else:
            self._view(AssemblyView).card = assembly_card(floor, key)
        self.ids.queue.rows = queue_rows(queue, (key, chosen), all_text)
        self.ids.queue.selected = _row_of(queue, key, chosen)
        shown = getattr(self.ids.place.children[0].card, "action", None)
        self.caution = (shown.caution if shown else "") or CAUTIONS[desk.station]

    def _draw_piece(self, floor: Floor, item: Item, chosen: str) -> tuple[str, str]:
        """The card of a piece, with a button that names what comes next; the id of the step that it ticks, and what one
        hold claims of all that are left of its batch (nothing where one hold can't)."""
        desk = the_desk()
        step = chosen_step(floor, item, chosen)
        ticked = desk.in_hand.ticked == item.key
        action = action_here(floor, item, step, desk.station, ticked=ticked)
        card = replace(
            piece_card(floor, item.key, chosen), action=action, undo=undo_here(floor, item, moved=desk.in_hand.moved)
        )
        self._view(PieceView).card = card
        if step is not None and action.ready:
            batch = batch_of(floor, item, step)
            self._together = batch.together
            return step.id, batch.all_text
        return (step.id if step else ""), ""

    def _view(self, kind: type[CardView]) -> CardView:
        """The card's place holds the one kind of view that the item in hand needs."""
        place = self.ids.place
        if not (place.children and isinstance(place.children[0], kind)):
            place.clear_widgets()
            place.add_widget(kind())
        return place.children[0]

    def choose(self, key: Hashable) -> None:
        """A row of the queue was tapped, or a piece of a strip; or all that are left of a batch were held."""
        if key == ALL:
            self.tick_all()
            return
        item, step = key if isinstance(key, tuple) else (key, "")
        the_desk().hold(item, step)

    def tick_all(self) -> None:
        """All that are left of the batch in hand."""
        if self._together is not None:
            the_desk().in_hand.tick(self._together)


def queue_rows(queue: QueueCard, chosen: tuple[str, str] = ("", ""), all_text: str = "") -> list[RowView]:
    """The groups of a queue in one list: each a heading, and below it its pieces, as numbers where they are alike.
    `all_text` is held below the batch of what is chosen."""
    rows: list[RowView] = []
    for group in queue.groups:
        strips = group.batch.strips if group.batch else ()
        of = f": {strips[0].name}" if len(strips) == 1 else ""
        rows.append(RowView(title=f"{group.title}{of}", subtitle=group.setup, group=True))
        if group.batch is None:
            rows += [RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.key) for row in group.rows]
            continue
        for strip in strips:
            cells = tuple(Cell(key=(each.key, each.step), text=each.number, tone=each.tone) for each in strip.places)
            rows.append(RowView(title="" if of else strip.name, cells=cells))
            if all_text and any(cell.key == chosen for cell in cells):
                rows.append(RowView(title=all_text, key=ALL, held=True))
    return rows


def _first(queue: QueueCard) -> tuple[str, str]:
    return next(((row.key, row.step) for group in queue.groups for row in group.rows), ("", ""))


def _row_of(queue: QueueCard, key: str, step: str) -> Hashable:
    """The key of the row or the cell of what is in hand."""
    batches = (group.batch for group in queue.groups if group.batch)
    if any((place.key, place.step) == (key, step) for batch in batches for place in batch.places):
        return (key, step)
    return key or None
