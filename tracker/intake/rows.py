"""The rows of a cut list as parts. Cells that couldn't be read are reported by row and column."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from tracker.design.values import LONGEST_LENGTH, LONGEST_NAME, LONGEST_NOTE
from tracker.intake.cells import Unit, count_of, is_blank, length_of, text_of
from tracker.intake.columns import SIZES, Field, Guess
from tracker.intake.errors import Fault
from tracker.intake.sheets import Cell, Sheet

_TOTAL = re.compile(r"(?i)\s*(sub|grand )?(total|summe|gesamt|totale|somme|suma|totaal|summa)\b")
_HAND = re.compile(r"(?i)[\s,(-]*\b(left|right|lh|rh|l\.h\.|r\.h\.)\b[)\s]*$")
_SIZES_IN_ONE = re.compile(r"(?i)\s*[x×*]\s*")


class Row(Struct, frozen=True, kw_only=True):
    """One row of a cut list: sizes in millimetres, exact. `line` is its row in the file, from 1."""

    line: int
    name: str
    quantity: int
    sizes: dict[Field, Fraction]
    wood: str = ""
    notes: str = ""
    doubts: tuple[str, ...] = ()


def take_rows(sheet: Sheet, guess: Guess) -> tuple[tuple[Row, ...], tuple[Fault, ...]]:
    """Every part, and every cell that wasn't understood. Totals, blank rows and repeated headings are skipped."""
    rows: list[Row] = []
    faults: list[Fault] = []
    head = [text_of(cell).lower() for cell in sheet.rows[guess.header]]
    for at, cells in enumerate(sheet.rows[guess.header + 1 :], guess.header + 2):
        if all(is_blank(cell) for cell in cells) or [text_of(cell).lower() for cell in cells] == head:
            continue
        if _TOTAL.match(next((text_of(cell) for cell in cells if not is_blank(cell)), "")):
            continue
        row, found = _row(at, cells, sheet, guess)
        faults += found
        if row is not None:
            rows.append(row)
    return tuple(rows), tuple(faults)


def _row(line: int, cells: Sequence[Cell], sheet: Sheet, guess: Guess) -> tuple[Row | None, list[Fault]]:
    faults: list[Fault] = []

    def cell(field: Field) -> Cell:
        at = guess.columns.get(field)
        return cells[at] if at is not None and at < len(cells) else None

    name = _printable(text_of(cell("name")))
    sizes, doubts = _sizes(line, cell("length"), {field: cell(field) for field in SIZES}, sheet, guess, faults)
    quantity = _quantity(line, cell("quantity"), name, faults)
    if quantity == 0 or (not name and "length" not in sizes):
        return None, faults
    if "length" not in sizes:
        if not any(fault.field == "length" for fault in faults):
            faults.append(Fault(line, "length", "", f"{name or 'a row'} has no length: left out"))
        return None, faults
    row = Row(
        line=line, name=name or f"Row {line}", quantity=quantity, sizes=sizes,
        wood=_printable(text_of(cell("wood")))[:LONGEST_NAME], notes=_printable(text_of(cell("notes")))[:LONGEST_NOTE],
        doubts=tuple(doubts),
    )  # fmt: skip
    return row, faults


def _sizes(
    line: int, first: Cell, cells: dict[Field, Cell], sheet: Sheet, guess: Guess, faults: list[Fault]
) -> tuple[dict[Field, Fraction], list[str]]:
    sizes: dict[Field, Fraction] = {}
    doubts: list[str] = []
    together = _SIZES_IN_ONE.split(text_of(first)) if isinstance(first, str) else []
    if len(together) in (2, 3):  # `24 x 3 1/2 x 3/4` in one cell
        cells = dict(zip(SIZES, together, strict=False))
    for field, cell in cells.items():
        if is_blank(cell):
            continue
        unit: Unit = guess.units.get(field) or guess.units.get("length", "")
        try:
            millimetres, remark = length_of(cell, unit, sheet.decimal_comma)
            if millimetres <= 0:
                raise ValueError("must be more than nothing")
            if millimetres > LONGEST_LENGTH.mm:
                raise ValueError("is longer than 100 m: is its unit right?")
        except ValueError as wrong:
            faults.append(Fault(line, field, text_of(cell), str(wrong) or "can't be read as a length"))
            continue
        sizes[field] = millimetres
        if remark:
            doubts.append(f"{field}: {remark}")
            faults.append(Fault(line, field, text_of(cell), remark))
    return sizes, doubts


def _quantity(line: int, cell: Cell, name: str, faults: list[Fault]) -> int:
    if is_blank(cell):
        return 1
    found = count_of(cell)
    if found is None:
        faults.append(Fault(line, "quantity", text_of(cell), "isn't a count: taken as 1"))
        return 1
    if found == 0:
        faults.append(Fault(line, "quantity", text_of(cell), f"none of {name or 'it'} is wanted: left out"))
    return found


def _printable(text: str) -> str:
    """Text as a build file takes it: a space for each character that can't be printed."""
    return "".join(sign if sign.isprintable() else " " for sign in text)


def hand_of(name: str) -> tuple[str, str]:
    """A name without its hand, and the hand: `Door rail, left` gives `Door rail` and `left`."""
    found = _HAND.search(name)
    if not found:
        return name, ""
    return name[: found.start()].strip(), "left" if found[1].lower().startswith("l") else "right"
