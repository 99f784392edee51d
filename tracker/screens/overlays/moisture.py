"""A moisture meter's reading of a piece or a board, typed on full-size keys."""

from __future__ import annotations

from kivy.properties import BooleanProperty, StringProperty

from tracker.cards.keypad.moisture import METER, moisture_entry, moisture_said, read_moisture
from tracker.screens.desk import the_desk
from tracker.screens.overlays.cover import Cover
from tracker.words import say


class MoistureCover(Cover):
    """`what` is the name of the piece or the board."""

    what = StringProperty("")
    shown = StringProperty("")
    said = StringProperty("")
    complete = BooleanProperty(False)

    def draw(self) -> None:
        self.entry = moisture_entry()
        self.title = say("{what}: moisture", what=self.what)
        self._known = moisture_said(the_desk().floor(), self.key)
        self._show()

    def press(self, key: str) -> None:
        """A key was tapped."""
        self.entry = self.entry.press(key)
        self._show()

    def erase(self) -> None:
        """Erase the last key."""
        self.entry = self.entry.erase()
        self._show()

    def _show(self) -> None:
        self.shown = f"{self.entry.typed or '–'} %"
        last = say("Last: {known}. ", known=self._known) if self._known else ""
        self.said = self.entry.block or say("{last}Used instead of the shop's air. {meter}", last=last, meter=METER)
        self.complete = self.entry.value is not None
        self.ids.pad.allow(self.entry.takes, bool(self.entry.typed))

    def keep(self) -> None:
        """Store the reading."""
        if self.entry.value is not None:
            self.close()
            the_desk().act(read_moisture(self.run, self.key, self.entry.value))
