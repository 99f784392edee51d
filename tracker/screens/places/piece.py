"""The card of the current piece."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import (
    BooleanProperty,
    ListProperty,
    NumericProperty,
    ObjectProperty,
    OptionProperty,
    StringProperty,
)
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.piece.piece import PieceCard
from tracker.measure import Reading
from tracker.screens.base import CardView
from tracker.screens.desk import the_desk
from tracker.screens.drawing.shape import ShapeView
from tracker.screens.overlays.on_the_saw import LaySheet
from tracker.screens.overlays.piece_options import show_life
from tracker.screens.toolkit.fraction import figures_width
from tracker.screens.toolkit.text import count_lines, lines_height, measure_width
from tracker.screens.toolkit.theme import current_theme
from tracker.screens.toolkit.touch import Tappable
from tracker.words import say

PLAIN, STACKED = 16.4, 19.6
"""Portrait: the height of a smaller number with the words below it, without and with a fraction (mm)."""
ROW, ROW_GAP, TALL, MOST_FIGURES = 10.0, 2.4, 7.0, 27.0
"""Landscape: the least height of a row with a smaller number and its words, the space in it, the largest figures of one
of two numbers, and the greatest width of figures (mm)."""
ROUNDED = 0.7
"""Room in millimetres for the widening of letters when their widths are rounded to the screen's points."""
BETWEEN, POINTER_AND_END = 9.0, 28.0
"""Portrait: the part of the width used by neither the number nor its words, and the part for the other numbers (mm)."""
LONG_ROUTE = 7
"""On a card with more marks than this, help is shown only if it fits below the number."""
WIDER = (0.0, 3.0, 6.0, 9.0, 12.0, 15.0, 18.0)
"""Landscape: the widenings of the column to try, in millimetres, until the words fit into it; below the column they
would take more room from the drawing."""
SIDE, SIDE_MARGIN = 62.0, 4.6
"""The least width of the column beside the drawing, and the part of it not used by the number (mm)."""
LEAST_NUMBER = 14.0
"""The least height of the figures of the number (mm)."""
ONE, BOTH = (8.6, 7.0), (7.0, 6.0)
"""The heights that the figures of a smaller number may have, if there is one and if there are two (mm)."""
PLAIN_NUMBER, STACKED_NUMBER = 19.5, 24.2
"""The height of the number, without and with a fraction (mm)."""


class PieceView(CardView):
    """Draws a PieceCard: the number to cut to, the piece to scale, its marks, and the one large button."""

    why, which = StringProperty(""), StringProperty("")
    aside, aside_tone = StringProperty(""), OptionProperty("", options=["", "caution", "waiting"])
    """The other words about this piece: a warning, otherwise what is in the way, otherwise help."""
    aside_beside = BooleanProperty(False)
    """Whether these words fit below the number; otherwise they take room from the drawing."""
    lines_beside = NumericProperty(0)
    """Landscape: how many lines of words are below the number."""
    number_mm = NumericProperty(STACKED_NUMBER)
    """Landscape: the height of the number with the gaps around it."""
    small_angle = BooleanProperty(False)
    """Landscape: whether a lone smaller number is set in the smaller figures, so that the other words fit below it."""
    marks_under = BooleanProperty(False)
    """Landscape: whether the marks are in one row below the drawing, so that the column reaches further down."""
    side_mm = NumericProperty(SIDE)
    """Landscape: the width of the column beside the drawing."""
    upright = BooleanProperty(False)
    more_above = BooleanProperty(False)
    """Whether `This piece` is beside the title."""
    undo_words = StringProperty(say("Undo"))
    angles = ListProperty([("", ""), ("", "")])
    """The smaller numbers, such as the angles on the two scales of the saw, with their words; empty if there are
    none."""
    beside_mm = NumericProperty(PLAIN)
    """The height of the smaller numbers (mm)."""
    inset = NumericProperty(0)
    lines = StringProperty("")
    """The other words beside the number."""
    plain = StringProperty("")
    """The number as text."""
    share = NumericProperty(0.585)
    """The number's part of the width."""
    tight = BooleanProperty(False)
    """Whether the text beside the number needs the room of a large headline."""

    _least_side = SIDE

    def on_kv_post(self, base_widget: object) -> None:
        self.fbind("upright", self._place_more)
        self.fbind("width", self._share_out)
        self._say = Clock.create_trigger(self._say_aside, -1)
        for name in ("upright", "width", "lines"):
            self.fbind(name, self._say)
        for room in (self.ids.column, self.ids.named, self.ids.angles):
            room.bind(height=self._say)
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
        self.number_mm = STACKED_NUMBER if isinstance(number, Reading) and number.numerator else PLAIN_NUMBER
        end, _, more = self.card.to_set.which.partition(",")
        self.which = end if more else ""
        self._least_side = max(SIDE, figures_width(number, LEAST_NUMBER) + SIDE_MARGIN)
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

    def _say_aside(self, *_: object) -> None:
        """Choose the other words and their place: a warning first, then what is in the way, then help, which is left
        out if a long route needs the room."""
        if self.card is None:
            return
        why, warns = self.card.action.why, self.card.said_tone == "caution"
        aside = self.card.said if warns or not why else why
        self.aside_tone = "caution" if warns else "waiting" if why else ""
        self.why = why if warns else ""
        self._place_marks()
        self.lines_beside = 0 if self.upright else count_lines(self.lines, current_theme().note, self._beside_width(0))
        sizes = [(small, each) for small in (False, True) for each in WIDER]
        self.small_angle, wider = next((each for each in sizes if self._has_room(aside, *each)), (False, None))
        self.aside_beside = not self.upright and wider is not None
        self.side_mm = self._least_side + (wider or 0)
        crowded = len(self.card.marks) > LONG_ROUTE
        self.aside = aside if self.aside_tone or self.aside_beside or not crowded else ""

    def _beside_width(self, wider: float) -> float:
        """Landscape: the width in points for the words below the number, in a column `wider` mm wider than the
        least."""
        return (self._least_side + wider) * current_theme().mm - 1.75 * self.inset

    def _has_room(self, aside: str, small: bool, wider: float) -> bool:
        """Landscape: whether the words fit below the number and the smaller numbers in the larger type."""
        theme, ids = current_theme(), self.ids
        sign = 7 * theme.mm if self.aside_tone else 0
        lines = count_lines(aside, theme.note, self._beside_width(wider) - sign, self.aside_tone == "caution")
        readings = [reading for reading, _ in self.angles if reading]
        largest = ONE[0] if len(readings) == 1 and not small else BOTH[0]
        angles = sum(row_height(reading, largest) for reading in readings) * theme.mm
        taken = ids.number.height + ids.named.height + angles
        needed = lines_height(self.lines_beside, theme.note) + lines_height(lines, theme.note) + 0.5 * theme.mm
        return bool(taken + needed <= ids.column.height)

    def _place_marks(self) -> None:
        """Put the marks into their place: in landscape below the drawing, if they fit into one row there."""
        ids, mm = self.ids, current_theme().mm
        under = not self.upright and ids.marks.row_width() <= self.width - (self._least_side + 8) * mm
        if under == self.marks_under:
            return
        self.marks_under = under
        ids.marks_row.parent.remove_widget(ids.marks_row)
        if under:
            ids.drawn.add_widget(ids.marks_row)
        else:
            self.add_widget(ids.marks_row, len(self.children) - 2)

    def lines_beside_number(self, card: PieceCard) -> tuple[str, ...]:
        """The lines beside the number."""
        number = card.to_set
        if number.angles:
            return ()
        said = tuple(words for words in (*number.lines, number.how) if words)
        return said or (card.section,)

    def act(self) -> None:
        """The large button was tapped: tick the step, or go where it leads."""
        action = self.card.action
        if action.intent is not None:
            the_desk().current_item.tick(action.intent)
        elif action.go is not None and action.go.to == "options":
            self.show_more()
        elif action.go is not None:
            the_desk().current_item.follow(action.go)

    def go_ahead(self) -> None:
        """The large button was tapped though something is in the way."""
        the_desk().offer_anyway(self.card.action)

    def undo(self) -> None:
        """Undo the last thing done to this piece."""
        the_desk().current_item.undo(self.card.undo)

    def show_more(self) -> None:
        """Offer everything else that can be done with this piece."""
        show_life(self.card.key, self.show_lay)

    def show_lay(self) -> None:
        """Show large how the piece lies on the saw."""
        LaySheet(card=self.card).open_on(the_desk().root)


def row_height(reading: Reading | str, largest: float) -> float:
    """Landscape: the height in millimetres of the row of a smaller number whose figures are at most `largest` high;
    those of a fraction are smaller."""
    if isinstance(reading, Reading) and reading.numerator:
        return max(ROW, min(TALL, largest) * 1.75 + ROW_GAP)
    return max(ROW, largest + ROW_GAP)


class SmallNumber(BoxLayout):
    """A smaller number with its name: an angle of the saw, the width that a taper leaves, the position of the next
    hole."""

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
        self.row_mm = row_height(self.reading, most)


UNDO_ROOM = 16.0
"""The room for the words on the undo button (mm)."""


def _undo_words(card: Any) -> str:
    """The words on the undo button. They name what it undoes if that belongs to another piece or to several, and if the
    name fits on the button."""
    undo = card.undo if card else None
    if undo is None or (undo.key == card.key and not undo.several):
        return say("Undo")
    theme = current_theme()
    words = say("Undo {undo}", undo=undo.name)
    lines = count_lines(words, theme.fine, UNDO_ROOM * theme.mm)
    wide = max(measure_width(word, theme.fine) for word in words.split(" "))
    return words if lines <= 2 and wide <= UNDO_ROOM * theme.mm else say("Undo last")


class Aside(BoxLayout):
    """The other words about a piece, in a line or a few.

    tone         the sign before them, or none
    large_lines  the most lines in the larger type; longer words are set in the smaller type
    """

    text, tone = StringProperty(""), StringProperty("")
    large_lines, inset = NumericProperty(2), NumericProperty(0)


class LaidShape(Tappable, ShapeView):
    """The drawing on the card; a tap shows every cut large, with its words, and so does `This piece`."""
