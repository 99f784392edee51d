"""The tape's keypad: enter a measured length, over the whole screen."""

from __future__ import annotations

from typing import Any

from kivy.properties import ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.cards.keypad.length import TapeCard, TapeEntry, tape_card
from tracker.measure import Length, Mark
from tracker.screens.toolkit.buttons import BigButton
from tracker.screens.toolkit.fraction import Figures
from tracker.screens.toolkit.keypad import KeyGrid
from tracker.screens.toolkit.overlay import Overlay, show_only
from tracker.screens.toolkit.theme import current_theme
from tracker.words import say


class DigitKeys(KeyGrid):
    """The ten digits."""


class FractionKeys(KeyGrid):
    """The denominators of the tape, or its parts of a millimetre."""


class KeepHeld(BoxLayout):
    """Stores an unlikely value: held for a second. It is 6 mm away from the keys."""

    __events__ = ("on_tap",)
    text = StringProperty("")
    sub_text = StringProperty("")

    def on_tap(self) -> None: ...


class TapeSheet(Overlay):
    """Types one length on full-size keys. on_kept(length): it was stored, and the sheet is closed.

    A value far from the planned one must be held for a second to be stored.
    """

    __events__ = ("on_kept",)
    card: TapeCard = ObjectProperty(None, rebind=True, allownone=True)
    echo = ObjectProperty(None, allownone=True)
    """The keys typed so far, as Figures."""

    def __init__(self, title: str, what: str, planned: Length, mark: Mark, **kwargs: Any) -> None:
        self.title, self.what, self.planned = title, what, planned
        super().__init__(**kwargs)
        self._digits, self._fractions, self._numerators = DigitKeys(), FractionKeys(), KeyGrid()
        self._keep, self._held = BigButton(text=say("Save")), KeepHeld()
        for grid in (self._digits, self._fractions, self._numerators):
            grid.bind(on_key=lambda _grid, key: self.press(key))
        for button in (self._keep, self._held):
            button.bind(on_tap=lambda _button: self.keep())
        self._show(TapeEntry(mark=mark))

    @property
    def entry(self) -> TapeEntry:
        """The entry so far."""
        return self.card.entry

    def press(self, key: str) -> None:
        """A key was tapped."""
        self._show(self.entry.press(key))

    def erase(self) -> None:
        """Erase the last key."""
        self._show(self.entry.erase())

    def keep(self) -> None:
        """Store the value."""
        length = self.entry.length
        if length is not None:
            self.close()
            self.dispatch("on_kept", length)

    def on_kept(self, length: Length) -> None: ...

    def _show(self, entry: TapeEntry) -> None:
        self.card = tape_card(self.title, self.what, self.planned, entry)
        self.echo = figures_of(entry)
        if entry.numerator_keys:
            self._numerators.columns = {32: 0, 16: 8, 8: 4}.get(len(entry.numerator_keys), 4)
            self._numerators.keys = list(entry.numerator_keys)
            show_only(self.ids.pad, self._numerators)
            show_only(self.ids.keep)
            return
        dead = [face.key for face in (*entry.digit_keys, *entry.fraction_keys) if not entry.takes(face.key)]
        digits, fractions = list(entry.digit_keys), list(entry.fraction_keys)
        self._digits.columns = 5
        if (
            len(fractions) == 1
        ):  # a lone half millimetre is one of the other keys: last, or at the end of their first row
            upright = current_theme().upright
            digits, fractions = [*digits, *fractions] if upright else [*digits[:5], *fractions, *digits[5:]], []
            self._digits.columns = 4 if upright else 6
        self._digits.keys, self._fractions.keys = digits, fractions
        self._fractions.columns = 3 if len(fractions) > 4 else 2
        self._digits.dead = self._fractions.dead = dead
        show_only(self.ids.pad, *((self._digits, self._fractions) if fractions else (self._digits,)))
        said = say("Save {reading}", reading=entry.reading.text) if entry.reading else say("Save")
        self._keep.text, self._keep.disabled = said, entry.length is None
        self._held.text, self._held.sub_text = said, say("{doubt} Hold for one second.", doubt=self.card.doubt)
        show_only(self.ids.keep, self._held if self.card.doubt else self._keep)


def figures_of(entry: TapeEntry) -> Figures:
    """The entry as it is typeset, with a `?` while the numerator is missing."""
    unit = "″" if entry.mark.units == "in" else "mm"
    whole, part = entry.whole, entry.numerator
    if entry.mark.units == "mm":
        return Figures(f"{float(int(whole or 0) + part):g}" if part else whole or "–", unit=unit)
    if part:
        return Figures(whole, str(part.numerator), str(part.denominator), unit)
    if entry.denominator:
        return Figures(whole, "?", str(entry.denominator), unit)
    return Figures(whole or "–", unit=unit)
