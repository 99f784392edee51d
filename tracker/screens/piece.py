"""The card of the piece in hand."""

from __future__ import annotations

from tracker.screens.base import CardView, the_app


class PieceView(CardView):
    """Draws a PieceCard: the number to cut to, the piece to scale, its marks, and the one large button."""

    def act(self) -> None:
        """The large button was tapped: do the next operation, or go where the piece goes."""
        if self.card.action.intent is not None:
            the_app().act(self.card.action.intent)
        elif self.card.into:
            the_app().take(self.card.into)

    def go_ahead(self) -> None:
        """The large button was tapped though something is in the way."""
        the_app().offer_anyway(self.card.action)

    def take_back(self) -> None:
        """Undo the last thing done to this piece."""
        the_app().act(self.card.undo.intent)
