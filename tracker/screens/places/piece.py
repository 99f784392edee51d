"""The card of the piece in hand."""

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
from tracker.screens.toolkit.text import count_lines
from tracker.screens.toolkit.theme import current_theme
from tracker.screens.toolkit.touch import Tappable

PLAIN, STACKED = 18.2, 21.0
"""How high a smaller number and the words below it are, without and with a fraction (mm)."""
TWO_ROWS = 6
"""So many marks take two rows, beside `This piece` too; fewer have room in one, more would take a third."""
BESIDE_UNDO, BESIDE_BOTH = 37.4, 62.4
"""What of the card's width the large button's words don't get, without and with `This piece` beside it (mm)."""


class PieceView(CardView):
    """Draws a PieceCard: the number to cut to, the piece to scale, its marks, and the one large button."""

    crowded = BooleanProperty(False)
    says_more = BooleanProperty(False)
    room = BooleanProperty(True)
    """Whether its title has room in large type."""
    upright = BooleanProperty(False)
    more_above = BooleanProperty(False)
    """Whether `This piece` is beside the marks."""
    undo_words = StringProperty("Undo")
    angles = ListProperty([("", ""), ("", "")])
    """What is set on the saw's two scales besides the number; empty where there is nothing."""
    beside_mm = NumericProperty(PLAIN)
    """What those need in height."""
    inset = NumericProperty(0)
    lines = StringProperty("")
    """What else is beside the number."""
    plain = StringProperty("")
    """The number as text."""
    share = NumericProperty(0.585)
    """The number's part of the width."""
    tight = BooleanProperty(False)
    """Whether what is beside the number needs the room of a large headline."""

    def on_kv_post(self, base_widget: object) -> None:
        for name in ("upright", "card", "width"):
            self.fbind(name, self._place_more)
        self._place_more()

    def _place_more(self, *_: object) -> None:
        """`This piece` is beside the large button; beside the marks where the button's words need its width to stay in
        one line: upright, and where the marks take two rows anyway."""
        above = self.upright or self._words_need_it()
        if above == self.more_above:
            return
        self.more_above = above
        more, foot = self.ids.more, self.ids.foot
        more.parent.remove_widget(more)
        if above:
            self.ids.beside_marks.add_widget(more)
        else:
            foot.add_widget(more, 1)

    def _words_need_it(self) -> bool:
        if not self.card or len(self.card.marks) != TWO_ROWS:
            return False
        theme = current_theme()
        with_it, alone = (self.width - taken * theme.mm for taken in (BESIDE_BOTH, BESIDE_UNDO))
        words = self.card.action.text
        return count_lines(words, theme.task, alone, True) == 1 < count_lines(words, theme.task, with_it, True)

    def _redrawn(self, *_: object) -> None:
        self.undo_words = _undo_words(self.card)
        stacked = any(isinstance(reading, Reading) for reading, _ in self.card.to_set.angles)
        self.beside_mm = STACKED if stacked else PLAIN

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
