"""How long a touch takes: to the first changed frame, and to its fact on the disk and its mark on the card.

    python tests/bench/response.py [--taps 1000]

Processor side only, on no pixels (software drawing says nothing about a tablet's): the frame in which a finger lands,
and the frame in which it is lifted, with the commit and the drawing of the card in it, beside an idle frame and a bare
commit of the same size in the same run.
"""

from __future__ import annotations

import argparse
import gc
import sqlite3
import sys
import tempfile
import time
from pathlib import Path
from statistics import median, quantiles
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--taps", type=int, default=1000)
    taps = asked.parse_args().taps
    from kit.scripted import maker_at_the_saw, screen_without_pixels

    start = screen_without_pixels()
    from tracker.screens.toolkit.buttons import SmallButton

    with tempfile.TemporaryDirectory() as home:
        maker = maker_at_the_saw(start, Path(home))
        gc.freeze()  # as the app does once its first frame is drawn: `tracker.screens.start`
        driver, idle, landed, lifted, bare = maker.driver, [], [], [], []
        commit = bare_commits(Path(home) / "bare.db")
        for tap in range(taps):
            undo = next(each for each in driver.find(SmallButton) if each.text.startswith("Undo"))
            button = undo if tap % 2 else maker.big_button()
            idle.append(timed(lambda: driver.frames(1)))
            place = driver._place(button)
            finger = put(driver, place)
            landed.append(timed(lambda: driver.frames(1)))
            driver.run_for(0.08)
            driver._hand.queue.append(("end", finger))
            finger.time_end = driver.time.wall
            before = len(maker.app.shop.entries())
            lifted.append(timed(lambda: driver.frames(1)))
            assert len(maker.app.shop.entries()) == before + 1, "acknowledged within the frame"
            bare.append(timed(commit))
            driver.run_for(0.5, 0.05)
        driver.stop()
    print(f"{taps} taps, milliseconds              median     p95     p99     max")
    for name, times in (
        ("an idle frame", idle),
        ("finger lands: the frame that answers", landed),
        ("finger lifts: committed and drawn", lifted),
        ("a bare commit", bare),
    ):
        cuts = quantiles(times, n=100)
        print(f"{name:38} {median(times):8.2f} {cuts[94]:7.2f} {cuts[98]:7.2f} {max(times):7.2f}")


def put(driver: Any, place: tuple[float, float]) -> Any:
    from tracker.tour.headless import Finger

    driver._count += 1
    finger = Finger(driver._count, place, driver.time.wall)
    driver._hand.queue.append(("begin", finger))
    return finger


def bare_commits(path: Path):  # type: ignore[no-untyped-def]
    """One row in its own transaction, as safe as the log's."""
    bare = sqlite3.connect(path, isolation_level=None)
    bare.execute("PRAGMA journal_mode = WAL")
    bare.execute("PRAGMA synchronous = FULL")
    bare.execute("CREATE TABLE rows (words TEXT)")
    return lambda: bare.execute("INSERT INTO rows VALUES (?)", ("x" * 300,))


def timed(act) -> float:  # type: ignore[no-untyped-def]
    started = time.perf_counter()
    act()
    return (time.perf_counter() - started) * 1000


if __name__ == "__main__":
    main()
