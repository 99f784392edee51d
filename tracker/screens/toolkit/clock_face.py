"""Running waits: a face for a card, a chip for the left column. The time left is passed in, never counted here."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, NumericProperty, StringProperty

from tracker.screens.toolkit.buttons import Plate
from tracker.screens.toolkit.text import count_lines, largest_type, lines_height, measure_width
from tracker.screens.toolkit.theme import SCALE, font_size
from tracker.screens.toolkit.touch import Tappable
from tracker.words import say

CHIP_MARGIN = 15.8
"""The part of a chip's width not used by its words: padding, ring and the gap beside it (mm)."""
BADGE = 0.8
"""The margin beside the words of a chip's badge (mm)."""
NARROW = 110.0
"""The width below which a clock's ring is smaller, so that its words keep their size (mm)."""


class ClockChip(Tappable, Plate):
    """In the left column: 18 mm high, or more where the title needs more lines.

    title   what waits: `Base, clamps off`
    time    `22:40`, ready from measure.span.countdown
    share   what is left of the wait, 1 to 0
    tone    "waiting" while it runs, "caution" when overdue, "done" when it is over
    more    how many more are running, on a badge beside the time: `+2`
    """

    title = StringProperty("")
    time = StringProperty("")
    share = NumericProperty(0.0)
    tone = StringProperty("waiting")
    more = NumericProperty(0)
    badge, badge_width = StringProperty(""), NumericProperty(0)
    title_font, title_lines = NumericProperty(1), NumericProperty(1)
    high_mm = NumericProperty(18.0)
    """Output: its height."""
    least_mm = 15.0

    def __init__(self, **kwargs: Any) -> None:
        self._arrange = Clock.create_trigger(self._word, -1)
        super().__init__(**kwargs)
        for name in ("title", "width", "mm", "more"):
            self.fbind(name, self._arrange)

    def _word(self, *_: object) -> None:
        width = self.width - CHIP_MARGIN * self.mm
        note, fine = font_size(SCALE["note"], self.mm), font_size(SCALE["fine"], self.mm)
        self.badge = say("+{more}", more=int(self.more)) if self.more else ""
        self.badge_width = measure_width(self.badge, note, True) + 2 * BADGE * self.mm if self.more else 0
        self.title_font = largest_type(self.title, width, [(note, 1)], fine)
        self.title_lines = max(1, count_lines(self.title, self.title_font, width))
        words = lines_height(1, note) + lines_height(self.title_lines, self.title_font)
        self.high_mm = max(18.0, words / self.mm + 2.6)


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
    most_mm = NumericProperty(1000.0)
    """The greatest height that it may have: the note is set smaller, then left out."""
    note_font, note_lines = NumericProperty(1), NumericProperty(1)
    ring_mm, title_lines = NumericProperty(28.0), NumericProperty(1)
    high_mm = NumericProperty(34.0)
    """Output: its height."""
    least_mm = 22.0

    def __init__(self, **kwargs: Any) -> None:
        self._arrange = Clock.create_trigger(self._word, -1)
        super().__init__(**kwargs)
        for name in ("title", "tone", "note", "width", "mm", "large", "upright", "most_mm"):
            self.fbind(name, self._arrange)

    def _word(self, *_: object) -> None:
        narrow = self.width < NARROW * self.mm
        self.ring_mm = (32.0 if narrow else 42.0) if self.large else (24.0 if narrow else 28.0)
        width = self.width - (self.ring_mm + 10.0) * self.mm
        note, fine = font_size(SCALE["note"], self.mm), font_size(SCALE["fine"], self.mm)
        bold = self.tone != "waiting"
        title = min(2, max(1, count_lines(self.title, note, width, bold)))
        least = (32.0 if self.upright else 38.0) if self.large else 28.5
        choices = [(title, *each) for each in ((note, 3), (fine, 4), (fine, 0))]
        for self.title_lines, self.note_font, most in (*choices, (1, fine, 0)):
            self.note_lines = min(most, count_lines(self.note, self.note_font, width))
            words = lines_height(self.note_lines, self.note_font) + lines_height(self.title_lines - 1, note)
            high = least + words / self.mm
            if high <= self.most_mm and (not most or count_lines(self.note, self.note_font, width) <= most):
                break
        self.high_mm = max(high, least + 12.0 if self.large and self.most_mm > least + 12.0 else high)
