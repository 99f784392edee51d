"""What the wood of an assembly will do: a row for each thing to know before it is joined or loaded."""

from __future__ import annotations

from kivy.properties import ListProperty

from tracker.cards.wood.at_work import wood_card
from tracker.screens.desk import the_desk
from tracker.screens.lazy import class_named
from tracker.screens.overlays.cover import Cover
from tracker.screens.toolkit.list_rows import RowView
from tracker.words import say


class WoodCover(Cover):
    """A row for each line; below them their basis, which a tap changes."""

    rows = ListProperty([])

    def draw(self) -> None:
        self.card = wood_card(the_desk().floor(), self.key)
        self.title = say("The wood: {title}", title=self.card.title)
        self.rows = [
            RowView(title=line.title, subtitle=line.said, tone=line.tone, key=at)
            for at, line in enumerate(self.card.lines)
        ]

    def enter_air(self) -> None:
        """The basis of the figures was tapped."""
        class_named("overlays.times.AirCover")(key=self.key).show()
