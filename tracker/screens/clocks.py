"""Running waits: a face for the clocks' own screen, a chip for the strip along the top. What is left is given, never
counted here."""

from __future__ import annotations

from kivy.properties import NumericProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.screens.buttons import Plate
from tracker.screens.theme import Themed
from tracker.screens.touch import Tappable


class ClockChip(Tappable, Plate):
    """In the strip: 16 mm high.

    title   what waits: `Base, clamps off`
    time    `22:40`, ready from measure.span.countdown
    share   what is left of the wait, 1 to 0
    tone    "waiting" while it runs, "caution" when overdue, "done" when it is over
    """

    title = StringProperty("")
    time = StringProperty("")
    share = NumericProperty(0.0)
    tone = StringProperty("waiting")


class ClockFace(Themed, BoxLayout):
    """One clock, large: a ring of what is left around the time, the title and a note beside it.

    title, time, share, tone as in ClockChip; word is the state in a word (`clamped`, `over by`); note is one sentence,
    e.g. that the label on the bottle overrules.
    """

    title = StringProperty("")
    time = StringProperty("")
    word = StringProperty("")
    note = StringProperty("")
    share = NumericProperty(0.0)
    tone = StringProperty("waiting")
