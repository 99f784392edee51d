"""Every cut of a piece as it lies on the saw, large, one at a time, with the words for it."""

from __future__ import annotations

from kivy.properties import ListProperty, NumericProperty, ObjectProperty, StringProperty

from tracker.cards.cautions import BLADE
from tracker.cards.piece.drawing import Drawing
from tracker.cards.piece.feature_view import FeatureView
from tracker.cards.piece.own_step import StepPicture
from tracker.cards.piece.piece import PieceCard
from tracker.cards.piece.saw_view import SawView
from tracker.screens.toolkit.overlay import Overlay
from tracker.words import say


class LaySheet(Overlay):
    """Covers the whole screen. Its pages are the piece's cuts in the order of work, and the piece itself."""

    card: PieceCard = ObjectProperty(None, allownone=True)
    pages = ListProperty([])
    at = NumericProperty(0)
    """The index of the page that is shown."""
    caution = StringProperty(BLADE)

    def on_card(self, *_: object) -> None:
        own = [self.card.picture] if self.card.picture else []
        self.pages = [*own, *self.card.views, *self.card.cuts, self.card.drawing]
        self.caution = self.card.action.caution or BLADE
        self.at = self.pages.index(self.card.shape) if self.card.shape in self.pages else 0

    def turn(self, by: int) -> None:
        """Show another page; after the last comes the first."""
        self.at = (self.at + by) % len(self.pages)

    def shape(self, at: float) -> SawView | Drawing | FeatureView | StepPicture | None:
        """The drawing of a page."""
        return self.pages[int(at)] if self.pages else None

    def where(self, at: float) -> str:
        """`Cut 2 of 3`, or that it is the piece itself."""
        page, cuts = self.shape(at), self.card.cuts if self.card else ()
        if isinstance(page, StepPicture):
            return say("Your picture")
        if isinstance(page, FeatureView):
            return page.title
        return (
            say("Cut {index} of {count}", index=cuts.index(page) + 1, count=len(cuts))
            if isinstance(page, SawView)
            else say("The piece")
        )

    def words(self, at: float) -> str:
        """Everything to set for a cut and how the piece lies; for the piece itself its marking out, or its cuts that
        aren't for the saw."""
        page = self.shape(at)
        if isinstance(page, SawView):
            return page.cut.words
        return say("Mark out: {marking}", marking=self.card.marking) if self.card.marking else self.card.to_set.how
