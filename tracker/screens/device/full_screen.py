"""Making the window fill the screen, even if the window system ignores the request.

SDL assumes that a request for full screen is granted. A bare X server and some kiosk compositors ignore it: the window
keeps its size, and the app is laid out for a screen of which only a corner is visible.
"""

from __future__ import annotations

import ctypes
from typing import Any

from kivy.clock import Clock

from tracker.screens.device.sdl import Screen
from tracker.screens.device.this_screen import ThisScreen

SETTLE_SECONDS = 0.5
"""The longest time that a window manager takes to place a new window."""
TRIES = 20


class FullScreen:
    """Compares the window with its screen until they agree; after `TRIES` it gives up."""

    def __init__(self, window: Any, screen: ThisScreen) -> None:
        self._window, self._screen = window, screen
        self._left = TRIES

    def watch(self) -> None:
        """Check when the window has settled."""
        Clock.schedule_once(self._look, SETTLE_SECONDS)

    def _look(self, _seconds: float) -> None:
        screen, drawn = self._screen.screen, drawn_size(self._window)
        self._left -= 1
        if screen is None or drawn is None or self._left < 0:
            return
        size = (screen.width, screen.height)
        if drawn != size or tuple(self._window.system_size) != size:
            self._mend(screen)
            self.watch()

    def _mend(self, screen: Screen) -> None:
        """A borderless window, as large as the screen and in its corner. Kivy applies one change for each frame."""
        window = self._window
        if window.fullscreen:
            window.fullscreen, window.borderless = False, True
            return
        window.system_size = (screen.width - 1, screen.height)  # Kivy passes on only a new size
        Clock.schedule_once(lambda _: setattr(window, "system_size", (screen.width, screen.height)), 0.1)
        window.left, window.top = screen.x, screen.y


def drawn_size(window: Any) -> tuple[int, int] | None:
    """The width and height of the window in X (points); None where the window isn't X's."""
    try:
        x11 = ctypes.CDLL("libX11.so.6")
        known = window.get_window_info()
        display, ident = ctypes.c_void_p(known.display), ctypes.c_ulong(known.window)
    except (OSError, AttributeError, NotImplementedError):
        return None
    root, border, depth = ctypes.c_ulong(), ctypes.c_uint(), ctypes.c_uint()
    x, y, width, height = ctypes.c_int(), ctypes.c_int(), ctypes.c_uint(), ctypes.c_uint()
    answers = (root, x, y, width, height, border, depth)
    if not x11.XGetGeometry(display, ident, *(ctypes.byref(each) for each in answers)):
        return None
    return width.value, height.value
