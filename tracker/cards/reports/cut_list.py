"""The cut list of a build as a table for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from fractions import Fraction

from tracker.design.model import Build, Hand, Part
from tracker.measure import Length, read_length
from tracker.measure.tape_reading import SIXTY_FOURTH
from tracker.plan.geometry import solid

RUNS = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins with one of these may be run as a formula (OWASP, "CSV injection")."""
_DIGITS = 5


def cut_list_csv(build: Build, *, as_written: bool = False) -> str:
    """A row for each part, and for each hand of a pair. Lengths are those of the finished piece, from tip to tip.

    A cell that a spreadsheet would run as a formula is prefixed with an apostrophe, unless it should stay `as_written`.
    """
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\r\n")  # RFC 4180
    for row in _rows(build):
        writer.writerow(row if as_written else [_harmless(cell) for cell in row])
    return file.getvalue()


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell.startswith(RUNS) else cell


def _rows(build: Build) -> Iterator[list[str]]:
    unit = build.units
    sizes = [f"{size} ({unit})" for size in ("Length", "Width", "Thickness")]
    yield ["Part", "Quantity", *sizes, "Wood", "Notes"]
    for part in build.parts:
        for hand, count in _hands(part):
            piece = solid(part, hand)
            name = f"{part.name}, {hand}" if hand else part.name
            lengths = (piece.edges.overall, part.width, part.thickness)
            written = (_size(each, unit == "in") for each in lengths)
            yield [name, str(count), *written, build.wood(part.wood).species, " ".join(part.notes.split())]


def _hands(part: Part) -> list[tuple[Hand | None, int]]:
    if not (part.left or part.right):
        return [(None, part.quantity)]
    pair: list[tuple[Hand | None, int]] = [("left", part.left), ("right", part.right)]
    return [(hand, count) for hand, count in pair if count]


def _size(length: Length, inches: bool) -> str:
    """Inches as a fraction with an inch mark, which no spreadsheet takes for a date, where they are on a 64th."""
    if not inches:
        return _decimal(length.mm)
    if (length.per("in") * 64).denominator == 1:
        return read_length(length, SIXTY_FOURTH).plain
    return _decimal(length.per("in"))


def _decimal(value: Fraction) -> str:
    return f"{float(value):.{_DIGITS}f}".rstrip("0").rstrip(".")
