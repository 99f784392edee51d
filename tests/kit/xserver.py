"""An X server for a test (Xvfb), and input and pictures that know nothing of the app: everything is seen and tapped
through X."""

from __future__ import annotations

import contextlib
import ctypes
import os
import shutil
import signal
import subprocess
import time
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from PIL import Image, ImageGrab
from Xlib import X, display
from Xlib.error import BadDrawable, BadWindow
from Xlib.ext import xtest
from Xlib.protocol import event

TITLE = "Kerfcard"


class Window(NamedTuple):
    """The position of a window in X, in points of the screen."""

    x: int
    y: int
    width: int
    height: int


class MissingProgramError(RuntimeError):
    """A program that tests need isn't installed; the message says how to install it."""


def program(name: str, package: str) -> str:
    """The path of a program. Raises MissingProgramError."""
    found = shutil.which(name)
    if found is None:
        raise MissingProgramError(f"{name} is missing; on Debian: apt-get install -y --no-install-recommends {package}")
    return found


def _die_with_parent() -> None:
    ctypes.CDLL(None).prctl(1, signal.SIGTERM)


def start_server(width: int, height: int) -> tuple[subprocess.Popen[bytes], str]:
    """Start an Xvfb on a free display, which ends with this process; returns it and the display's name.

    Raises MissingProgramError; raises RuntimeError where it doesn't start.
    """
    read, write = os.pipe()
    command = [program("Xvfb", "xvfb libgl1"), "-displayfd", str(write), "-nolisten", "tcp", "-noreset"]
    server = subprocess.Popen(
        [*command, "-screen", "0", f"{width}x{height}x24"],
        pass_fds=(write,),
        preexec_fn=_die_with_parent,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    with os.fdopen(read) as pipe:
        number = pipe.readline().strip()  # comes when the server is ready, or ends when it died
    if not number:
        raise RuntimeError("Xvfb did not start.")
    return server, f":{number}"


class XServer:
    """A screen of this many points, with or without a window manager. Use it as a context manager."""

    def __init__(self, width: int, height: int, manager: str = "") -> None:
        self.size = (width, height)
        self._manager = manager
        self._running: list[subprocess.Popen[bytes]] = []

    def __enter__(self) -> XServer:
        server, self.name = start_server(*self.size)
        self._running.append(server)
        self._display = display.Display(self.name)
        if self._manager:
            command = [program(self._manager, self._manager)]
            quiet: dict[str, Any] = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
            environment = {**os.environ, "DISPLAY": self.name}
            self._running.append(subprocess.Popen(command, env=environment, preexec_fn=_die_with_parent, **quiet))
            self.until(self._is_managed)
        return self

    def __exit__(self, *_: object) -> None:
        self._display.close()
        for each in reversed(self._running):
            each.terminate()
            each.wait(10)

    def _is_managed(self) -> bool:
        """Extended Window Manager Hints 1.5: a window manager names its own window on the root."""
        atom = self._display.intern_atom("_NET_SUPPORTING_WM_CHECK")
        return self._display.screen().root.get_full_property(atom, 0) is not None

    def until(self, true: Callable[[], Any], seconds: float = 30.0) -> Any:
        """The result of `true()` once it is true. Raises TimeoutError."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if found := true():
                return found
            time.sleep(0.15)
        raise TimeoutError(f"not so after {seconds} s: {true}")

    # Eyes

    def window(self) -> Window | None:
        """The position of the app's window, by X's own geometry; None while there is none."""
        root = self._display.screen().root
        with contextlib.suppress(BadWindow, BadDrawable):  # the window that was queried has just closed
            for each in self._app_windows():
                if each.get_attributes().map_state == X.IsViewable:
                    geometry = each.get_geometry()
                    corner = root.translate_coords(each, 0, 0)
                    return Window(corner.x, corner.y, geometry.width, geometry.height)
        return None

    def _app_windows(self) -> Iterator[Any]:
        for each in _below(self._display.screen().root):
            if each.get_full_text_property(self._display.intern_atom("_NET_WM_NAME")) == TITLE:
                yield each

    def picture(self) -> Image.Image:
        """A picture of the whole screen."""
        return ImageGrab.grab(xdisplay=self.name).convert("RGB")

    # Hands

    def touch(self, x: float, y: float, seconds: float = 0.1) -> None:
        """The finger goes down at a position measured from the upper left corner, and up again."""
        self.press(x, y)
        time.sleep(seconds)
        self.release()

    def press(self, x: float, y: float) -> None:
        xtest.fake_input(self._display, X.MotionNotify, x=round(x), y=round(y))
        xtest.fake_input(self._display, X.ButtonPress, 1)
        self._display.sync()

    def release(self) -> None:
        xtest.fake_input(self._display, X.ButtonRelease, 1)
        self._display.sync()

    def ask_to_close(self) -> None:
        """Do what a window manager's close button does (ICCCM 4.1.2.7, WM_DELETE_WINDOW)."""
        protocols, delete = (self._display.intern_atom(name) for name in ("WM_PROTOCOLS", "WM_DELETE_WINDOW"))
        for each in self._app_windows():
            data = (32, [delete, X.CurrentTime, 0, 0, 0])
            each.send_event(event.ClientMessage(window=each, client_type=protocols, data=data))
        self._display.sync()


def _below(window: Any) -> Iterator[Any]:
    for each in window.query_tree().children:
        yield each
        yield from _below(each)
