"""The looks in which the tour's pictures are taken (screens, themes, hands, units), and the app set to one of them."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from pathlib import Path
from typing import Any

from msgspec import Struct

from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.start import app_on
from tracker.work.clocks.elapsed import Now

SCREEN_SIZES = {
    "1920x1200": (1920, 1200, 224.0),
    "1280x800": (1280, 800, 149.0),
    "2560x1600": (2560, 1600, 299.0),
    "800x480": (800, 480, 133.0),
    "1200x1920": (1200, 1920, 224.0),
    "800x1280": (800, 1280, 149.0),
    **{f"{dpi} dpi": (round(217.6 / 25.4 * dpi), round(136 / 25.4 * dpi), float(dpi)) for dpi in (160, 240, 320)},
}
"""The name, points and density of the tablets for the pictures. All but one have a screen of 218 × 136 mm, in landscape
or portrait; the one of 800 × 480 points measures 153 × 92 mm, and everything on it is smaller."""


class Look(Struct, frozen=True):
    """The look of a tablet: its screen, its theme, the hand that works it, and the units it reads lengths in."""

    screen: str
    theme: str = "day"
    hand: str = "right"
    units: str = ""

    @property
    def name(self) -> str:
        """`1920x1200 day right`."""
        return f"{self.screen} {self.theme} {self.hand}{f' {self.units}' if self.units else ''}"


LOOKS = (
    *(Look(*each) for each in product(("1920x1200", "1200x1920"), ("day", "shop"), ("right", "left"))),
    Look("1280x800"),
    Look("800x1280", "shop", "left"),
    Look("2560x1600", "shop"),
    Look("800x480"),
    Look("800x480", "shop", "left", "mm"),
    Look("1280x800", units="in"),
    Look("1200x1920", units="mm"),
)
"""Both themes, both hands, landscape and portrait; then the other screens, and lengths in other units than the
file's."""
FEW = (Look("1920x1200"), Look("1200x1920", "shop", "left"))


def app_with(look: Look, home: Path, clock: Callable[[], Now], **settings: str) -> Any:
    """The app as `kerfcard` starts it, with a new shop in `home`. The tablet is set as the look and `settings` say, and
    its screen counts as measured."""
    screen = ThisScreen(home, environment={})
    screen.keep_card(SCREEN_SIZES[look.screen][2])
    settings = {"theme": look.theme, "handed": look.hand, "units": look.units, **settings}
    return app_on(home, screen=screen, clock=clock, settings=settings)
