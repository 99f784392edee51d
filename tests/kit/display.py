"""Something for Kivy to draw on, chosen before Kivy is imported.

KERFCARD_TEST_DISPLAY = auto | offscreen | xvfb | here | null
  auto       offscreen when the libraries are there, else Xvfb, else DISPLAY; else every screen test fails and says why
  offscreen  SDL's own EGL driver, no X server (Debian: libgl1 libegl1)
  xvfb       a private Xvfb (Debian: xvfb libgl1)
  here       whatever DISPLAY says
  null       no pixels at all: layout, text sizes, touches and keys are real. Tests marked `pixels` are skipped.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from functools import cache

from tracker.screens.display import CANVAS as CANVAS
from tracker.screens.display import NoDisplayError, choose_driver, need_libraries, prepare

MODES = ("auto", "offscreen", "xvfb", "here", "null")
DPI = 224.0


def mode() -> str:
    """The requested mode, with `auto` resolved. Raises NoDisplayError when there is nothing to draw on."""
    asked = os.environ.get("KERFCARD_TEST_DISPLAY", "auto")
    if asked not in MODES:
        raise NoDisplayError(f"KERFCARD_TEST_DISPLAY={asked!r} is none of {', '.join(MODES)}.")
    if asked != "auto":
        return asked
    try:
        need_libraries("offscreen")
    except NoDisplayError as missing:
        if shutil.which("Xvfb"):
            return "xvfb"
        if os.environ.get("DISPLAY"):
            return "here"
        raise NoDisplayError(f"{missing} (or set KERFCARD_TEST_DISPLAY=null to run without pixels)") from None
    return "offscreen"


def environment() -> None:
    """Kivy's settings for tests, for any display; cheap, and safe for tests that never draw."""
    home = tempfile.mkdtemp(prefix="kerfcard-kivy-")
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    os.environ["KIVY_HOME"] = home
    os.environ["SDL_AUDIODRIVER"] = "dummy"
    os.environ["LIBGL_ALWAYS_SOFTWARE"] = "1"  # the same pixels on every machine
    os.environ["KIVY_DPI"], os.environ["KIVY_METRICS_DENSITY"] = f"{DPI:g}", f"{DPI / 160:g}"
    os.environ["KIVY_METRICS_FONTSCALE"] = "1"
    os.environ["KCFG_GRAPHICS_WIDTH"], os.environ["KCFG_GRAPHICS_HEIGHT"] = map(str, CANVAS)
    prepare(size=CANVAS, dpi=DPI)


@cache
def open_window() -> str:
    """Make the display ready for Kivy's one window, once for the process, before anything imports it; returns the mode.

    Raises NoDisplayError when there is nothing to draw on.
    """
    chosen = open_display()
    if chosen == "null":
        from kit import nullwindow

        nullwindow.install(CANVAS)
    return chosen


def open_display() -> str:
    """Make the display ready and return its mode. Raises NoDisplayError."""
    chosen = mode()
    if chosen == "null":
        os.environ["KIVY_GL_BACKEND"], os.environ["KIVY_WINDOW"] = "mock", "null"
        return chosen
    if chosen == "offscreen":
        os.environ.pop("DISPLAY", None)
        choose_driver("offscreen")
        return chosen
    need_libraries("x11")
    if chosen == "xvfb":
        os.environ["DISPLAY"] = _start_server()
    elif not os.environ.get("DISPLAY"):
        raise NoDisplayError("KERFCARD_TEST_DISPLAY=here, but DISPLAY is not set.")
    os.environ["SDL_VIDEODRIVER"] = "x11"
    return chosen


def _start_server() -> str:
    """Start an Xvfb that ends with this process, and return its name. Raises NoDisplayError."""
    from kit import xserver

    try:
        server, name = xserver.start_server(*CANVAS)
    except (xserver.MissingProgramError, RuntimeError) as missing:
        raise NoDisplayError(str(missing)) from None
    atexit.register(server.terminate)
    return name
