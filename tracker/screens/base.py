"""The base of every screen: one card, redrawn whenever the shop changes."""

from __future__ import annotations

from typing import Any

from kivy.properties import NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from tracker.screens.lazy import WithLooks
from tracker.screens.toolkit.handed import Handed


class CardScreen(WithLooks, Handed):
    """A screen of the shell: a LeftColumn, and beside it the card (kv/shell.kv says where, depending on hand and
    screen).

    `card` is the frozen value that its kv file reads; `draw` makes a new one.
    """

    title = StringProperty("")
    """The name of the place, where no card has a title: above the column, in portrait above everything."""
    card = ObjectProperty(None, rebind=True, allownone=True)
    grids = NumericProperty(1)
    """The gap between column and card in landscape, in multiples of the grid: 2 where something to hold is beside a
    button."""
    needs_run = True
    """False for a screen that can be shown while no build is open."""
    ticks = False
    """True for a screen with a running clock, which is redrawn every second."""

    def draw(self) -> None:
        """Make the card again from the present state of the shop."""
        raise AttributeError(f"{type(self).__name__} draws no card")

    @property
    def assembly_scanned_into(self) -> str:
        """The key of the assembly whose parts are checked in here by scanning; empty where a scan shows a card."""
        return ""

    def says(self, sentence: str) -> bool:
        """Whether the screen shows messages about scans itself; otherwise the banner shows them."""
        return False

    def leave(self) -> None:
        """The shell is about to show another screen."""


class CardView(WithLooks, BoxLayout):
    """A part of a screen that draws one card: that of a piece or an assembly."""

    card = ObjectProperty(None, rebind=True, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.bind(card=self._redrawn)

    def _redrawn(self, *_: object) -> None:
        """For what kv can't express."""
