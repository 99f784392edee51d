"""Closing the window while a wait is running: what that means, and a button to hold."""

from __future__ import annotations

from kivy.app import App
from kivy.properties import ObjectProperty

from tracker.cards.clocks.closing import ClosingCard, closing_card
from tracker.screens.desk import the_desk
from tracker.screens.toolkit.overlay import Overlay


class ClosingSheet(Overlay):
    """Covers everything until a person goes back, or holds the button that closes the app."""

    stays = True
    card: ClosingCard = ObjectProperty(None, rebind=True, allownone=True)

    @classmethod
    def asks(cls) -> bool:
        """Whether the app must stay open until a person has seen what closing it means; if so, that is shown."""
        desk = the_desk()
        card = closing_card(desk.floors())
        if card is None:
            return False
        if not any(isinstance(child, cls) for child in desk.root.children):
            desk.guard.screen_changed()
            cls(card=card).open_on(desk.root)
        return True

    def end(self) -> None:
        """Close the app: the button was held."""
        App.get_running_app().stop()
