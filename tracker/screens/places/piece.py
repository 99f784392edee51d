"""The card of the piece in hand."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty, ListProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.piece.piece import PieceCard
from tracker.screens.base import CardView
from tracker.screens.desk import the_desk
from tracker.screens.drawing.shape import ShapeView
from tracker.screens.overlays.on_the_saw import LaySheet
from tracker.screens.overlays.piece_options import show_life
from tracker.screens.toolkit.touch import Tappable


class PieceView(CardView):
    """Draws a PieceCard: the number to cut to, the piece to scale, its marks, and the one large button."""

    crowded = BooleanProperty(False)
    says_more = BooleanProperty(False)
    room = BooleanProperty(True)
    """Whether its title has room in large type."""
    undo_words = StringProperty("Undo")
    angles = ListProperty([("", ""), ("", "")])
    """What is set on the saw's two scales besides the number; empty where there is nothing."""
    lines = StringProperty("")
    """What else is beside the number."""
    plain = StringProperty("")
    """The number as text."""
    share = NumericProperty(0.585)
    """The number's part of the width."""
    tight = BooleanProperty(False)
    """Whether what is beside the number needs the room of a large headline."""

    def _redrawn(self, *_: object) -> None:
        self.undo_words = _undo_words(self.card)

    def beside(self, card: PieceCard) -> tuple[str, ...]:
        """What is beside the number, a line each."""
        number = card.to_set
        if number.angles:
            return ()
        said = tuple(words for words in (*number.lines, number.how) if words)
        return said or (card.section,)

    def act(self) -> None:
        """The large button was tapped: tick the step, or go where it leads."""
        action = self.card.action
        if action.intent is not None:
            the_desk().in_hand.tick(action.intent)
        elif action.go is not None and action.go.to == "options":
            self.show_more()
        elif action.go is not None:
            the_desk().in_hand.go_on(action.go)

    def go_ahead(self) -> None:
        """The large button was tapped though something is in the way."""
        the_desk().offer_anyway(self.card.action)

    def undo(self) -> None:
        """Undo the last thing done to this piece."""
        the_desk().in_hand.undo(self.card.undo)

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
    sizes = ListProperty([9.5, 7])


SHORT = 8
"""So many letters of a name the undo button has room for."""


def _undo_words(card: Any) -> str:
    """What the button takes back, where that isn't plain: of another piece, or of several."""
    undo = card.undo if card else None
    if undo is None or (undo.key == card.key and not undo.name.startswith("all ")):
        return "Undo"
    return f"Undo {undo.name}" if len(undo.name) <= SHORT else "Undo last"


class LaidShape(Tappable, ShapeView):
    """The drawing on the card; a tap shows every cut large, with its words. `This piece` does the same."""
