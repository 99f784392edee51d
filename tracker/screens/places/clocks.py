"""Every running clock, large, the most urgent first, and the tap that answers one that has ended."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.clocks.clocks import ClockView, clock_question, clocks_card
from tracker.cards.clocks.day import day_line
from tracker.screens.base import CardScreen
from tracker.screens.desk import the_desk
from tracker.screens.drawing.day import DayDrawing as DayDrawing
from tracker.screens.overlays.clock_question import ask_about_clocks
from tracker.screens.shell import CHIPS
from tracker.screens.toolkit.text import count_lines
from tracker.screens.toolkit.theme import SCALE, font_size
from tracker.words import say

GAPS, STACKED_GAPS = 10.5, 4.5
"""The paddings and gaps across a row, and across one whose parts are below each other (mm)."""
FEW = 2
"""Up to this many clocks are drawn larger."""
RING, LARGE_RING, BUTTON, LARGE_BUTTON = 22.0, 50.0, 26.0, 36.0
"""The width of the ring and of the button in a row, and of those of a clock that is alone (mm)."""


class ClockRow(BoxLayout):
    """One clock with a button: it shows the piece's card while the clock is running, and stops the alarm afterwards."""

    view: ClockView = ObjectProperty(None, rebind=True, allownone=True)
    title = StringProperty("")
    said = StringProperty("")
    said_lines = NumericProperty(1)
    said_font = NumericProperty(1)
    large = BooleanProperty(False)
    """A few clocks have room for numbers that can be read from further away."""
    alone = BooleanProperty(False)
    """The only clock takes all the room."""
    stacked = BooleanProperty(False)
    """Whether its ring is above its words, and the button below them."""
    fill = NumericProperty(0)
    """The height that it should have, if its words don't need more (points)."""
    ring_mm, button_mm = NumericProperty(RING), NumericProperty(BUTTON)
    sizes = ListProperty([9.5, 7.0])
    """Heights of the time left to choose from (mm)."""

    def __init__(self, **kwargs: Any) -> None:
        self._arrange = Clock.create_trigger(self._word, -1)
        super().__init__(**kwargs)
        for name in ("said", "width", "large", "alone", "stacked"):
            self.fbind(name, self._arrange)

    def _word(self, *_: object) -> None:
        mm = the_desk().theme.mm
        self.ring_mm, self.button_mm = (LARGE_RING, LARGE_BUTTON) if self.alone else (RING, BUTTON)
        few = [14.0, 9.5, 7.0] if self.large else [9.5, 7.0]
        self.sizes = [24.0, 18.0, *few] if self.alone else few
        beside = STACKED_GAPS if self.stacked else self.ring_mm + self.button_mm + GAPS
        self.said_font = font_size(SCALE["note" if self.large else "fine"], mm)
        self.said_lines = max(1, min(7, count_lines(self.said, self.said_font, self.width - beside * mm)))

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
    single = BooleanProperty(False)
    """Whether only one clock is running."""
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
        self.single = len(card.clocks) == 1
        self.ids.clocks.most = 0 if self.single else CHIPS
        for row, view in zip(reversed(rows.children), card.clocks, strict=True):
            row.view, row.large, row.alone = view, len(card.clocks) <= FEW, self.single
        self.card = card
        now = floors[0].local(floors[0].now.wall).replace(second=0, microsecond=0)
        self.day = day_line(card.clocks, now)
        question = clock_question(floors)
        self.question = say("The tablet was off: check the times") if question else ""
        self._fill()

    def on_kv_post(self, base_widget: object) -> None:
        self.ids.view.fbind("height", self._fill)
        self.ids.day.fbind("height", self._fill)

    def _fill(self, *_: object) -> None:
        """The only clock has the height above the day."""
        room = self.ids.view.height - self.ids.day.height - 2 * the_desk().theme.grid
        for row in self.ids.rows.children:
            row.fill = room if self.single else 0

    def ask(self) -> None:
        """Show the times that a person may confirm: they need more room than the column has."""
        ask_about_clocks()
