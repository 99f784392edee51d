"""The cost of reading a frame, side by side in one run: processor time of one thread, and the delay of other threads.

Run `python -m tests.bench.scan_cost [--frames 60]`. The decoder alone is handed the frame as the camera gives it, and
makes it grey itself; or a frame that was made grey beforehand, beside our first pass on the same grey frame.
"""

from __future__ import annotations

import argparse
import threading
import time
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import zxingcpp
from PIL import Image

from tests.scan.frames import Damage, Frame, empty, frame
from tracker.scan import FrameReader, look_at
from tracker.scan.damaged_label import read_patiently
from tracker.scan.reader import QR_ONLY, Planes, decode
from tracker.work.codes import code_for


def alone(picture: Frame | Image.Image) -> None:
    """Only the general decoder."""
    zxingcpp.read_barcodes(
        picture,
        formats=zxingcpp.BarcodeFormats(QR_ONLY),
        try_rotate=False,
        try_downscale=False,
        try_invert=False,
    )


def first_pass(picture: Frame | Image.Image) -> None:
    """The cost of every frame."""
    decode(Planes(picture).grey)


def patient(picture: Frame) -> None:
    """Only the patient reader."""
    read_patiently(np.asarray(Planes(picture).blue))


def spent(look: Callable[[Any], object], pictures: Sequence[Any]) -> np.ndarray:
    """Milliseconds of processor time for each picture."""
    times = []
    for picture in pictures:
        started = time.thread_time()
        look(picture)
        times.append(1000 * (time.thread_time() - started))
    return np.array(times)


def lateness(work: Callable[[], object]) -> tuple[float, float]:
    """How late, in milliseconds, a thread that wakes every 2 ms is while `work` runs: 99th percentile and maximum."""
    late: list[float] = []
    done = threading.Event()

    def tick() -> None:
        while not done.is_set():
            due = time.perf_counter() + 0.002
            time.sleep(0.002)
            late.append(1000 * (time.perf_counter() - due))

    thread = threading.Thread(target=tick)
    thread.start()
    work()
    done.set()
    thread.join()
    return float(np.percentile(late, 99)), max(late)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--frames", type=int, default=60)
    options = parser.parse_args()
    benches = [empty(4_000_000 + number) for number in range(options.frames)]
    labels = [frame(code_for("cost", str(n)), 4_100_000 + n, Damage()) for n in range(options.frames)]
    dirty = [frame(code_for("cost", str(n)), 4_200_000 + n, Damage(coarse=0.2)) for n in range(options.frames)]
    spent(patient, benches[:3])  # the templates are made once
    print(f"{'processor time, ms':44}{'median':>8}{'95 %':>8}{'most':>8}")
    for name, frames in (("no code", benches), ("clean label", labels)):
        grey = [Planes(picture).grey for picture in frames]
        for kind, pictures in (("camera frame", frames), ("grey frame", grey)):
            medians = []
            for way, look in (("zxing-cpp alone", alone), ("first pass", first_pass)):
                times = spent(look, pictures)
                medians.append(float(np.median(times)))
                _row(f"{way}, {kind}, {name}", times)
            print(f"{'':4}ratio {medians[1] / medians[0]:.2f} (goal 1.3)")
    _row("patient reader, no code", spent(patient, benches))
    _row("patient reader, chips 20 %", spent(patient, dirty))
    watch = FrameReader()
    _row("watching, no code (goal: most 60)", spent(watch.look, benches))
    _row("every means on one picture, no code", spent(look_at, benches))
    print(f"{'another thread comes late by, ms':52}{'99 %':>8}{'most':>8}")
    for name, work in (
        ("with nothing going on (the machine itself)", lambda: time.sleep(2.0)),
        ("while a camera is watched (goal: most 5)", lambda: [watch.look(picture) for picture in benches]),
    ):
        late, most = lateness(work)
        print(f"{name:52}{late:8.1f}{most:8.1f}")


def _row(name: str, times: np.ndarray) -> None:
    print(f"{name:44}{np.median(times):8.1f}{np.percentile(times, 95):8.1f}{times.max():8.1f}")


if __name__ == "__main__":
    main()
