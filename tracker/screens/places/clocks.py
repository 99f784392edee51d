"""Every running clock, large, the most urgent first, and the tap that answers one that has ended."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.clocks.clocks import ClockView, clock_question, clocks_card
from tracker.cards.clocks.day import day_line
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.drawing.day import DayDrawing as DayDrawing
from tracker.screens.overlays.clock_question import ask_about_clocks
from tracker.screens.toolkit.text import count_lines
from tracker.screens.toolkit.theme import SCALE, font_size
from tracker.words import say

BESIDE = 58.5
"""The part of a row's width not used by its words, in millimetres: ring, button, gaps (kv/clock_wall.kv)."""

FEW = 2
"""Up to this many clocks are drawn larger."""


class ClockRow(BoxLayout):
    """One clock with a button: it shows the piece's card while the clock is running, and stops the alarm afterwards."""

    view: ClockView = ObjectProperty(None, rebind=True, allownone=True)
    title = StringProperty("")
    said = StringProperty("")
    said_lines = NumericProperty(1)
    said_font = NumericProperty(1)
    large = BooleanProperty(False)
    """A few clocks have room for numbers that can be read from further away."""

    def __init__(self, **kwargs: Any) -> None:
        self._arrange = Clock.create_trigger(self._word, -1)
        super().__init__(**kwargs)
        for name in ("said", "width", "large"):
            self.fbind(name, self._arrange)

    def _word(self, *_: object) -> None:
        mm = the_desk().theme.mm
        self.said_font = font_size(SCALE["note" if self.large else "fine"], mm)
        self.said_lines = max(1, min(7, count_lines(self.said, self.said_font, self.width - BESIDE * mm)))

    def on_view(self, *_: object) -> None:
        view, run = self.view, the_desk().shop.run
        here = run is not None and view.run == run.name
        self.title = f"{view.title}: {view.word}" if here else f"{view.title}, {view.build}: {view.word}"
        when = (view.over_words, view.said) if view.over else (view.until,)
        self.said = " · ".join(word for word in (*when, view.notes) if word)

    def tapped(self) -> None:
        """Stop the alarm of a clock that has ended, or show the card of one that is running."""
        if self.view.answer is not None:
            the_desk().answer(self.view.run, self.view.answer)
        else:
            the_desk().open_item_of_run(self.view.run, self.view.key)


class ClocksScreen(CardScreen):
    """The clocks of every build in work."""

    ticks = True
    question = StringProperty("")
    day = ObjectProperty(None, allownone=True)
    """The hours ahead, drawn again once a minute."""

    def draw(self) -> None:
        desk = the_desk()
        floors = desk.floors()
        card = clocks_card(*floors)
        rows = self.ids.rows
        while len(rows.children) > len(card.clocks):
            rows.remove_widget(rows.children[0])
        while len(rows.children) < len(card.clocks):
            rows.add_widget(ClockRow())
        for row, view in zip(reversed(rows.children), card.clocks, strict=True):
            row.view, row.large = view, len(card.clocks) <= FEW
        self.card = card
        now = floors[0].local(floors[0].now.wall).replace(second=0, microsecond=0)
        self.day = day_line(card.clocks, now)
        question = clock_question(floors)
        self.question = say("The tablet was off: check the times") if question else ""

    def ask(self) -> None:
        """Show the times that a person may confirm: they need more room than the column has."""
        ask_about_clocks()
