"""Clocks that have ended fill the screen until a person answers, over everything on it; the sound comes second and
repeats.

The frame flashes once a second, well below the three flashes that can harm (WCAG 2.2, 2.3.1); the words inside don't
flash.
"""

from __future__ import annotations

from typing import Literal

from kivy.clock import Clock
from kivy.core.window import Window
from kivy.properties import BooleanProperty, ObjectProperty

from tracker.cards.clocks.alarm import AlarmCard, Sound, alarm_card, anything_runs, nearly_over
from tracker.screens.desk import Desk
from tracker.screens.overlays.wipe import WipeLock
from tracker.screens.toolkit.overlay import Overlay

HALF_FLASH = 0.5
"""Seconds lit, and seconds dark: one flash a second."""
OFTEN, SELDOM = 4.0, 60.0
"""Seconds between two sounds: at first, and after `PATIENCE`, when nobody is there or someone may be asleep."""
PATIENCE = 180.0


class AlarmView(Overlay):
    """Draws an AlarmCard over everything. `lit` says whether the frame is lit."""

    stays = True
    card = ObjectProperty(None, rebind=True, allownone=True)
    lit = BooleanProperty(True)

    def begin(self) -> None:
        """Start flashing."""
        self._flashing = Clock.schedule_interval(self._flash, HALF_FLASH)

    def _flash(self, _seconds: float) -> None:
        self.lit = not self.lit

    def end(self) -> None:
        """Remove the alarm and stop flashing."""
        self._flashing.cancel()
        self.close()


class AlarmWatch:
    """Checks the clocks once a second: shows and removes the alarm, plays its sound, keeps the display on."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.view: AlarmView | None = None
        self._since = 0.0
        self._sounded: dict[Sound, float] = {}
        self._said_soon: set[tuple[str, str]] = set()

    def look(self, *_: object) -> None:
        """Check the clocks now."""
        floors = self._desk.floors()
        awake = anything_runs(floors)
        if Window.allow_screensaver == awake:
            Window.allow_screensaver = not awake
        card = alarm_card(floors)
        self._show(card)
        now = Clock.time()
        if card is not None:
            self._call(card.sound, now, OFTEN if now - self._since < PATIENCE else SELDOM)
        elif nearly_over(floors):
            self._call("soon", now, OFTEN)

    def _show(self, card: AlarmCard | None) -> None:
        if card is None:
            if self.view is not None:
                self.view.end()
                self.view = None
            return
        if self.view is None:
            self.view = AlarmView()
            self.view.begin()
            self._since = Clock.time()
            self._desk.guard.screen_changed()  # a tap in progress was meant for what is covered now
        elif self.view.card is not None and self.view.card.answer != card.answer:
            self._since = Clock.time()
            self._desk.guard.screen_changed()
        self.view.card = card
        self._raise(self.view)

    def _raise(self, view: AlarmView) -> None:
        """Cover everything but a screen that is being wiped: a rag must not answer an alarm. It is heard in the
        meantime."""
        root = self._desk.root
        others = [child for child in root.children if child is not view]
        place = 1 if isinstance(others[0], WipeLock) else 0
        if view.parent is None or root.children[place] is not view:
            view.close()
            root.add_widget(view, place)

    def _call(self, call: Sound, now: float, every: float) -> None:
        if now - self._sounded.get(call, float("-inf")) >= every:
            self._sounded[call] = now
            self._desk.sounds.play(call)

    def answer(self, how: Literal["seen", "open", "go"] = "seen") -> None:
        """A person stopped the alarm, wants the card as well, or did what had to be done."""
        if self.view is None or self.view.card is None:
            return
        card = self.view.card
        answers = (card.go,) if how == "go" and card.go else card.answers if how == "seen" else (card.answer,)
        for each in answers:
            self._desk.answer(each.run, each)
        self.look()
        if how == "open":
            self._desk.open_item_of_run(card.run, card.key)

    def close(self) -> None:
        """The app is closing; that answers nothing."""
        self._show(None)
        self._desk.sounds.close()
