"""The resolution of the screen in points per inch, so that a millimetre in a layout is a millimetre under a ruler.

The sources, in this order: the environment (KIVY_DPI), a bank card that was held to this screen, the screen itself (its
EDID). If none knows, 160 is used, and the app asks once for the card.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from msgspec import Struct

from tracker.screens.device.edid import DRM, connected_screens, edid_of
from tracker.screens.device.sdl import Screen, screen_of_window, screens
from tracker.words import say

CARD_MM = (85.60, 53.98)
"""The width and height of a bank card: ISO/IEC 7810, size ID-1."""
LEAST_DPI, MOST_DPI = 60.0, 600.0
"""The plausible range, from a large television to a telephone."""
GUESSED_DPI = 160.0
KEPT = "glass.json"
Source = Literal["environment", "card", "screen", "guess"]


class Scale(Struct, frozen=True):
    """Points per inch of the screen, and the source of the value."""

    dpi: float
    source: Source


def believable(dpi: float) -> bool:
    """Whether a screen can have this resolution."""
    return LEAST_DPI <= dpi <= MOST_DPI


class ThisScreen:
    """The screen that shows the window, and its scale. Measurements by card are stored in `home`, for each screen by
    its name and resolution. Works without a file that can't be read or written."""

    def __init__(self, home: Path, environment: Mapping[str, str] = os.environ, drm: Path = DRM) -> None:
        self._file, self._drm = home / KEPT, drm
        self._set = _number(environment.get("KIVY_DPI"))
        self._kept = _read(self._file)
        self.screen: Screen | None = next(iter(screens()), None)
        self.scale = self._look_up()

    @property
    def asks(self) -> bool:
        """Whether a person must be asked, and wasn't asked yet."""
        return self.scale.source == "guess" and self._key not in self._kept

    def follow_window(self) -> bool:
        """The window has opened or was moved: returns whether the scale on its present screen is another one."""
        self.screen = screen_of_window() or self.screen
        before, self.scale = self.scale, self._look_up()
        return self.scale.dpi != before.dpi

    def keep_card(self, dpi: float) -> None:
        """Store a measurement by bank card for this screen. Raises ValueError for an implausible value."""
        if not believable(dpi):
            raise ValueError(say("no screen has {dpi:g} points to an inch", dpi=dpi))
        self._keep(round(dpi, 2))

    def keep_unmeasured(self) -> None:
        """A person was asked and declined: never ask again for this screen."""
        if self._key not in self._kept:
            self._keep(None)

    def _keep(self, dpi: float | None) -> None:
        self._kept[self._key] = dpi
        self.scale = self._look_up()
        text = json.dumps({key: {"dpi": value} for key, value in sorted(self._kept.items())}, indent=1)
        with contextlib.suppress(OSError):  # the value holds until the app is closed
            self._file.parent.mkdir(parents=True, exist_ok=True)
            new = self._file.with_suffix(".new")
            new.write_text(text + "\n", encoding="utf-8")
            new.replace(self._file)

    @property
    def _key(self) -> str:
        """`eDP-1 1920x1200`; the same upright and lying."""
        if self.screen is None:
            return "unknown"
        sides = self.screen.width, self.screen.height
        return f"{self.screen.name} {max(sides)}x{min(sides)}"

    def _look_up(self) -> Scale:
        if self._set is not None:
            return Scale(self._set, "environment")
        card = self._kept.get(self._key)
        if card is not None:
            return Scale(card, "card")
        said = self._said_by_screen()
        return Scale(said, "screen") if said is not None else Scale(GUESSED_DPI, "guess")

    def _said_by_screen(self) -> float | None:
        """From the screen's own millimetres, for the points it is drawn in now; None where that is implausible."""
        name, points = (self.screen.name, (self.screen.width, self.screen.height)) if self.screen else ("", (0, 0))
        edid = edid_of(name, points, connected_screens(self._drm))
        if edid is None or edid.mm is None:
            return None
        dpi = max(points if self.screen else edid.points) / max(edid.mm) * 25.4
        return round(dpi, 1) if believable(dpi) else None


def _number(text: str | None) -> float | None:
    try:
        return float(text) if text else None
    except ValueError:
        return None


def _read(file: Path) -> dict[str, float | None]:
    """The stored values by screen; damaged ones are left out."""
    try:
        found = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    kept: dict[str, float | None] = {}
    for key, value in found.items() if isinstance(found, dict) else ():
        dpi = value.get("dpi", 0) if isinstance(value, dict) else 0
        if dpi is None or (isinstance(dpi, int | float) and not isinstance(dpi, bool) and believable(dpi)):
            kept[key] = dpi
    return kept
