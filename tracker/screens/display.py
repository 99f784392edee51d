"""What must be decided before Kivy is imported: it reads its environment once, and opens its window on import.

Nothing here imports Kivy at the top, so `kerfcard` can say in one sentence why it can't draw.
"""

from __future__ import annotations

import ctypes
import logging
import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from tracker.assets import asset_dir
from tracker.words import say

Display = Literal["native", "x11", "kms", "offscreen"]

POINTER = "kerfcard_pointer"
"""Our name for Kivy's mouse with true times; `tracker.screens.device.pointer` registers it."""
CANVAS = (2560, 2560)
"""The size in points of an offscreen window, which is opened once: every tablet's screen fits in it, upright and
sideways."""
_NOISE = ("MTDev is not supported", "Cutbuffer: Unable to find", "xclip", "xsel")


class NoDisplayError(RuntimeError):
    """There is nothing to draw on; the message is one sentence for the user."""


def find_display(environment: Mapping[str, str] = os.environ, cards: Path = Path("/dev/dri")) -> Display:
    """What a window would open on. Raises NoDisplayError when there is no screen.

    The SDL inside Kivy's wheel supports X11 and KMS, not Wayland: a Wayland desktop needs XWayland, which sets DISPLAY.
    """
    if not sys.platform.startswith("linux") or "ANDROID_ARGUMENT" in environment:
        return "native"
    if environment.get("SDL_VIDEODRIVER") == "offscreen":
        return "offscreen"
    if environment.get("DISPLAY"):
        return "x11"
    if environment.get("WAYLAND_DISPLAY"):
        raise NoDisplayError(
            say("This Wayland desktop has no XWayland, which Kerfcard draws through: install xwayland.")
        )
    if any(os.access(card, os.R_OK | os.W_OK) for card in sorted(cards.glob("card*"))):
        return "kms"
    raise NoDisplayError(
        say("There is no screen here: neither a desktop (DISPLAY is not set) nor a display of its own.")
    )


def need_libraries(display: Display) -> None:
    """Raises NoDisplayError, naming the packages, when the system's graphics libraries are missing."""
    if not sys.platform.startswith("linux") or display == "native":
        return
    wanted = ["libGL.so.1"] if display == "x11" else ["libGL.so.1", "libEGL.so.1"]
    for name in wanted:
        try:
            ctypes.CDLL(name)
        except OSError:
            raise NoDisplayError(
                say(
                    (
                        "Kerfcard cannot draw, because {name} is missing; on Debian: apt-get install -y "
                        "--no-install-recommends libgl1 libegl1"
                    ),
                    name=name,
                )
            ) from None


def choose_driver(display: Display) -> None:
    """Let SDL draw on `display`. Call it before SDL is used.

    Raises NoDisplayError when the graphics libraries are missing.
    """
    need_libraries(display)
    if display == "offscreen":
        os.environ["SDL_VIDEODRIVER"] = "offscreen"
        os.environ.setdefault("SDL_AUDIODRIVER", "dummy")
    elif display == "kms":
        os.environ.setdefault("SDL_VIDEODRIVER", "KMSDRM")


def prepare(
    *, display: Display | None = None, size: tuple[int, int] | None = None, dpi: float | None, full_screen: bool = False
) -> None:
    """Set Kivy's environment. Call it before anything imports Kivy; a value that is already set is kept.

    `display` comes from `find_display`, or is "offscreen"; `size` of the window in points of the screen; `dpi` is
    points per inch, so that a millimetre is a millimetre, or None for the system's value. Raises NoDisplayError when
    the graphics libraries are missing.
    """
    if display:
        choose_driver(display)
    env = os.environ.setdefault
    env("KIVY_NO_ARGS", "1")  # the command line is ours
    env("KIVY_LOG_MODE", "PYTHON")  # plain logging: stderr isn't captured, tracebacks stay
    env("KIVY_NO_CONFIG", "1")
    env("KIVY_NO_FILELOG", "1")
    env("KIVY_WINDOW", "sdl2")  # otherwise a missing screen leads to a provider that exits the process
    env("KCFG_KIVY_LOG_LEVEL", "warning")
    env("KCFG_KIVY_EXIT_ON_ESCAPE", "0")
    env("KCFG_GRAPHICS_MULTISAMPLES", "0")
    env("KCFG_GRAPHICS_MAXFPS", "60")
    if full_screen:
        env("KCFG_GRAPHICS_FULLSCREEN", "auto")
    if size:
        env("KCFG_GRAPHICS_WIDTH", str(size[0]))
        env("KCFG_GRAPHICS_HEIGHT", str(size[1]))
    if dpi is not None:
        env("KIVY_DPI", f"{dpi:g}")
        env("KIVY_METRICS_DENSITY", f"{dpi / 160:g}")
    if "ANDROID_ARGUMENT" not in os.environ:
        # One finger is one touch: the mouse is ignored while a touch screen is read directly, and a right click leaves
        # no ghost finger. On Android the latter would double every touch.
        env("KCFG_INPUT_MOUSE", f"{POINTER},disable_on_activity,disable_multitouch")
    log = logging.getLogger("kivy")
    if not any(isinstance(known, _DropKnownNoise) for known in log.filters):
        log.addFilter(_DropKnownNoise())


def load_kv_once(*names: str) -> None:
    """Load kv files by name, each once for the process: loading a file twice would double every child."""
    from kivy.lang import Builder

    for name in names:
        path = str(asset_dir("kv") / name)
        if path not in Builder.files:
            Builder.load_file(path)


class _DropKnownNoise(logging.Filter):
    """Kivy logs whole tracebacks if an optional helper is missing."""

    def filter(self, record: logging.LogRecord) -> bool:
        text = str(record.msg)
        return not any(word in text for word in _NOISE)
