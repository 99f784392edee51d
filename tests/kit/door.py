"""The real command on a real screen, in a separate process: started as a maker starts it, seen and tapped through X,
its record read afterwards by SQLite alone."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from kit.xserver import XServer
from tracker.screens.toolkit.palette import DAY

COMMAND = Path(sys.executable).with_name("kerfcard")
ACCENT = tuple(round(255 * part) for part in DAY.colour("accent")[:3])
"""The blue of the main button, which tells what to do now."""
NEAR = 24
"""How far a point of the screen may differ from a colour, summed over red, green and blue."""
STILL = 4
"""How many pictures in a row must be equal, because a tapped button stays dark for a while."""
OURS = ("KIVY", "KCFG", "KERFCARD", "SDL", "DISPLAY", "WAYLAND")


class Door:
    """`kerfcard` with these arguments, on a screen, for the maker whose home is `home`. Use it as a context manager: a
    process still running at the end is killed."""

    def __init__(self, server: XServer, home: Path, *arguments: str | Path, **environment: str) -> None:
        self.server, self.record = server, home / "kerfcard"
        inherited = {name: value for name, value in os.environ.items() if not name.startswith(OURS)}
        self._environment: Mapping[str, str] = {
            **inherited,
            "HOME": str(home),
            "KERFCARD_HOME": str(self.record),
            "DISPLAY": server.name,
            "SDL_AUDIODRIVER": "dummy",
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "LP_NUM_THREADS": "1",
            **environment,
        }
        self._command = [str(each) for each in (COMMAND, *arguments)]
        self.errors = ""

    def __enter__(self) -> Door:
        self._process = subprocess.Popen(
            self._command, env=dict(self._environment), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        return self

    def __exit__(self, *_: object) -> None:
        if self._process.poll() is None:
            self._process.kill()
            _, self.errors = self._process.communicate()

    # Eyes

    def see(self, *, button: bool = True, seconds: float = 40.0) -> Image.Image:
        """The picture of the screen when it is still and has a blue button. Fails with the app's output."""
        seen: list[bytes] = []

        def still() -> Image.Image | None:
            if self._process.poll() is not None:
                raise AssertionError(f"it ended with {self._process.returncode}: {self._process.communicate()[1]}")
            picture = self.server.picture()
            seen.append(picture.tobytes())
            return picture if seen[-STILL:] == [seen[-1]] * STILL and (blue_button(picture) or not button) else None

        picture: Image.Image = self.server.until(still, seconds)
        return picture

    def see_other_than(self, before: Image.Image, *, button: bool = True) -> Image.Image:
        """The same, after something has changed."""
        self.server.until(lambda: self.server.picture().tobytes() != before.tobytes())
        return self.see(button=button)

    # Hands

    def tap_button(self, picture: Image.Image, seconds: float = 0.1, *, button: bool = False) -> Image.Image:
        """Touch the blue button in the picture; returns the next picture that has a blue `button`."""
        place = blue_button(picture)
        assert place is not None
        self.server.touch(*place, seconds)
        return self.see_other_than(picture, button=button)

    def stop_the_clock(self) -> None:
        """Stop the process until `go_on`: a frame that takes long."""
        self._process.send_signal(signal.SIGSTOP)

    def go_on(self) -> None:
        self._process.send_signal(signal.SIGCONT)

    def close(self) -> int:
        """Close the window as a person does, and wait; returns the exit code. Its errors are kept."""
        self.server.ask_to_close()
        return self.wait()

    def wait(self) -> int:
        """Wait until the process has ended."""
        _, self.errors = self._process.communicate(timeout=40)
        return self._process.returncode

    def facts(self) -> list[tuple[str, str]]:
        """The kind and data of every entry of the log, in order, read by SQLite after the app has ended."""
        return log_of(self.record)


def log_of(record: Path) -> list[tuple[str, str]]:
    """The kind and data of every entry of the log in a record's folder, in order."""
    with closing(sqlite3.connect(f"file:{record / 'kerfcard.db'}?mode=ro", uri=True)) as log:
        return log.execute("SELECT kind, data FROM entries ORDER BY tablet, count").fetchall()


def blue_button(picture: Image.Image) -> tuple[int, int] | None:
    """The middle of the uppermost surface in the accent's blue, from the upper left corner; None where none is as large
    as a finger. An overlay is above the screen's own button, which is at the foot."""
    side = max(16, picture.height // 20)
    blue: Any = np.abs(np.asarray(picture).astype(int) - np.array(ACCENT)).sum(axis=2) <= NEAR
    sums = np.pad(blue.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    inside = sums[side:, side:] - sums[:-side, side:] - sums[side:, :-side] + sums[:-side, :-side]
    down, across = np.nonzero(inside == side * side)
    if not len(down):
        return None
    foot = _end_of_run(down)
    level = down <= foot
    return int(np.median(across[level])) + side // 2, int(np.median(down[level])) + side // 2


def _end_of_run(places: Any) -> int:
    """The last of the consecutive numbers from the least."""
    known = np.unique(places)
    gaps = np.nonzero(np.diff(known) > 1)[0]
    return int(known[gaps[0]] if len(gaps) else known[-1])
