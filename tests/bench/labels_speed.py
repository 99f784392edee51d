"""Drawing labels: time beside the naive way, and memory for a thousand.

Run `python -m tests.bench.labels_speed`. The naive way has the library draw each code as a picture, with the mask of
its own choice, and resizes it; everything else on the page is the same.
"""

from __future__ import annotations

import io
import time
import tracemalloc
from itertools import cycle, islice
from unittest.mock import patch

from PIL import Image
from qrcode.constants import ERROR_CORRECT_H
from qrcode.image.pil import PilImage
from qrcode.main import QRCode

from tests.paper.shop_labels import LABELS
from tracker.paper import face, qr
from tracker.paper.labels import label_pages, write_label_pdf
from tracker.paper.sheets import sheet_named
from tracker.work.codes import code_for

SHEET = sheet_named("letter-3x10")
CODES = [code_for("bench", f"part:{number}") for number in range(30)]


def naive(code: str, dots: int) -> Image.Image:
    """The library's picture, resized."""
    symbol = QRCode(error_correction=ERROR_CORRECT_H, border=4, image_factory=PilImage)
    symbol.add_data(code)
    symbol.make()
    side = qr.ACROSS * dots
    picture: Image.Image = symbol.make_image().get_image()
    return picture.resize((side, side)).convert("1")


def best(work, rounds: int = 7) -> float:  # type: ignore[no-untyped-def]
    """The least processor time of some rounds, in milliseconds."""
    times = []
    for _ in range(rounds):
        qr.matrix.cache_clear()
        started = time.process_time()
        work()
        times.append(1000 * (time.process_time() - started))
    return min(times)


class Nowhere(io.RawIOBase):
    """A file that keeps nothing."""

    def writable(self) -> bool:
        return True

    def write(self, data: object) -> int:
        return len(data)  # type: ignore[arg-type]


def most_memory(count: int) -> float:
    """The most megabytes in use while so many labels are written."""
    tracemalloc.start()
    write_label_pdf(Nowhere(), islice(cycle(LABELS), count), SHEET)  # type: ignore[arg-type]
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most / 1e6


def main() -> None:
    """Print both tables."""
    ours = best(lambda: [qr.symbol_image(code, 9) for code in CODES])
    theirs = best(lambda: [naive(code, 9) for code in CODES])
    print(f"30 codes: naive {theirs:.0f} ms, ours {ours:.0f} ms, {theirs / ours:.1f} times faster (goal 3)")
    labels = list(islice(cycle(LABELS), 30))
    whole = best(lambda: list(label_pages(labels, SHEET)))
    with patch.object(face, "symbol_image", naive):
        slow = best(lambda: list(label_pages(labels, SHEET)))
    print(f"a page of 30 whole labels: naive {slow:.0f} ms, ours {whole:.0f} ms, {slow / whole:.1f} times faster")
    most_memory(30)
    few, many = most_memory(60), most_memory(1000)
    print(f"memory: {few:.2f} MB for 2 pages, {many:.2f} MB for 34 (pixels of a page, 1 MB, are Pillow's own)")


if __name__ == "__main__":
    main()
