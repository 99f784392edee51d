"""Every running clock, large, and the tap that answers one that is over."""

from __future__ import annotations

from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.clocks import clocks_card
from tracker.screens.base import CardScreen, the_app


class ClockRow(BoxLayout):
    """One clock with its button: to its card while it runs, answered once it is over."""

    view = ObjectProperty(None, rebind=True, allownone=True)

    def tapped(self) -> None:
        """Somebody has seen that it is over; or wants the card."""
        if self.view.answer is not None:
            the_app().act(self.view.answer)
        else:
            the_app().take(self.view.key)


class ClocksScreen(CardScreen):
    """The clocks of the build in hand."""

    ticks = True

    def draw(self) -> None:
        card = clocks_card(the_app().floor())
        rows = self.ids.rows
        while len(rows.children) > len(card.clocks):
            rows.remove_widget(rows.children[0])
        while len(rows.children) < len(card.clocks):
            rows.add_widget(ClockRow())
        for row, view in zip(reversed(rows.children), card.clocks, strict=True):
            row.view = view
        self.card = card
