"""How many labels are read within a second of a hand-held camera's video.

Run `python -m tests.bench.scan_video [--videos 50]`. 30 frames a second are rendered; the dirt stays, the camera
sways. Time is the reader's own processor time: a frame that arrives while another is looked at is missed.
"""

from __future__ import annotations

import argparse
import multiprocessing
import time
from collections import Counter
from dataclasses import replace

import numpy as np

from tests.bench.scan_rates import CELLS
from tests.scan.frames import Frame, dusty, label, photographed, placed, swayed, wood
from tracker.scan import FrameReader
from tracker.scan.reader import Planes, decode
from tracker.work.codes import code_for

RATE = 30
SECOND = 1.0


def video(code: str, cell: str, seed: int) -> list[Frame]:
    """One second."""
    chance = np.random.default_rng(seed)
    damage = replace(CELLS[cell][0], module=(2.5, 8.0))
    paper = dusty(label(code, chance), chance, damage)
    bench, seat = wood(chance), placed(chance, damage)
    frames = []
    for _ in range(RATE):
        seat = swayed(seat, chance)
        frames.append(photographed(bench, paper, seat, chance))
    return frames


def one(job: tuple[str, int]) -> tuple[str, Counter[str]]:
    """Watch one video with the whole chain, and with the decoder alone."""
    cell, number = job
    code = code_for("video", f"{cell}:{number}")
    live = [code] + [code_for("video", f"live {cell}:{other}") for other in range(199)]
    frames = video(code, cell, 2_000_000 + 104_729 * list(CELLS).index(cell) + number)
    result = Counter(videos=1)
    result["zxing-cpp"] += any(code in {found.text for found in decode(Planes(each).grey)} for each in frames)
    watch, now = FrameReader(live), 0.0
    while now < SECOND:
        started = time.process_time()
        looked = watch.look(frames[min(RATE - 1, int(now * RATE))])
        now += max(1 / RATE, time.process_time() - started)
        texts = {found.text for found in looked.found if found.valid}
        if texts:
            result["watch"] += texts == {code} and now <= SECOND
            result["wrong"] += texts != {code}
            break
    return cell, result


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--videos", type=int, default=50)
    parser.add_argument("--processes", type=int, default=2)
    options = parser.parse_args()
    jobs = [(cell, number) for cell in CELLS for number in range(options.videos)]
    totals: dict[str, Counter[str]] = {cell: Counter() for cell in CELLS}
    with multiprocessing.Pool(options.processes) as pool:
        for cell, result in pool.imap_unordered(one, jobs):
            totals[cell] += result
    print(f"{'labels read within 1 s of video, %':36}{'zxing-cpp':>10}{'watch':>8}{'wrong':>7}{'goal':>7}")
    for cell, total in totals.items():
        videos = total["videos"]
        share = 100 * total["zxing-cpp"] / videos, 100 * total["watch"] / videos
        print(f"{cell:36}{share[0]:10.1f}{share[1]:8.1f}{total['wrong']:7d}{98:7d}")


if __name__ == "__main__":
    main()
