"""The cost of the picture of an assembly: making it, making it with one piece marked, and the work of the screen's
thread.

    .venv/bin/python tests/bench/furniture.py

Processor time of the thread that does it, in ms: the worker's for a picture, the screen's for every frame from the tap
until the picture has been there for half a second. Nothing is painted: the points go to the graphics chip.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
os.environ["KERFCARD_TEST_DISPLAY"] = "null"
from kit import display  # noqa: E402

from tracker.plan.place import Placed  # noqa: E402

display.environment()
display.open_window()


def frame_costs() -> None:
    from kit.driver import Driver
    from kit.story import Maker, new_app

    from tracker.screens.overlays.picture import PictureCover
    from tracker.tour.headless import HandTime, resize

    hand = HandTime()
    resize(1920, 1200, 224.0)
    with tempfile.TemporaryDirectory() as home:
        driver = Driver(new_app(Path(home), hand), hand)
        driver.start()
        maker = Maker(driver)
        maker.open("Hall bench")
        maker.scan("slat:2")
        shown: list[PictureCover] = []

        def show() -> None:
            shown.append(PictureCover(key="slat:2"))
            shown[0].show()

        def turn() -> None:
            shown[0].turns += 1

        def pull() -> None:
            shown[0].apart = not shown[0].apart

        for name, tap in (("opened", show), ("turned", turn), ("pulled apart", pull), ("turned again", turn)):
            costs = [_timed(tap)]
            before, end = shown[0].ids.drawing.meshes if name != "opened" else (), time.perf_counter() + 10
            while shown[0].ids.drawing.meshes is before and time.perf_counter() < end:
                costs.append(_timed(driver.frames))
                time.sleep(0.002)
            costs += [_timed(driver.frames) for _ in range(30)]
            print(f"{name}: the tap {costs[0]:.1f} ms, the dearest of {len(costs) - 1} frames {max(costs[1:]):.1f} ms")
        driver.stop()


def picture_costs() -> None:
    from tracker.assets import asset_dir
    from tracker.cards.picture import View, picture_of, pulled_apart, seen_from
    from tracker.design.load import load_build
    from tracker.plan.place import Placer
    from tracker.screens.drawing.furniture_mesh import furniture_mesh

    for sample, whole in (("planter", "planter"), ("stool", "stool"), ("hall_bench", "bench")):
        build = load_build((asset_dir("sample_projects") / f"{sample}.toml").read_bytes()).build
        assert build is not None
        start = time.thread_time()
        placed = Placer(build).placed(whole)
        put = time.thread_time()
        seen = seen_from(placed, View())
        ordered = time.thread_time()
        picture = picture_of(placed, seen, {placed[3].key})
        meshes = furniture_mesh(picture, 1400, 900, 8.8)
        drawn = time.thread_time()
        points = sum(len(each.points) // 4 for each in meshes)
        print(
            f"{sample}, {len(placed)} pieces: placed {1000 * (put - start):.0f}, order {1000 * (ordered - put):.0f}, "
            f"one marked and drawn {1000 * (drawn - ordered):.0f} ms; {points} points; "
            f"apart {1000 * _order(pulled_apart(placed)):.0f} ms"
        )


def _order(placed: Sequence[Placed]) -> float:
    from tracker.cards.picture import View, seen_from

    start = time.thread_time()
    seen_from(placed, View())
    return time.thread_time() - start


def _timed(call: Callable[[], object]) -> float:
    start = time.thread_time()
    call()
    return 1000 * (time.thread_time() - start)


if __name__ == "__main__":
    picture_costs()
    frame_costs()
