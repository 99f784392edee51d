"""A revised build file: what that means, before the new version is used."""

from __future__ import annotations

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty

from tracker.cards.builds.revision import RevisionCard
from tracker.screens.desk import the_desk
from tracker.screens.toolkit.list_rows import RowView
from tracker.screens.toolkit.overlay import Overlay


class RevisionSheet(Overlay):
    """Lists what changed and what no longer fits. on_take: use the revision."""

    __events__ = ("on_take",)
    card: RevisionCard = ObjectProperty(None, rebind=True, allownone=True)
    asks = BooleanProperty(False)
    """Whether the new version can be used from here, or only read about."""
    rows = ListProperty([])

    def on_card(self, *_: object) -> None:
        self.asks = self.card.open_now
        self.rows = [
            RowView(title=row.title, subtitle=row.said, tone=row.tone, key=row.key or None, group=row.heading)
            for row in self.card.rows
        ]

    def accept(self) -> None:
        """Use the new version from now on."""
        self.close()
        self.dispatch("on_take")

    def choose(self, key: str | None) -> None:
        """A piece was tapped: show the card of the piece if the build is already open."""
        if key and not self.asks:
            self.close()
            the_desk().open_item(key)

    def on_take(self) -> None: ...
