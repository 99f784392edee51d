"""Running waits: a face for a card, a chip for the left column. The time left is passed in, never counted here."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, NumericProperty, StringProperty

from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.text import count_lines
from tracker.screens.toolkit.theme import SCALE, font_size
from tracker.screens.toolkit.touch import Tappable


class ClockChip(Tappable, Plate):
    """In the left column: 16 mm high.

    title   what waits: `Base, clamps off`
    time    `22:40`, ready from measure.span.countdown
    share   what is left of the wait, 1 to 0
    tone    "waiting" while it runs, "caution" when overdue, "done" when it is over
    """

    title = StringProperty("")
    time = StringProperty("")
    share = NumericProperty(0.0)
    tone = StringProperty("waiting")


class ClockFace(Tappable, Plate):
    """One clock, large: a ring of the time left around its shape, and the time beside it; a tap shows more about it.

    title, time, share, tone as in ClockChip; note is further information, e.g. the source of the length of the wait;
    large is for the one clock that must not be overrun.
    """

    title = StringProperty("")
    time = StringProperty("")
    note = StringProperty("")
    share = NumericProperty(0.0)
    tone = StringProperty("waiting")
    large = BooleanProperty(False)
    upright = BooleanProperty(False)
    note_lines = NumericProperty(1)
    high_mm = NumericProperty(34.0)
    """Output: its height."""
    least_mm = 22.0

    def __init__(self, **kwargs: Any) -> None:
        self._arrange = Clock.create_trigger(self._word, -1)
        super().__init__(**kwargs)
        for name in ("note", "width", "mm", "large", "upright"):
            self.fbind(name, self._arrange)

    def _word(self, *_: object) -> None:
        width = self.width - (52 if self.large else 38) * self.mm
        lines = count_lines(self.note, font_size(SCALE["fine"], self.mm), width)
        most = 2 if self.large else 3
        self.note_lines = max(1, min(most, lines))
        large = 44.0 if self.upright else 50.0
        self.high_mm = large if self.large else 28.5 + 6.0 * min(most, lines)
