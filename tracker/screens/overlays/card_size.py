"""Measuring a screen that doesn't report its size: a bank card is held to it, and an outline is fitted to the card.

All bank cards have one size, 85.60 × 53.98 mm (ISO/IEC 7810, ID-1), so the outline then gives the points per
millimetre. Buttons move its edge: the other hand holds the card.
"""

from __future__ import annotations

from collections.abc import Callable

from kivy.properties import ListProperty, NumericProperty

from tracker.screens.desk import the_desk
from tracker.screens.device.this_screen import CARD_MM, LEAST_DPI, MOST_DPI
from tracker.screens.toolkit.overlay import Overlay

COARSE, FINE = 1.04, 1.004
"""How much one tap enlarges the outline: by 3.4 mm of a card's width, or by 0.34 mm."""


class CardSize(Overlay):
    """`outline` is the card's width and height in points of the screen at `dpi`; the area `room` must contain it."""

    dpi = NumericProperty(LEAST_DPI)
    outline = ListProperty([0, 0])
    room = ListProperty([0, 0])
    rim = NumericProperty(1)
    """The width of the frame's line, inside the outline."""

    def __init__(self, then: Callable[[], None] = lambda: None) -> None:
        """`then` is called when the sheet is closed, measured or not."""
        self._then = then
        super().__init__()
        self.bind(dpi=self._draw, room=self._draw)
        self.dpi = the_desk().screen.scale.dpi
        self._draw()

    def begin(self) -> None:
        """Lay the sheet over the shell."""
        the_desk().guard.screen_changed()
        self.open_on(the_desk().root)

    def _draw(self, *_: object) -> None:
        self.outline = [side / 25.4 * self.dpi for side in CARD_MM]

    @property
    def most_dpi(self) -> float:
        """The resolution up to which the outline fits on this screen."""
        fits = min(points / side * 25.4 for points, side in zip(self.room, CARD_MM, strict=True))
        return max(LEAST_DPI, min(MOST_DPI, fits))

    def change(self, factor: float) -> None:
        """Make the outline larger or smaller."""
        self.dpi = max(LEAST_DPI, min(self.most_dpi, self.dpi * factor))

    def accept(self) -> None:
        """The card and the outline have the same size."""
        self.close()
        the_desk().measure_screen(self.dpi)
        self._then()

    def leave(self) -> None:
        """Not now; it can be done later in the settings."""
        self.close()
        the_desk().screen.keep_unmeasured()
        self._then()
