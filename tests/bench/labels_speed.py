"""Drawing labels: time beside the naive way, and memory for a thousand labels.

Run `python -m tests.bench.labels_speed`. The naive way has the library draw each code as a picture, with the mask of
its own choice, resizes it, and has Pillow set every line of words afresh; the layout is ours in both. Every page is
timed with nothing kept from the one before but the opened fonts. Memory is the whole process's, each count in one of
its own, every label another piece.
"""

from __future__ import annotations

import io
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from itertools import islice
from pathlib import Path
from unittest.mock import patch

import numpy as np
from msgspec.structs import replace
from PIL import Image
from qrcode.constants import ERROR_CORRECT_H
from qrcode.image.pil import PilImage
from qrcode.main import QRCode

from tests.paper.shop_labels import LABELS
from tracker.cards.labels.label import Label
from tracker.cards.labels.labels_of_run import label_keys, labels_for
from tracker.paper import face, ink, qr, sketch
from tracker.paper import type as words
from tracker.paper.labels import label_pages
from tracker.paper.sheets import sheet_named
from tracker.shop import read_build
from tracker.work.codes import code_for
from tracker.work.run import start_run

SHEET = sheet_named("letter-3x10")
CODES = [code_for("bench", f"part:{number}") for number in range(30)]


def naive(code: str, dots: int) -> ink.Ink:
    """The library's picture, resized."""
    symbol = QRCode(error_correction=ERROR_CORRECT_H, border=0, image_factory=PilImage)
    symbol.add_data(code)
    symbol.make()
    side = qr.MODULES * dots
    picture: Image.Image = symbol.make_image().get_image()
    return ink.ink_of(~np.asarray(picture.resize((side, side)).convert("1")))


KEPT = (
    qr._drawn, qr._difference, qr._pair, qr._spread, words._runs, words.width, words._line, sketch.sketch_ink,
    face._alike, face._ends, face._joinery,
)  # fmt: skip
"""The caches shared between labels."""


def best(work: Callable[[], object], rounds: int = 9) -> float:
    """The least processor time of several rounds, in milliseconds, with all caches cleared in between."""
    times = []
    for _ in range(rounds):
        for kept in KEPT:
            kept.cache_clear()
        started = time.process_time()
        work()
        times.append(1000 * (time.process_time() - started))
    return min(times)


def pieces(count: int) -> Iterator[Label]:
    """This many labels, each of a different piece."""
    for number in range(count):
        label = LABELS[number % len(LABELS)]
        yield replace(label, code=code_for("bench", f"piece:{number}"), title=f"Stave {number + 1} of {count}")


def most_memory(count: int) -> float:
    """The peak memory in megabytes of a separate process that wrote this many labels."""
    write = (
        "import io, resource; from tests.bench.labels_speed import Nowhere, SHEET, pieces;"
        "from tracker.paper.labels import write_label_pdf;"
        f"write_label_pdf(Nowhere(), pieces({count}), SHEET);"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    )
    done = subprocess.run([sys.executable, "-c", write], capture_output=True, text=True, check=True)
    return int(done.stdout) / 1024


class Nowhere(io.RawIOBase):
    """A file that discards everything."""

    def writable(self) -> bool:
        return True

    def write(self, data: object) -> int:
        return len(data)  # type: ignore[arg-type]


def _sample() -> list[Label]:
    """The first page of a sample build."""
    path = Path(__file__).parents[2] / "sample_projects" / "hall_bench.toml"
    build = read_build(path).build
    assert build is not None
    run = start_run(build)
    return list(islice(labels_for(run, label_keys(run)), 30))


def main() -> None:
    """Print both tables."""
    print(f"{'processor time, ms':44}{'naive':>8}{'ours':>8}{'times faster':>14}")
    rows: dict[str, tuple[Callable[[], object], Callable[[], object]]] = {
        "30 codes": (lambda: [naive(code, 9) for code in CODES], lambda: [qr.symbol_ink(code, 9) for code in CODES])
    }
    for name, labels in (("30 labels of a sample", _sample()), ("30 labels, all awkward", list(pieces(30)))):
        page = partial(lambda labels: list(label_pages(labels, SHEET)), labels)
        rows[name] = (page, page)
    for name, (slow, fast) in rows.items():
        ours = best(fast)
        with (
            patch.object(face, "symbol_ink", naive),
            patch.object(words, "_line", words._line.__wrapped__),
            patch.object(words, "placed_by_glyph", words.placed),
        ):
            theirs = best(slow)
        print(f"{name:44}{theirs:8.0f}{ours:8.0f}{theirs / ours:14.1f}")
        if "labels" in name:
            with patch.object(face, "symbol_ink", naive):
                codes_only = best(slow)
            print(f"{'   words kept in both ways':44}{codes_only:8.0f}{ours:8.0f}{codes_only / ours:14.1f}")
    print("memory of the whole process at its most, MB:")
    for count in (30, 300, 1000, 3000):
        print(f"  {count:5} labels, {-(-count // SHEET.places):3} pages {most_memory(count):8.1f}")


if __name__ == "__main__":
    main()
