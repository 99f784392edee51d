"""The station: what can be done here now, beside the card of the piece in hand."""

from __future__ import annotations

from kivy.properties import StringProperty

from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.piece.piece import piece_card
from tracker.cards.station.station import STATION_WORDS, QueueCard, queue_card
from tracker.cards.words import CAUTIONS
from tracker.screens.base import CardScreen, CardView
from tracker.screens.desk import the_desk
from tracker.screens.places.glueup import AssemblyView
from tracker.screens.places.piece import PieceView
from tracker.screens.toolkit.lists import RowView


class EmptyView(CardView):
    """In the card's place where nothing is in hand and nothing is ready: draws the QueueCard's own words, and leads to
    the station where most can be done."""

    busiest = StringProperty("")
    go_words = StringProperty("")
    ready_words = StringProperty("")

    def on_card(self, *_: object) -> None:
        station, count = max(self.card.counts, key=lambda pair: pair[1])
        self.busiest = station if count else ""
        self.go_words = f"Move to {STATION_WORDS[station]}" if count else ""
        self.ready_words = f"{count} ready" if count else ""


class StationScreen(CardScreen):
    """The queue of one station and one card, a piece's or an assembly's."""

    caution = StringProperty("")

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        queue = queue_card(floor, desk.station)
        self.card = queue
        self.caution = CAUTIONS[desk.station]
        self.ids.queue.rows = queue_rows(queue)
        key = desk.item_key if desk.item_key in floor.run.items else _first(queue)
        self.ids.queue.selected = key or None
        if not key:
            self._view(EmptyView).card = queue
        elif floor.item(key).kind == "piece":
            self._view(PieceView).card = piece_card(floor, key)
        else:
            self._view(AssemblyView).card = assembly_card(floor, key)

    def _view(self, kind: type[CardView]) -> CardView:
        """The card's place holds the one kind of view that the item in hand needs."""
        place = self.ids.place
        if not (place.children and isinstance(place.children[0], kind)):
            place.clear_widgets()
            place.add_widget(kind())
        return place.children[0]

    def choose(self, key: str) -> None:
        """A row of the queue was tapped."""
        the_desk().hold(key)


def queue_rows(queue: QueueCard) -> list[RowView]:
    """The groups and rows of a queue, in one list."""
    rows: list[RowView] = []
    for group in queue.groups:
        rows.append(RowView(title=group.title, subtitle=group.setup, group=True))
        rows += [RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.key) for row in group.rows]
    return rows


def _first(queue: QueueCard) -> str:
    return next((row.key for group in queue.groups for row in group.rows), "")
