"""Rows that depend on the hand that taps, and on the orientation of the screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from kivy.properties import BooleanProperty, OptionProperty
from kivy.uix.boxlayout import BoxLayout

HANDS = ("right", "left")


class Handed(BoxLayout):
    """A row whose first child is on the left for a right hand and on the right for a left hand, so that what is tapped
    is under the hand that taps.

    With `turns`, the row becomes a column when the screen is in portrait, with its last child on top: what is read is
    above what is tapped.
    """

    handedness = OptionProperty("right", options=list(HANDS))
    upright = BooleanProperty(False)
    turns = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.fbind("handedness", self._trigger_layout)
        self.fbind("upright", self._turn)
        self.fbind("turns", self._turn)
        self._turn()

    def _turn(self, *_: object) -> None:
        if self.turns:
            self.orientation = "vertical" if self.upright else "horizontal"

    def _iterate_layout(self, sizes: Sequence[Any]) -> Iterator[tuple[int, float, float, float, float]]:
        """BoxLayout's positions, mirrored."""
        for at, x, y, width, height in super()._iterate_layout(sizes):
            if self.orientation == "vertical":
                yield at, x, (self.y + self.top - y - height if self.turns else y), width, height
            else:
                yield at, (self.x + self.right - x - width if self.handedness == "left" else x), y, width, height
