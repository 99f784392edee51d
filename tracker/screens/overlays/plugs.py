"""Plugging: which holes, and how a plug is cut so that it isn't seen."""

from __future__ import annotations

from kivy.properties import ListProperty

from tracker.cards.glueup.plugs import plugs_card
from tracker.screens.desk import the_desk
from tracker.screens.overlays.full_sheet import Cover
from tracker.screens.toolkit.lists import RowView


class PlugsCover(Cover):
    """A row for each line of holes."""

    rows = ListProperty([])

    def draw(self) -> None:
        self.card = plugs_card(the_desk().floor(), self.key)
        self.title = f"{self.card.title}: {self.card.count_words}"
        self.rows = [
            RowView(title=line.title, subtitle=line.said, tone="ready", key=at)
            for at, line in enumerate(self.card.lines)
        ]
