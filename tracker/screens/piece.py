"""The card of the piece in hand."""

from __future__ import annotations

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty

from tracker.cards.piece import PieceCard
from tracker.cards.words import CAUTIONS
from tracker.measure import read_angle
from tracker.plan.saw import SawSetting
from tracker.screens.base import CardView, the_app
from tracker.screens.life import show_life
from tracker.screens.overlay import Overlay
from tracker.screens.piece_drawing import PieceDrawing
from tracker.screens.piece_words import AngleSaid
from tracker.screens.touch import Tappable


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

    def take_back(self) -> None:
        """Undo the last thing done to this piece."""
        the_app().act(self.card.undo.intent)

    def show_more(self) -> None:
        """All else that can be done with this piece."""
        show_life(self.card.key, self.show_lay)

    def show_lay(self) -> None:
        """How it lies on the saw, large."""
        LaySheet(card=self.card).open_on(the_app().root)


def said_at_ends(card: PieceCard) -> list[tuple[AngleSaid, ...]]:
    """What to set at end A and end B; nothing (the piece's own angles stand there) where a cut isn't for this saw, or
    is made already."""
    if not all(saw.possible for saw in card.ends) or all(note.trimmed for note in card.drawing.ends):
        return []
    return [_said(saw) for saw in card.ends]


def _said(saw: SawSetting) -> tuple[AngleSaid, ...]:
    angles = (("mitre", saw.miter_deg, saw.swing), ("bevel", saw.bevel_deg, saw.tilt))
    said = [AngleSaid(f"{read_angle(angle)}°", scale, way) for scale, angle, way in angles if read_angle(angle) != "0"]
    return tuple(said) or (AngleSaid("", "square"),)


class LaidDrawing(Tappable, PieceDrawing):
    """The drawing on the card; a tap shows it large, with the words for each end. `this piece` does the same."""


class LaySheet(Overlay):
    """Over the whole screen: the piece, and how the saw is set and the piece lies for each end."""

    card: PieceCard = ObjectProperty(None, allownone=True)
    caution = CAUTIONS["saw"]

    def said(self) -> list[tuple[AngleSaid, ...]]:
        """The angles at both ends."""
        return said_at_ends(self.card)

    def words(self, end: int) -> str:
        """The setting and the lay of end A (0) or B (1)."""
        saw = self.card.ends[end]
        return f"{saw.angles}. {saw.note[0].upper()}{saw.note[1:]}." if saw.possible else f"{saw.note}."
