"""What is shown where no card can be: how far the whole build is, and where work is ready."""

from __future__ import annotations

from kivy.properties import BooleanProperty, StringProperty

from tracker.cards.station.settings_of_work import THERE
from tracker.screens.base import CardView
from tracker.screens.lazy import class_named
from tracker.words import say


class EmptyView(CardView):
    """Takes the card's place when there is no current item and nothing is ready: shows the QueueCard's own words, and
    leads to the station where most can be done."""

    busiest = StringProperty("")
    go_words = StringProperty("")
    ready_words = StringProperty("")
    pictured = BooleanProperty(False)
    """Whether the build can be drawn."""

    def on_kv_post(self, base_widget: object) -> None:
        self._furniture = class_named("drawing.furniture_tile.FurnitureTile")()
        self._furniture.bind(wanted=self._show_furniture)

    def _show_furniture(self, *_: object) -> None:
        self.ids.furniture.clear_widgets()
        self.pictured = self._furniture.wanted
        if self.pictured:
            self.ids.furniture.add_widget(self._furniture)

    def on_card(self, *_: object) -> None:
        self._furniture.refresh()
        station, count = max(self.card.counts, key=lambda pair: pair[1])
        self.busiest = station if count else ""
        self.go_words = say("Go to {there}", there=THERE[station]) if count else ""
        self.ready_words = say("{count} ready", count=count) if count else ""
