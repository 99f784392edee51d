"""What Kivy doesn't ask its own SDL: the screens, and which of them shows the window.

The library is the one inside Kivy's wheel, loaded by ctypes; it can be used before Kivy is imported. Where it isn't
found (another system, another build of Kivy) there are no answers, and the app uses what Kivy reports.
"""

from __future__ import annotations

import ctypes
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from msgspec import Struct

_VIDEO = 0x20
"""SDL_INIT_VIDEO."""


class Screen(Struct, frozen=True):
    """One screen: its name, and its position among all screens (points)."""

    name: str
    x: int
    y: int
    width: int
    height: int


@cache
def library() -> ctypes.CDLL | None:
    """The SDL of Kivy's wheel, or None."""
    spec = find_spec("kivy")
    for folder in spec.submodule_search_locations or () if spec else ():
        for file in sorted(Path(folder).parent.glob("Kivy.libs/libSDL2-2*.so*")):
            try:
                sdl = ctypes.CDLL(str(file))
            except OSError:
                continue
            sdl.SDL_GetDisplayName.restype = ctypes.c_char_p
            sdl.SDL_GL_GetCurrentWindow.restype = ctypes.c_void_p
            sdl.SDL_GetWindowDisplayIndex.argtypes = [ctypes.c_void_p]
            return sdl
    return None


def start_video() -> None:
    """Connect to the screens before Kivy does; Kivy then uses the same connection. A failure here is a failure in Kivy,
    too, which reports the reason."""
    sdl = library()
    if sdl is not None:
        sdl.SDL_InitSubSystem(_VIDEO)


def screens() -> tuple[Screen, ...]:
    """Every screen, the one for new windows first; empty where SDL isn't connected to any."""
    sdl = library()
    if sdl is None or not sdl.SDL_WasInit(_VIDEO):
        return ()
    found = (_screen(sdl, at) for at in range(sdl.SDL_GetNumVideoDisplays()))
    return tuple(each for each in found if each is not None)


def screen_of_window() -> Screen | None:
    """The screen that shows the window, or most of it; None before there is a window."""
    sdl = library()
    window = sdl.SDL_GL_GetCurrentWindow() if sdl is not None and sdl.SDL_WasInit(_VIDEO) else None
    if sdl is None or not window:
        return None
    at = sdl.SDL_GetWindowDisplayIndex(window)
    return _screen(sdl, at) if at >= 0 else None


def _screen(sdl: ctypes.CDLL, at: int) -> Screen | None:
    bounds = (ctypes.c_int * 4)()
    if sdl.SDL_GetDisplayBounds(at, bounds) != 0:
        return None
    name = sdl.SDL_GetDisplayName(at) or b""
    return Screen(name.decode("utf-8", "replace"), *bounds)
