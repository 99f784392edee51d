"""A cut list on its way to a build file: which sheet it is on, what its columns mean, and what a person changes before
it is used."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from tracker.intake.build_text import build_text
from tracker.intake.cells import text_of
from tracker.intake.columns import FIELDS, SIZES, Field, Guess, guess_columns
from tracker.intake.errors import Fault, IntakeError
from tracker.intake.rows import Row, take_rows
from tracker.intake.sheets import Cell, Sheet, read_sheets
from tracker.measure import Units

SURE = 0.5
"""A column guessed with less confidence is marked."""
SHOWN = 6
"""How many rows of the table are shown with the columns' meanings."""


class CutList(Struct, frozen=True, kw_only=True):
    """One table, the meaning of its columns, and the rows and faults read from it."""

    name: str
    sheet: Sheet
    guess: Guess
    rows: tuple[Row, ...]
    faults: tuple[Fault, ...]

    @property
    def units(self) -> Units:
        """The units of the build file."""
        metric = any(unit in ("mm", "cm", "m") for unit in self.guess.units.values())
        return "mm" if metric else "in"

    @property
    def without_unit(self) -> bool:
        """Whether no unit is written anywhere, so that a person has to choose."""
        return not any(self.guess.units.values()) or any(map(_no_unit, self.guess.notes))

    def taken_as(self, guess: Guess) -> CutList:
        """The same table read with another guess."""
        rows, faults = take_rows(self.sheet, guess)
        return replace(self, guess=guess, rows=rows, faults=faults)

    def text(self, units: Units | None = None) -> str:
        """The build file. Raises ValueError where no row is a part."""
        return build_text(self.name.replace("_", " ")[:80] or "Cut list", self.rows, units or self.units)


def read_cut_list(data: bytes, file: str, sheet: str | None = None) -> CutList:
    """The sheet of that name, or the one with the most rows that are parts. Raises IntakeError."""
    found: list[CutList] = []
    wrong = IntakeError("it has no table")
    sheets = read_sheets(data, file)
    if sheet is not None and all(each.name != sheet for each in sheets):
        raise IntakeError(f"it has no sheet '{sheet}'")
    for table in sheets:
        if sheet is not None and table.name != sheet:
            continue
        try:
            guess = guess_columns(table)
        except IntakeError as error:
            wrong = error
            continue
        rows, faults = take_rows(table, guess)
        found.append(CutList(name=file.rpartition(".")[0] or file, sheet=table, guess=guess, rows=rows, faults=faults))
    if not found:
        raise wrong
    return max(found, key=lambda each: len(each.rows))


def with_columns(guess: Guess, columns: Mapping[Field, int]) -> Guess:
    """The guess corrected by a person: which column, from 0, holds which field."""
    kept = {field: at for field, at in guess.columns.items() if at not in columns.values()}
    mine = kept | dict(columns)
    usual = next(iter(guess.units.values()), "")
    return replace(
        guess, columns=mine, sure=guess.sure | dict.fromkeys(columns, 1.0),
        units={field: guess.units.get(field, usual) for field in SIZES if field in mine},
        notes=tuple(note for note in guess.notes if not any(f"for the {field}" in note for field in columns)),
    )  # fmt: skip


def without_column(guess: Guess, column: int) -> Guess:
    """The guess with one column unused."""
    return replace(guess, columns={field: at for field, at in guess.columns.items() if at != column})


def with_units(guess: Guess, units: Units) -> Guess:
    """The guess with the units that a person chose for a list that gives none."""
    kept = tuple(note for note in guess.notes if not _no_unit(note))
    return replace(guess, units={field: units for field in SIZES if field in guess.columns}, notes=kept)


def _no_unit(note: str) -> bool:
    return note.startswith("no unit is written")


# -- for the screen ---------------------------------------------------------------------------------------------------


class CellView(Struct, frozen=True):
    """The text of a cell; `doubt` says what is wrong with it, or how it was interpreted."""

    text: str
    doubt: str = ""


class ColumnView(Struct, frozen=True, kw_only=True):
    """One column: its field (empty: unused), its heading, and its first cells."""

    at: int
    field: Field | None
    said: str
    unsure: bool
    heading: str
    cells: tuple[CellView, ...]


def column_views(cuts: CutList) -> tuple[ColumnView, ...]:
    """Every column that has a heading or a field."""
    head = cuts.sheet.rows[cuts.guess.header]
    body = list(enumerate(cuts.sheet.rows[cuts.guess.header + 1 :], cuts.guess.header + 2))[:SHOWN]
    doubts = {(fault.row, fault.field): fault.what for fault in cuts.faults}
    meaning: dict[int, Field] = {at: field for field, at in cuts.guess.columns.items()}
    found = []
    for at in range(max(len(head), *(at + 1 for at in meaning), 1)):
        heading = text_of(head[at]) if at < len(head) else ""
        field = meaning.get(at)
        cells = tuple(
            CellView(_shown(row[at]) if at < len(row) else "", doubts.get((line, field), "") if field else "")
            for line, row in body
        )
        if not heading and field is None and not any(cell.text for cell in cells):
            continue
        unit = cuts.guess.units.get(field, "") if field else ""
        said = f"{field}, {unit}" if field and unit else field or "not used"
        unsure = field is not None and cuts.guess.sure.get(field, 0.0) <= SURE
        found.append(ColumnView(at=at, field=field, said=said, unsure=unsure, heading=heading, cells=cells))
    return tuple(found)


def _shown(cell: Cell) -> str:
    """A cell as a spreadsheet shows it: whole numbers without a decimal point."""
    return str(int(cell)) if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15 else text_of(cell)


def fault_words(fault: Fault) -> str:
    """`row 7, length: '3//4' can't be read as a length`."""
    written = f"'{fault.written}' " if fault.written else ""
    return f"row {fault.row}, {fault.field}: {written}{fault.what}"


def field_named(word: str) -> Field | None:
    """The field of that name."""
    return next((field for field in FIELDS if field == word.lower()), None)
