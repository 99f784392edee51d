"""How many single frames are read, beside the general decoder alone on the same frames.

Run `python -m tests.bench.scan_rates [--frames 200]`. Frames are rendered from fixed seeds: 1280 × 720, a label of
20 mm, modules of 2 to 8 pixels, tilt, blur, noise, JPEG. "alone" is the whole chain without a list of codes, "live"
with 200 live codes, the label's among them. Nothing here is a real photograph.
"""

from __future__ import annotations

import argparse
import multiprocessing
from collections import Counter

from tests.scan.frames import Damage, frame
from tracker.scan.reader import Planes, decode, look_at
from tracker.work.codes import code_for

CELLS = {
    "clean": (Damage(), 99),
    "fine dust 15 %": (Damage(fine=0.15), 99),
    "fine dust 25 %": (Damage(fine=0.25), 97),
    "fine dust 40 %": (Damage(fine=0.40), 90),
    "coarse chips 20 %": (Damage(coarse=0.20), 97),
    "dust 15 %, smear, two strokes": (Damage(fine=0.15, smear=True, strokes=2), 95),
    "three pencil strokes": (Damage(strokes=3), 0),
    "dust 15 %, one finder torn": (Damage(fine=0.15, torn=True), 99),
    "tilt 60°": (Damage(tilt=(60.0, 60.0)), 95),
}
"""The damage to the label, and the percentage that must be read (0: no requirement)."""


def one(job: tuple[str, int]) -> tuple[str, Counter[str]]:
    """Read one frame in three ways."""
    cell, number = job
    code = code_for("bench", f"{cell}:{number}")
    live = [code] + [code_for("bench", f"live {cell}:{other}") for other in range(199)]
    picture = frame(code, seed=1_000_000 + 7919 * list(CELLS).index(cell) + number, damage=CELLS[cell][0])
    result = Counter(frames=1)
    result["zxing-cpp"] += code in {found.text for found in decode(Planes(picture).grey)}
    for way, codes in (("alone", []), ("live", live)):
        looked = look_at(picture, codes)
        texts = {found.text for found in looked.found}
        result[way] += texts == {code}
        result[f"{way} wrong"] += bool(texts - {code})
        result[f"{way} asks"] += not texts and code in looked.maybe
    return cell, result


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--frames", type=int, default=200)
    parser.add_argument("--processes", type=int, default=2)
    options = parser.parse_args()
    jobs = [(cell, number) for cell in CELLS for number in range(options.frames)]
    totals: dict[str, Counter[str]] = {cell: Counter() for cell in CELLS}
    with multiprocessing.Pool(options.processes) as pool:
        for cell, result in pool.imap_unordered(one, jobs, chunksize=10):
            totals[cell] += result
    heads = "".join(f"{head:>10}" for head in ("zxing-cpp", "alone", "live", "asks", "wrong", "goal"))
    print(f"{'single frames read, %':32}{heads}")
    for cell, total in totals.items():
        share = {way: 100 * total[way] / total["frames"] for way in ("zxing-cpp", "alone", "live", "live asks")}
        wrong = total["alone wrong"] + total["live wrong"]
        print(
            f"{cell:32}{share['zxing-cpp']:10.1f}{share['alone']:10.1f}{share['live']:10.1f}"
            f"{share['live asks']:10.1f}{wrong:10d}{CELLS[cell][1] or '-':>10}"
        )


if __name__ == "__main__":
    main()
