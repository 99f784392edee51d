"""The card of the piece in hand."""

from __future__ import annotations

from kivy.properties import BooleanProperty, ListProperty

from tracker.screens.base import CardView, the_app
from tracker.screens.drawing.piece import PieceDrawing
from tracker.screens.overlays.lay import LaySheet, said_at_ends
from tracker.screens.overlays.piece_options import show_life
from tracker.screens.toolkit.touch import Tappable


class PieceView(CardView):
    """Draws a PieceCard: the number to cut to, the piece to scale, its marks, and the one large button."""

    crowded = BooleanProperty(False)
    says_more = BooleanProperty(False)
    room = BooleanProperty(True)
    """Whether its title has room in large type."""
    said = ListProperty([])
    """The angles at both ends as the saw's scale reads them, and which way it swings."""

    def _redrawn(self, *_: object) -> None:
        self.said = said_at_ends(self.card) if self.card else []

    def act(self) -> None:
        """The large button was tapped: do the next operation, or go where the piece goes."""
        if self.card.action.intent is not None:
            the_app().act(self.card.action.intent)
        elif self.card.into:
            the_app().take(self.card.into)

    def go_ahead(self) -> None:
        """The large button was tapped though something is in the way."""
        the_app().offer_anyway(self.card.action)

    def undo(self) -> None:
        """Undo the last thing done to this piece."""
        the_app().act(self.card.undo.intent)

    def show_more(self) -> None:
        """All else that can be done with this piece."""
        show_life(self.card.key, self.show_lay)

    def show_lay(self) -> None:
        """How it lies on the saw, large."""
        LaySheet(card=self.card).open_on(the_app().root)


class LaidDrawing(Tappable, PieceDrawing):
    """The drawing on the card; a tap shows it large, with the words for each end. `this piece` does the same."""
