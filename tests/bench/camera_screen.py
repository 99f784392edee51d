"""How long the screen's thread is blocked with the camera on, beside the same screen without it.

    python tests/bench/camera_screen.py [--seconds 20]

A recorded video of 1280 × 720 is rendered, in which a dusty label comes and goes, and played to the camera's process in
a loop. The app's frames are drawn sixty times a second meanwhile. Three figures of each frame: how long it took by the
clock, what it cost in processor time of the screen's thread (which others' work on this machine doesn't disturb), and
how late a thread that only sleeps wakes up. On no pixels.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

FRAME = 1 / 60
GOAL = 5.0
Times = list[tuple[float, float]]
"""Milliseconds of each frame: by the clock, and of the thread's processor time."""


def film(path: Path, code: str, count: int = 90) -> None:
    """Three seconds of a bench: in the second one there is a label, too dusty for the general decoder."""
    import cv2
    import numpy as np

    from tests.scan.frames import HEIGHT, WIDTH, Damage, dusty, label, photographed, placed, swayed, wood

    chance = np.random.default_rng(8)
    damage = Damage(coarse=0.35, strokes=3, module=(4.0, 6.0), tilt=(0.0, 25.0))
    paper, bench, seat = dusty(label(code, chance), chance, damage), wood(chance), placed(chance, damage)
    blank, nowhere = np.zeros((4, 4, 3), np.uint8), np.diag([1e-6, 1e-6, 1.0])
    writer = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"MJPG"), 30, (WIDTH, HEIGHT))
    for number in range(count):
        seat = swayed(seat, chance)
        there = count // 3 <= number < 2 * count // 3
        writer.write(photographed(bench, paper if there else blank, seat if there else nowhere, chance))
    writer.release()


def watched(frame: Callable[[], None], seconds: float) -> Times:
    """Draw frame after frame at their normal rate."""
    times: Times = []
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        wall, own = time.perf_counter(), time.thread_time()
        frame()
        took = time.perf_counter() - wall
        times.append((1000 * took, 1000 * (time.thread_time() - own)))
        time.sleep(max(0.0, FRAME - took))
    return times


class Sleeper:
    """A thread that wakes every 2 ms, and how many milliseconds late each time."""

    def __init__(self) -> None:
        self.late: list[float] = []
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._done.is_set():
            due = time.perf_counter() + 0.002
            time.sleep(0.002)
            self.late.append(1000 * (time.perf_counter() - due))

    def end(self) -> list[float]:
        self._done.set()
        self._thread.join()
        return self.late


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--seconds", type=float, default=20.0)
    options = asked.parse_args()
    from kit.scripted import maker_at_the_saw, screen_without_pixels

    start = screen_without_pixels()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        maker = maker_at_the_saw(start, home / "shop")
        driver, app = maker.driver, maker.app
        video = home / "bench.avi"
        film(video, next(iter(app.shop.run.codes.values())))
        maker.go("scan")
        driver.run_for(0.5, 0.05)
        player = Player(app.root.screen, str(video))
        rows: dict[str, tuple[Times, list[float]]] = {}
        for name in ("the scan screen by itself", "with the camera"):
            if name == "with the camera":
                player.begin()
                driver.until_thread(lambda: player.shown > 0, 60)
            sleeper = Sleeper()
            rows[name] = watched(lambda: driver.frames(1), options.seconds), sleeper.end()
        player.screen._stop_camera()
        print(f"{options.seconds:g} s each, {player.shown} pictures shown from the camera; milliseconds")
        print(f"{'':58}{'median':>8}{'99 %':>8}{'most':>8}{'over 5':>8}")
        for name, (times, late) in rows.items():
            _row(f"{name}: a frame by the clock", [wall for wall, _ in times])
            _row(f"{name}: its own processor time", [own for _, own in times])
            _row(f"{name}: a sleeper is late by", late)
        driver.stop()


class Player:
    """Turns the camera on, and on again whenever the recording ends; what it reads shows no card here."""

    def __init__(self, screen: Any, video: str) -> None:
        self.screen, self.video, self.shown = screen, video, 0

    def begin(self) -> None:
        from tracker.screens.desk import the_desk

        the_desk().shop.settings["camera"] = self.video
        self.screen._looks.callback = self._look
        self.screen._hand_on = lambda codes: None
        self.screen._ask = lambda question, codes: True
        self.screen.turn_camera()

    def _look(self, seconds: float) -> None:
        from tracker.screens.device.camera import Camera

        camera, before = self.screen._camera, self.screen._finder.sight
        if camera is not None and camera.trouble:
            self.screen._camera = Camera(self.video, self.screen._live())
            return
        type(self.screen)._look(self.screen, seconds)
        self.shown += self.screen._finder.sight is not before


def _row(name: str, times: list[float]) -> None:
    ranked = sorted(times)
    at = [ranked[int(share * (len(ranked) - 1))] for share in (0.5, 0.99, 1.0)]
    over = sum(each > GOAL for each in times)
    print(f"{name:58}{at[0]:8.2f}{at[1]:8.2f}{at[2]:8.2f}{over:8d}")


if __name__ == "__main__":
    main()
