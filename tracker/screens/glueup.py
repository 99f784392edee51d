"""Glue-ups: the assemblies of the build, and the one in hand with its members and clocks."""

from __future__ import annotations

from tracker.cards.glueup import assembly_card, assembly_rows
from tracker.screens.base import CardScreen, CardView, the_app
from tracker.screens.lists import RowView
from tracker.screens.sheets import Option, Panel


class AssemblyView(CardView):
    """Draws an AssemblyCard."""

    def act(self) -> None:
        """The large button was tapped."""
        if self.card.action.intent is not None:
            the_app().act(self.card.action.intent)

    def go_ahead(self) -> None:
        """The large button was tapped though something is in the way."""
        if self.card.action.intent is not None:
            the_app().offer_anyway(self.card.action)

    def take_back(self) -> None:
        """Undo the last thing done to this assembly."""
        the_app().act(self.card.undo.intent)

    def show_members(self) -> None:
        """What goes in, what isn't ready first; a tap shows its card."""
        waiting = sorted(self.card.members, key=lambda member: member.tone == "done")
        scanned = the_app().checked_in.get(self.card.key, frozenset())
        options = [
            Option(key=m.key, text=m.title, sub_text=f"{m.said}, scanned" if m.key in scanned else m.said, tone=m.tone)
            for m in waiting[:6]
        ]
        panel = Panel(title=self.card.members_words, options=options)
        panel.bind(on_choose=lambda _panel, key: the_app().take(key))
        panel.open_on(the_app().root)


class GlueupScreen(CardScreen):
    """The list of assemblies beside the card of one."""

    ticks = True

    def draw(self) -> None:
        app = the_app()
        floor = app.floor()
        rows = assembly_rows(floor)
        self.ids.list.rows = [RowView(title=r.title, subtitle=r.said, tone=r.tone, key=r.key) for r in rows]
        key = app.assembly if app.assembly in floor.run.items else rows[0].key if rows else ""
        self.ids.list.selected = key
        self.card = assembly_card(floor, key) if key else None

    def choose(self, key: str) -> None:
        """An assembly was tapped."""
        the_app().take(key)
