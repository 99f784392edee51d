"""The card of the piece in hand."""

from __future__ import annotations

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.piece.piece import PieceCard
from tracker.screens.base import CardView
from tracker.screens.desk import the_desk
from tracker.screens.drawing.shape import ShapeView
from tracker.screens.overlays.lay import LaySheet
from tracker.screens.overlays.piece_options import show_life
from tracker.screens.toolkit.touch import Tappable


class PieceView(CardView):
    """Draws a PieceCard: the number to cut to, the piece to scale, its marks, and the one large button."""

    crowded = BooleanProperty(False)
    says_more = BooleanProperty(False)
    room = BooleanProperty(True)
    """Whether its title has room in large type."""
    angles = ListProperty([("", ""), ("", "")])
    """What is set on the saw's two scales besides the number; empty where there is nothing."""
    lines = StringProperty("")
    """What else stands beside the number."""

    def beside(self, card: PieceCard) -> tuple[str, ...]:
        """What stands beside the number, a line each."""
        number = card.to_set
        if number.angles:
            return ()
        said = tuple(words for words in (*number.lines, number.how) if words)
        return said or (card.section,)

    def act(self) -> None:
        """The large button was tapped: do the next operation, or go where the piece goes."""
        if self.card.action.intent is not None:
            the_desk().act(self.card.action.intent)
        elif self.card.into:
            the_desk().take(self.card.into)

    def go_ahead(self) -> None:
        """The large button was tapped though something is in the way."""
        the_desk().offer_anyway(self.card.action)

    def undo(self) -> None:
        """Undo the last thing done to this piece."""
        the_desk().act(self.card.undo.intent)

    def show_more(self) -> None:
        """All else that can be done with this piece."""
        show_life(self.card.key, self.show_lay)

    def show_lay(self) -> None:
        """How it lies on the saw, large."""
        LaySheet(card=self.card).open_on(the_desk().root)


class Besides(BoxLayout):
    """A smaller number, with what it is below it: an angle of the saw, what a taper leaves, where the next hole is."""

    reading = ObjectProperty("", allownone=True)
    words = StringProperty("")


class LaidShape(Tappable, ShapeView):
    """The drawing on the card; a tap shows every cut large, with its words. `this piece` does the same."""
