"""The other tablets of the shop: who they are, when each was last in touch, which is lost; joining, inviting,
leaving."""

from __future__ import annotations

from datetime import UTC, datetime

from kivy.properties import BooleanProperty, StringProperty

from tracker.cards.together.together import TogetherCard, in_two, together_card
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.joining import Joining
from tracker.screens.toolkit.list_rows import RowView
from tracker.words import say


class TogetherScreen(CardScreen):
    """A row for everything a person should deal with, then a row for each tablet; the one that was tapped is removed by
    holding."""

    card: TogetherCard
    needs_run = False
    joined = BooleanProperty(False)
    chosen = StringProperty("")
    """The login of the chosen tablet."""
    chosen_title = StringProperty("")
    _news: tuple[str, ...] = ()

    def draw(self) -> None:
        self.card = together_card(the_desk().together.status, datetime.now(UTC))
        self.joined = self.card.joined
        troubles = [
            RowView(title=sentence, tone="caution", key=f"{TROUBLE}{at}")
            for at, sentence in enumerate(self.card.trouble)
        ]
        self._news = the_desk().shop.unseen_news
        troubles += [
            RowView(title=what, subtitle=to_do or say("Tap once it is seen to"), tone="caution", key=f"{APART}{at}")
            for at, (what, to_do) in enumerate(map(in_two, self._news))
        ]
        rows = [RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.key) for row in self.card.rows]
        self.ids.list.rows = [*troubles, *rows]
        if self.chosen not in {row.key for row in self.card.rows if row.can_go}:
            self.choose("")

    def choose(self, key: str) -> None:
        """A tablet was tapped, or something that a person has seen."""
        if key.startswith(APART):
            the_desk().shop.news_seen(self._news[int(key.removeprefix(APART))])
            self.draw()
            return
        row = next((row for row in self.card.rows if row.key == key and row.can_go and self.card.keeper), None)
        self.chosen, self.chosen_title = (row.key, row.title) if row else ("", "")
        self.ids.list.selected = self.chosen or None

    def first(self) -> None:
        """The most needed button: scan a code, or show one."""
        if self.card.joined:
            Joining(the_desk()).invite()
        else:
            the_desk().go("scan")

    def held(self) -> None:
        """Remove the chosen tablet, or leave."""
        if self.chosen:
            Joining(the_desk()).take_out(self.chosen)
        else:
            Joining(the_desk()).leave()


TROUBLE, APART = "trouble ", "apart "
"""The prefixes of the keys of rows that aren't tablets."""
