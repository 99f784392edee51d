"""The card of the current piece."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty, ListProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.piece.piece import PieceCard
from tracker.measure import Reading
from tracker.screens.base import CardView
from tracker.screens.desk import the_desk
from tracker.screens.drawing.shape import ShapeView
from tracker.screens.overlays.on_the_saw import LaySheet
from tracker.screens.overlays.piece_options import show_life
from tracker.screens.toolkit.fraction import figures_width
from tracker.screens.toolkit.text import measure_width
from tracker.screens.toolkit.theme import current_theme
from tracker.screens.toolkit.touch import Tappable
from tracker.words import say

PLAIN, STACKED = 18.2, 21.0
"""The height of a smaller number and the words below it, without and with a fraction (mm)."""
ROW, ROW_GAP, TALL, MOST_FIGURES = 10.0, 2.4, 7.0, 27.0
"""Landscape: the least height of a row with a smaller number and its words, the space in it, the largest figures of one
of two numbers, and the greatest width of figures (mm)."""
ROUNDED = 0.7
"""Room in millimetres for the widening of letters when their widths are rounded to the screen's points."""
BETWEEN, POINTER_AND_END = 9.0, 28.0
"""Portrait: the part of the width used by neither the number nor its words, and the part for the other numbers (mm)."""
LONG_ROUTE = 7
"""The most marks in one row; more take the room of other text."""
SIDE, SIDE_MARGIN = 62.0, 3.6
"""The least width of the column beside the drawing, and the part of it not used by the number (mm)."""
LEAST_NUMBER = 14.0
"""The least height of the number's figures (mm)."""


class PieceView(CardView):
    """Draws a PieceCard: the number to cut to, the piece to scale, its marks, and the one large button."""

    said, warning, caution = StringProperty(""), StringProperty(""), StringProperty("")
    side_mm = NumericProperty(SIDE)
    """Landscape: the width of the column beside the drawing."""
    upright = BooleanProperty(False)
    more_above = BooleanProperty(False)
    """Whether `This piece` is beside the title."""
    undo_words = StringProperty(say("Undo"))
    angles = ListProperty([("", ""), ("", "")])
    """What is set on the saw's two scales besides the number; empty where there is nothing."""
    beside_mm = NumericProperty(PLAIN)
    """The height that these need."""
    inset = NumericProperty(0)
    lines = StringProperty("")
    """What else is beside the number."""
    plain = StringProperty("")
    """The number as text."""
    share = NumericProperty(0.585)
    """The number's part of the width."""
    tight = BooleanProperty(False)
    """Whether the text beside the number needs the room of a large headline."""

    def on_kv_post(self, base_widget: object) -> None:
        self.fbind("upright", self._place_more)
        self.fbind("upright", self._say)
        self.fbind("width", self._share_out)
        self.fbind("caution", self._say)
        self._place_more()

    def _place_more(self, *_: object) -> None:
        """`This piece` is beside the large button; in portrait beside the title, because the button's words need the
        width."""
        if self.upright == self.more_above:
            return
        self.more_above = self.upright
        more, foot = self.ids.more, self.ids.foot
        more.parent.remove_widget(more)
        if self.upright:
            self.ids.head.add_widget(more)
        else:
            foot.add_widget(more, 1)

    def _redrawn(self, *_: object) -> None:
        self.undo_words = _undo_words(self.card)
        stacked = any(isinstance(reading, Reading) for reading, _ in self.card.to_set.angles)
        self.beside_mm = STACKED if stacked else PLAIN
        number = self.card.to_set.reading
        self.side_mm = max(SIDE, figures_width(number, LEAST_NUMBER) + SIDE_MARGIN)
        self._say()
        self._share_out()

    def _share_out(self, *_: object) -> None:
        """Portrait: the number gets what its largest figures need, its words at least what their first line needs. A
        maker's own step may have no number at all: then its words have the width."""
        if self.card is None or self.width <= 1:
            return
        theme, number, headline = current_theme(), self.card.to_set.reading, self.card.to_set.headline
        room = self.width / theme.mm - BETWEEN
        words = measure_width(headline, theme.note, True) / theme.mm + (
            POINTER_AND_END if self.card.to_set.which else 7.0
        )
        large, least = (figures_width(number, cap) + 2.0 for cap in (18.0, LEAST_NUMBER))
        self.share = max(least, min(large, room - words)) / room if number else 0.0

    def _say(self, *_: object) -> None:
        """What else to know: a caution always, the rest unless a blocker or a long route needs the room."""
        if self.card is None:
            return
        warns = self.card.said_tone == "caution"
        crowded = bool(self.card.action.why) or len(self.card.marks) > LONG_ROUTE
        self.warning = self.card.said if warns else ""
        self.said = "" if warns or crowded else self.card.said

    def beside(self, card: PieceCard) -> tuple[str, ...]:
        """What is beside the number, one line each."""
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
        """Offer everything else that can be done with this piece."""
        show_life(self.card.key, self.show_lay)

    def show_lay(self) -> None:
        """Show large how the piece lies on the saw."""
        LaySheet(card=self.card).open_on(the_desk().root)


class Besides(BoxLayout):
    """A smaller number with its name below: an angle of the saw, what a taper leaves, the position of the next hole."""

    reading = ObjectProperty("", allownone=True)
    words = StringProperty("")
    sizes = ListProperty([9.5, 7])
    share, high_mm = NumericProperty(0), NumericProperty(PLAIN)
    """Portrait: its part of the width, and its height."""
    row_mm, figures_mm = NumericProperty(ROW), NumericProperty(0)
    """Landscape: its height, and the width of its figures."""

    def on_reading(self, *_: object) -> None:
        self._measure()

    def on_sizes(self, *_: object) -> None:
        self._measure()

    def _measure(self) -> None:
        """The largest of its sizes at which the figures leave enough room for the words."""
        least = min(self.sizes)
        stacked = isinstance(self.reading, Reading) and bool(self.reading.numerator)
        most = least if stacked or max(self.sizes) <= TALL else max(self.sizes)
        widest = max(MOST_FIGURES, figures_width(self.reading, least))
        self.figures_mm = min(figures_width(self.reading, most), widest) + ROUNDED
        self.row_mm = max(ROW, most * (1.75 if stacked else 1) + ROW_GAP)


SHORT = 8
"""How many letters of a name fit on the undo button."""


def _undo_words(card: Any) -> str:
    """What the button undoes, where that isn't obvious: on another piece, or on several."""
    undo = card.undo if card else None
    if undo is None or (undo.key == card.key and not undo.name.startswith("all ")):
        return say("Undo")
    return say("Undo {undo}", undo=undo.name) if len(undo.name) <= SHORT else say("Undo last")


class LaidShape(Tappable, ShapeView):
    """The drawing on the card; a tap shows every cut large, with its words, and so does `This piece`."""
