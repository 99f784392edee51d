"""Many builds: the cost of checking the clocks beside that with one finished build, and how long the Builds screen
delays a frame.

    .venv/bin/python tests/bench/many_builds.py [FINISHED] [FILES]

FINISHED builds (450) have a glue-up that is over. FILES (30) lie in the folder of builds, a third of them with 500
pieces. Kivy without a graphics chip: layout, text and Python are real, nothing is painted. Prints, fails on no clock.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
os.environ["KERFCARD_TEST_DISPLAY"] = "null"

SAMPLES = ROOT / "sample_projects"
LOOKS = 50


def timed(call: Callable[[], Any]) -> float:
    """Milliseconds."""
    begun = time.perf_counter()
    call()
    return (time.perf_counter() - begun) * 1000


def busy(call: Callable[[], Any]) -> float:
    """Milliseconds of processor time on this thread: a frame's cost for the screen's thread, independent of other work
    on the machine."""
    begun = time.thread_time()
    call()
    return (time.thread_time() - begun) * 1000


def finished(home: Path, builds: int) -> Any:
    """A shop in which this many stools have been glued up and cured, and another build is current."""
    from tracker.shop import Shop
    from tracker.work.clocks.elapsed import Now
    from tracker.work.decide.intents import Answer, Do
    from tracker.work.state.state import running_waits

    passed = 0.0
    shop = Shop(home, lambda: Now(datetime(2026, 3, 2, 8, tzinfo=UTC) + timedelta(seconds=passed), "boot", passed))
    text = (SAMPLES / "stool.toml").read_text(encoding="utf-8")
    for number in range(builds):
        path = home / f"stool_{number}.toml"
        path.write_text(text.replace('name = "Kitchen stool"', f'name = "Stool {number}"'), encoding="utf-8")
        shop.open(path)
        for step in ("dry fit", "spread", "clamp", "unclamp"):
            shop.do(Do("frame:1", step, "Tested: ready"))
        passed += 10 * 86_400
        for running in running_waits(shop.run, shop.state):
            shop.do(Answer(running.entry.id))
    shop.open(SAMPLES / "planter.toml")
    return shop


def looks(builds: int) -> tuple[float, float]:
    """The first check of the clocks, and the median of the next ones (ms)."""
    with tempfile.TemporaryDirectory() as home:
        shop = finished(Path(home), builds)
        first = timed(shop.runs)
        later = statistics.median(timed(shop.runs) for _ in range(LOOKS))
        shop.close()
    return first, later


def frames(files: int) -> None:
    """The longest frame while Builds is opened for the first time, and while a large build is opened."""
    from kit.scripted import screen_without_pixels

    start = screen_without_pixels((1280, 800), 149.0)
    from kit.story import Maker, new_app
    from scroll import build_of

    from tracker.store.gc_pause import resume

    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "kerfcard"
        (home / "builds").mkdir(parents=True)
        small = (SAMPLES / "planter.toml").read_text(encoding="utf-8")
        for number in range(files):
            text, old = (build_of(500), "A long list") if number % 3 == 0 else (small, "Doorstep planter")
            (home / "builds" / f"b{number:02}.toml").write_text(text.replace(old, f"Build {number}"), encoding="utf-8")
        maker = Maker(start(lambda time: new_app(home, time)))
        driver, app = maker.driver, maker.app
        driver.run_for(0.5, 0.1)
        resume(True, freeze=True)  # as the start does after the first frame
        idle = [timed(lambda: driver.frames(1)) for _ in range(60)]
        app.go("settings")
        shown = busy(lambda: (app.go("builds"), driver.frames(1)))
        while_read = []
        while app.root.screen._reading:
            while_read.append(busy(lambda: driver.frames(1)))
            time.sleep(0.01)
        app.open_build(home / "builds" / "b01.toml")  # the screen of the work is imported
        driver.run_for(1.0, 0.1)
        app.open_build(home / "builds" / "b00.toml")
        opening = []
        while app.shop.run is None or app.shop.run.build.name != "Build 0" or len(opening) < 10:
            opening.append(busy(lambda: driver.frames(1)))
            time.sleep(0.01)
        redrawn = statistics.median(busy(app.redraw) for _ in range(10))
        said = f"{max(while_read):.0f} ms at most in {len(while_read)} frames" if while_read else "nothing left to read"
        print(f"{files} build files: idle frame {statistics.median(idle):.1f} ms, Builds shown {shown:.0f} ms,")
        print(f"  while files are read {said};")
        print(
            f"  500 pieces opened: longest frame {max(opening):.0f} ms, their queue drawn again {redrawn:.0f} ms (busy)"
        )
        driver.stop()


def main() -> None:
    builds, files = (int(word) for word in (sys.argv[1:3] + ["450", "30"][len(sys.argv[1:3]) :]))
    one, many = looks(1), looks(builds)
    print(f"finished builds:       1: first look {one[0]:7.2f} ms, then {one[1]:7.3f} ms")
    print(f"finished builds: {builds:7}: first look {many[0]:7.2f} ms, then {many[1]:7.3f} ms")
    frames(files)


if __name__ == "__main__":
    main()
