"""Damaged cut lists: bytes changed, left out, doubled or inserted. Each is refused, or read and its build file
loads."""

from __future__ import annotations

import io
import random
from functools import lru_cache

import openpyxl

from tracker.design.load import load_build
from tracker.intake.cut_list import read_cut_list
from tracker.intake.errors import IntakeError

SPOILS = (
    b"=1+1", b"\x00", b'"', b";", b",", b"\n", b"1e999", b"-", b"9" * 40, b"\xff\xfe", b"NaN", b"' ", b"3//4", b"1/0",
    b"\t", b"[[parts]]", b'"""', b"\\", b"\x1b",
)  # fmt: skip
ROWS = [
    ["Piece", "Qty", "Length (in)", "Width", "Thick", "Stock"],
    ["Top rail", 2, "32 1/2", "3 1/2", "3/4", "oak"],
    ["Stile", "4x", "28", "2 1/4", "3/4", "oak"],
    ["Slat", 12, 1.5, "600 mm", "1/2", "ash"],
    ["Total", 18],
]


@lru_cache(maxsize=1)
def originals() -> tuple[bytes, ...]:
    book = openpyxl.Workbook()
    for row in ROWS:
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)
    texts = [mark.join("" if cell is None else str(cell) for cell in row) for mark in ",;\t" for row in ROWS]
    lines = len(ROWS)
    lists = ["\n".join(texts[at : at + lines]) for at in range(0, len(texts), lines)]
    return (*(each.encode() for each in lists), lists[0].encode("utf-16"), file.getvalue())


def spoilt(rng: random.Random) -> bytes:
    text = bytearray(rng.choice(originals()))
    for _ in range(rng.randint(1, 8)):
        at = rng.randrange(len(text) or 1)
        what = rng.random()
        if what < 0.35:
            text[at : at + 1] = bytes([rng.randrange(256)])
        elif what < 0.5:
            del text[at : at + rng.randint(1, 30)]
        elif what < 0.65:
            text[at:at] = text[at : at + rng.randint(1, 60)]
        else:
            text[at:at] = rng.choice(SPOILS)
    return bytes(text)


def read_or_refused(data: bytes) -> bool:
    """Whether it is read, in which case its build file loads; otherwise it is refused in one sentence."""
    said = ""
    try:
        cuts = read_cut_list(data, "list")
    except IntakeError as wrong:
        said = str(wrong)
    if said:
        assert "\n" not in said
        return False
    if cuts.rows:
        loaded = load_build(cuts.text())
        assert loaded.build is not None, (loaded.problems, cuts.rows)
    return True
