"""What happened, newest first, and undoing it."""

from __future__ import annotations

from kivy.properties import BooleanProperty, StringProperty

from tracker.cards.history import PAGE, HistoryCard, history_card
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.toolkit.list_rows import RowView
from tracker.words import say
from tracker.work.facts import EntryId

OLDER = ("", 0)
"""Key of the row that lists older entries."""


class HistoryScreen(CardScreen):
    """The list of entries; below it the chosen entry, and the button that undoes it."""

    card: HistoryCard
    of_piece = BooleanProperty(False)
    """Whether only the history of the current piece or assembly is shown."""

    name = StringProperty("")
    """The item on the card, by its short name; empty when there is none."""

    def __init__(self, **kwargs: object) -> None:
        self._chosen: EntryId | None = None
        self._most = PAGE
        super().__init__(**kwargs)

    def draw(self) -> None:
        desk = the_desk()
        floor = desk.floor()
        known = desk.item_key in floor.run.items
        self.of_piece = self.of_piece and known
        self.name = floor.item(desk.item_key).short if known else ""
        self.ids.whose.disabled = not known
        self.card = history_card(floor, desk.item_key if self.of_piece else "", self._chosen, self._most)
        rows = [RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.id) for row in self.card.rows]
        if self.card.more:
            rows.append(
                RowView(title=say("{more} older", more=self.card.more), subtitle=say("tap to list more"), key=OLDER)
            )
        self.ids.list.rows = rows
        self.ids.list.selected = self.card.chosen.id if self.card.chosen else None

    def leave(self) -> None:
        self._chosen, self._most = None, PAGE

    def choose(self, key: EntryId) -> None:
        """A row was tapped."""
        if key == OLDER:
            self._most += PAGE
        else:
            self._chosen = key
        self.draw()

    def turn(self) -> None:
        """Switch between everything and the current piece."""
        self.of_piece, self._chosen = not self.of_piece, None
        self.draw()

    def undo(self) -> None:
        """Undo the chosen entry."""
        if self.card.intent is not None:
            the_desk().act(self.card.intent)

    def refuse(self) -> None:
        """The button was tapped though something depends on the entry."""
        the_desk().notify(self.card.why, "refused")
