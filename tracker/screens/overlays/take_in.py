"""Another tablet's record: what it would change here, before it is imported."""

from __future__ import annotations

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty

from tracker.cards.settings.take_in import TakeInCard
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.overlay import Overlay


class TakeInSheet(Overlay):
    """Lists what would be added and what would no longer be done. on_take: the button was held."""

    __events__ = ("on_take",)
    card: TakeInCard = ObjectProperty(None, rebind=True, allownone=True)
    asks = BooleanProperty(False)
    """Whether there is anything to import."""
    rows = ListProperty([])

    def on_card(self, *_: object) -> None:
        self.asks = bool(self.card.rows)
        self.rows = [
            RowView(title=row.title, subtitle=row.said, tone="" if row.heading else row.tone, group=row.heading)
            for row in self.card.rows
        ]

    def accept(self) -> None:
        """Import the record."""
        self.close()
        self.dispatch("on_take")

    def on_take(self) -> None: ...
