"""The screen during a search for boards: its frames beside idle ones, and the time to the first plan.

    .venv/bin/python -m tests.bench.boards_screen [--blanks 120]

One run, no display. Frames are layout, input and timers, without painting. Never fails by a clock.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

FRAMES = 200
PATIENCE = 60.0


def build_file(blanks: int) -> str:
    """An invented build with this many rails of one wood, in about a quarter as many lengths."""
    chance = random.Random(3)
    parts, left = [], blanks
    while left:
        count = min(left, chance.randint(2, 6))
        left -= count
        number, length = len(parts) + 1, chance.randint(8, 48)
        size = f'quantity = {count}\nwood = "oak"\nlength = {length}'
        parts.append(f'[[parts]]\nid = "r{number}"\nname = "Rail {number}"\n{size}\n')
    return f"""
[build]
name = "Long list"
units = "in"
[woods.oak]
species = "white oak"
section = "4/4x4"
lengths = ["6 ft", "8 ft", "10 ft", "12 ft"]
prices = [17.10, 23.20, 30.50, 37.40]
{"".join(parts)}"""


def frames(stage: Any, count: int = FRAMES) -> str:
    """Times of frames, with the pauses that a screen has between them."""
    times = []
    for _ in range(count):
        start = time.perf_counter()
        stage.frames(1)
        times.append(1000 * (time.perf_counter() - start))
        time.sleep(0.012)
    times.sort()
    return f"median {times[count // 2]:.1f} ms, p95 {times[int(0.95 * count)]:.1f} ms, longest {times[-1]:.0f} ms"


def until(stage: Any, true: Callable[[], object]) -> float:
    """Run frames until it is true; returns the seconds that took."""
    start = time.perf_counter()
    while not true() and time.perf_counter() - start < PATIENCE:
        stage.frames(1)
        time.sleep(0.001)
    return time.perf_counter() - start


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--blanks", type=int, default=120)
    blanks = options.parse_args().blanks
    from tracker.screens.display import prepare

    prepare(display="offscreen", size=(1920, 1200), dpi=224)
    from tracker.tour.headless import HandTime, Stage
    from tracker.tour.looks import Look, app_with
    from tracker.tour.pictures import TourClock
    from tracker.work.decide.intents import Spoil

    with tempfile.TemporaryDirectory() as home:
        os.environ["HOME"] = home
        file = Path(home) / "long_list.toml"
        file.write_text(build_file(blanks))
        hand = HandTime()
        app = app_with(Look("1920x1200"), Path(home) / "kerfcard", TourClock(hand))
        stage = Stage(app, hand)
        stage.start()
        app.open_build(file)
        app.go("boards")
        app.board_search.forget()
        app.go("station")
        stage.run_for(1.0, 0.1)
        print(f"{blanks} blanks\nidle: {frames(stage)}")
        app.go("boards")
        print(f"first plan on the screen after {1000 * until(stage, lambda: app.board_search.answer):.0f} ms")
        print(f"thinking: {frames(stage)}")
        until(stage, lambda: not app.board_search.searching)
        card = app.root.screen.card
        print(card.said)
        app.root.screen.act(card.board)
        for _ in range(3):
            app.root.screen.act(app.root.screen.card.board)
        key, name = app.root.screen.card.board.spoilable[0]
        start = time.perf_counter()
        app.act(Spoil(key, "Cut short"))
        until(stage, lambda: app.board_search.answer)
        print(f"{name} spoiled: a plan to go on with after {1000 * (time.perf_counter() - start):.0f} ms")
        print(app.root.screen.card.said)
        stage.stop()


if __name__ == "__main__":
    main()
