"""A queue of 500 pieces: the cost of one frame of scrolling beside that of an empty list, and the cost of a tap.

    .venv/bin/python tests/bench/scroll.py [PIECES]

Kivy without a graphics chip: layout, text and Python are real, nothing is painted. Times are of one run.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
import os  # noqa: E402

os.environ["KERFCARD_TEST_DISPLAY"] = "null"
from kit import display  # noqa: E402

display.environment()
display.open_window()

FRAMES = 300
STEP = 30
"""Points that a finger moves the list in each frame."""

BUILD = """
[build]
name = "A long list"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 20
width = 60
lengths = [2000]
"""


def build_of(pieces: int) -> str:
    """A build of this many pieces in parts of 25, each part with its own length."""
    parts = []
    for number in range(1, -(-pieces // 25) + 1):
        quantity = min(25, pieces - 25 * (number - 1))
        parts.append(
            f'[[parts]]\nid = "p{number}"\nname = "Part {number}"\nquantity = {quantity}\nwood = "ash"\n'
            f"length = {200 + number}\nallowance = 10\n"
        )
    return BUILD + "\n".join(parts)


def main() -> None:
    pieces = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    from tracker.screens.start import app_on
    from tracker.tour.headless import HandTime, Stage
    from tracker.work.decide.intents import Do

    hand = HandTime()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        (home / "long.toml").write_text(build_of(pieces), encoding="utf-8")
        stage = Stage(app_on(home / "kerfcard", settings={"first steps": "seen"}), hand)
        stage.start()
        stage.resize(1920, 1200, 224)
        app = stage.app
        app.open_build(home / "long.toml")
        until(lambda: app.root.current == "station", stage)  # many pieces are planned beside the screen
        stage.frames(10)
        app.root.screen.show_list()
        stage.frames(10)
        queue = app.root.children[0].ids.list
        rows = len(queue.rows)
        full = scrolled(stage, queue)
        queue.rows = []
        stage.frames(5)
        empty = scrolled(stage, queue)
        app.root.children[0].close()
        stage.frames(5)
        draws = [seconds(app.redraw) for _ in range(10)]
        keys = [piece.key for piece in app.shop.run.pieces][:20]
        taps = [seconds(lambda key=key: (app.act(Do(key, "cut")), stage.frames(2))) for key in keys]
        stage.stop()
    print(f"{rows} rows of {pieces} pieces, {FRAMES} frames of {STEP} points each")
    for name, times in (("a queue of them", full), ("an empty list", empty)):
        print(f"{name:>16}: {said(times)}")
    print(f"   ratio of means: {statistics.mean(full) / statistics.mean(empty):.2f}")
    print(f"the screen drawn again where nothing changed: median {statistics.median(draws):.1f} ms")
    print(f"a step ticked, on the disk, and the two frames that show it: median {statistics.median(taps):.1f} ms")


def until(ready: Callable[[], bool], stage: Any, most: float = 60.0) -> None:
    """Draw frames until something is so; what another thread or process does takes real time."""
    end = time.monotonic() + most
    while not ready():
        if time.monotonic() > end:
            raise TimeoutError("the build was not opened")
        stage.frames(1)
        time.sleep(0.01)


def scrolled(stage: Any, queue: Any) -> list[float]:
    """Milliseconds of each frame while the list moves by this many points in each frame, down and up again."""
    view, found = queue.ids.view, []
    beyond = max(1.0, view.children[0].height - view.height)
    way, at = 1, 0.0
    for _ in range(FRAMES):
        at += way * STEP / beyond
        if not 0 <= at <= 1:
            way, at = -way, min(1.0, max(0.0, at))
        view.scroll_y = 1 - at
        found.append(seconds(lambda: stage.frames(1)))
    return found


def seconds(work: Callable[[], Any]) -> float:
    """Milliseconds that something takes."""
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000


def said(times: list[float]) -> str:
    ordered = sorted(times)
    late = ordered[int(len(ordered) * 0.95)]
    return f"mean {statistics.mean(times):.2f} ms, median {statistics.median(times):.2f} ms, p95 {late:.2f} ms a frame"


if __name__ == "__main__":
    main()
