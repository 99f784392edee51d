"""How a piece lies on the saw for each of its ends, large, and what to set."""

from __future__ import annotations

from kivy.properties import ObjectProperty

from tracker.cards.piece.piece import PieceCard
from tracker.cards.words import CAUTIONS
from tracker.measure import read_angle
from tracker.plan.saw import SawSetting
from tracker.screens.drawing.piece_words import AngleSaid
from tracker.screens.toolkit.overlay import Overlay


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
