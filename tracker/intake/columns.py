"""Which column of a table is which field: by its heading, in several languages, and by the look of its cells.

It is a guess that a person confirms: each column has a confidence, and one found by its cells alone is unsure.
"""

from __future__ import annotations

import csv
import re
import statistics
from collections.abc import Sequence
from difflib import SequenceMatcher
from functools import cache
from importlib.resources import files
from typing import Literal, get_args

from msgspec import Struct
from msgspec.structs import replace

from tracker.intake.cells import Unit, count_of, is_blank, length_of, text_of, unit_in, unit_named
from tracker.intake.errors import IntakeError
from tracker.intake.sheets import Cell, Sheet

Field = Literal["name", "quantity", "length", "width", "thickness", "wood", "notes", "number", "unit"]
FIELDS: tuple[Field, ...] = get_args(Field)
SIZES: tuple[Field, ...] = ("length", "width", "thickness")
LIKE_ENOUGH = 0.8
UNSURE = 0.4
_MOST_ROWS_ABOVE = 30
_LONGEST_HEADING = 40
_BY_SIZE = 130.0
"""If no unit is written and the median length is larger, lengths are in millimetres; common practice, no source."""


class Guess(Struct, frozen=True, kw_only=True):
    """The meaning guessed for each column of a table. `header` is the row of headings, from 0; `sure` is a confidence
    up to 1."""

    header: int
    columns: dict[Field, int]
    sure: dict[Field, float]
    units: dict[Field, Unit]
    notes: tuple[str, ...] = ()


@cache
def heading_words() -> dict[Field, tuple[str, ...]]:
    """Every known heading, by its field."""
    text = files("tracker.intake").joinpath("header_words.csv").read_text(encoding="utf-8")
    found: dict[Field, list[str]] = {field: [] for field in FIELDS}
    for row in csv.DictReader(text.splitlines()):
        found[row["field"]] += row["words"].split(";")  # type: ignore[index]
    return {field: tuple(dict.fromkeys(words)) for field, words in found.items()}


def guess_columns(sheet: Sheet) -> Guess:
    """Guess the columns of a table. Raises IntakeError where no row names them."""
    header = _header_row(sheet)
    if header is None:
        raise IntakeError(f"{sheet.name}: no row names its columns: at least two, such as Part, Qty, Length")
    head = sheet.rows[header]
    body = [row for row in sheet.rows[header + 1 :] if not all(is_blank(cell) for cell in row)]
    columns, sure = _by_heading(head, body, sheet)
    _by_cells(head, body, sheet, columns, sure)
    above = " ".join(text_of(cell) for row in sheet.rows[: header + 1] for cell in row)
    guess = Guess(header=header, columns=columns, sure=sure, units={})
    units, notes = _units(head, body, sheet, guess, above)
    return replace(guess, units=units, notes=(*notes, *_doubts(body, sheet, columns, units)))


def likeness(heading: str, field: Field) -> float:
    """How similar a heading is to the words of a field, up to 1."""
    plain = _plain(heading)
    return max((_like(plain, word) for word in heading_words()[field]), default=0.0)


@cache
def _like(heading: str, word: str) -> float:
    if heading == word:
        return 1.0
    if len(word) <= 2 or len(heading) <= 2:
        return 0.0
    if re.search(rf"\b{re.escape(word)}\b", heading):
        return 0.9
    return SequenceMatcher(None, heading, word).ratio() * 0.95


def _plain(heading: str) -> str:
    """A heading without its unit, brackets and symbols."""
    text = re.sub(r"[(\[].*?[)\]]", " ", heading)
    text = re.sub(r"[^\w#\"'″°º ]+", " ", text).strip().lower()
    return re.sub(r"(?<=\w)\s+(mm|cm|in|inch|inches|zoll|\"|″)$", "", text).strip()


def _header_row(sheet: Sheet) -> int | None:
    best, found = 1, None
    for at, row in enumerate(sheet.rows[:_MOST_ROWS_ABOVE]):
        words = [cell for cell in row if isinstance(cell, str) and 0 < len(cell) < _LONGEST_HEADING]
        hits = sum(
            1 for cell in words if not re.search(r"\d", cell)
            and max(likeness(cell, field) for field in FIELDS) >= LIKE_ENOUGH
        )  # fmt: skip
        if hits > best:
            best, found = hits, at
    return found if found is not None else _words_over_numbers(sheet)


def _words_over_numbers(sheet: Sheet) -> int | None:
    """The first row of three words or more, without digits, above a row with two numbers or more."""
    for at, row in enumerate(sheet.rows[:10]):
        below = next((each for each in sheet.rows[at + 1 :] if not all(is_blank(cell) for cell in each)), None)
        words = [text_of(cell) for cell in row if not is_blank(cell)]
        if below is None or len(words) < 3 or any(re.search(r"\d", word) for word in words):
            continue
        if sum(_millimetres(cell, sheet) is not None for cell in below) >= 2:
            return at
    return None


def _by_heading(
    head: Sequence[Cell], body: Sequence[Sequence[Cell]], sheet: Sheet
) -> tuple[dict[Field, int], dict[Field, float]]:
    """Score columns by four fifths heading and one fifth cells, and take the surest first."""
    marks = []
    for at, heading in enumerate(head):
        if is_blank(heading):
            continue
        cells = _column(body, at)
        for field in FIELDS:
            like = likeness(text_of(heading), field)
            if like >= LIKE_ENOUGH:
                marks.append((like * 0.8 + 0.2 * _fits(field, cells, sheet), field, at))
    columns: dict[Field, int] = {}
    sure: dict[Field, float] = {}
    for mark, field, at in sorted(marks, key=lambda each: -each[0]):
        if field not in columns and at not in columns.values():
            columns[field], sure[field] = at, round(mark, 2)
    return columns, sure


def _by_cells(
    head: Sequence[Cell],
    body: Sequence[Sequence[Cell]],
    sheet: Sheet,
    columns: dict[Field, int],
    sure: dict[Field, float],
) -> None:
    """Guess fields without a heading from the cells alone; a person has to confirm these."""
    width = max((len(row) for row in body), default=0)
    free = [at for at in range(max(width, len(head))) if at not in columns.values() and _column(body, at)]
    missing = [field for field in SIZES if field not in columns]
    counts = [at for at in free if _fits("quantity", _column(body, at), sheet) == 1.0]
    counts = [at for at in counts if all((count_of(cell) or 0) <= 99 for cell in _column(body, at))]
    if "quantity" not in columns and counts and (len(counts) == 1 or len(counts) > len(missing)):
        columns["quantity"], sure["quantity"] = counts[0], UNSURE
        free.remove(counts[0])
    numeric = [at for at in free if _fits("length", _column(body, at), sheet) == 1.0]
    if missing and len(numeric) == len(missing):
        largest = sorted(numeric, key=lambda at: -statistics.median(_all_mm(_column(body, at), sheet)))
        for field, at in zip(missing, largest, strict=True):
            columns[field], sure[field] = at, UNSURE
            free.remove(at)
    words = [at for at in free if _fits("name", _column(body, at), sheet) == 1.0]
    if "name" not in columns and words:
        columns["name"], sure["name"] = words[0], UNSURE


def _units(
    head: Sequence[Cell], body: Sequence[Sequence[Cell]], sheet: Sheet, guess: Guess, above: str
) -> tuple[dict[Field, Unit], tuple[str, ...]]:
    """The unit of each size: from its heading, else another heading, the unit column, a line above the table, or a
    guess."""
    units: dict[Field, Unit] = {
        field: unit_in(text_of(head[guess.columns[field]])) if guess.columns[field] < len(head) else ""
        for field in SIZES
        if field in guess.columns
    }
    known: Unit = next((unit for unit in units.values() if unit), "")
    if not known and "unit" in guess.columns:
        known = next((unit for cell in _column(body, guess.columns["unit"]) if (unit := unit_named(text_of(cell)))), "")
    if not known:
        found = re.search(
            r"(?i)\b(?:all|units?|maße|dimensions?|misure|medidas|mått)\b.*?\b(mm|cm|inches|inch|in|zoll)\b", above
        )
        known = unit_named(found[1]) if found else ""
    if known or not units:
        return {field: unit or known for field, unit in units.items()}, ()
    lengths = _all_mm(_column(body, guess.columns["length"]), sheet) if "length" in guess.columns else []
    if not lengths or any(unit_in(text_of(cell)) for cell in _column(body, guess.columns["length"])):
        return units, ()
    metric = statistics.median(lengths) > _BY_SIZE
    said = "millimetres" if metric else "inches"
    return dict.fromkeys(units, "mm" if metric else "in"), (f"no unit is written: read as {said}",)


def _doubts(
    body: Sequence[Sequence[Cell]], sheet: Sheet, columns: dict[Field, int], units: dict[Field, Unit]
) -> list[str]:
    medians = {
        field: statistics.median(found)
        for field in SIZES
        if field in columns and (found := _all_mm(_column(body, columns[field]), sheet))
    }
    notes = []
    if {"width", "thickness"} <= medians.keys() and medians["thickness"] > medians["width"]:
        notes.append("what is called the thickness is larger than the width: are the columns the wrong way round?")
    if {"length", "width"} <= medians.keys() and medians["width"] > medians["length"]:
        notes.append("what is called the width is larger than the length")
    notes += [f"no column was found for the {field}" for field in ("length", "quantity") if field not in columns]
    return notes


def _fits(field: Field, cells: Sequence[Cell], sheet: Sheet) -> float:
    """The share of the cells that look like this field, up to 1."""
    if not cells:
        return 0.3
    if field == "quantity":
        return sum(count_of(cell) is not None for cell in cells) / len(cells)
    if field in SIZES:
        return sum(_millimetres(cell, sheet) is not None for cell in cells) / len(cells)
    if field in ("name", "wood", "notes"):
        return sum(bool(re.search(r"[^\W\d_]{2}", text_of(cell))) for cell in cells) / len(cells)
    return 0.5


def _column(body: Sequence[Sequence[Cell]], at: int) -> list[Cell]:
    return [row[at] for row in body if at < len(row) and not is_blank(row[at])]


def _all_mm(cells: Sequence[Cell], sheet: Sheet) -> list[float]:
    return [found for cell in cells if (found := _millimetres(cell, sheet)) is not None]


def _millimetres(cell: Cell, sheet: Sheet) -> float | None:
    """A size as if in millimetres, for comparison only."""
    try:
        return float(length_of(cell, "mm", sheet.decimal_comma)[0])
    except ValueError:
        return None
