"""`kerfcard import-list`: a build file from a spreadsheet's cut list."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import click

from tracker.cli.arguments import JSON
from tracker.cli.output import counted, print_report, stop
from tracker.design.load import load_build
from tracker.intake.columns import FIELDS, SIZES, Field, Guess
from tracker.intake.cut_list import SURE, fault_words, field_named, read_cut_list, with_columns, with_units
from tracker.intake.errors import Fault, IntakeError
from tracker.intake.rows import Row
from tracker.intake.sheets import MOST_BYTES, Sheet
from tracker.measure import Units
from tracker.whole_file import write_whole


@click.command()
@click.argument("cut_list", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The build file to write; without it, only say.")
@click.option("--sheet", "sheet_name", help="Which sheet of a spreadsheet; else the first that has a cut list.")
@click.option("--units", type=click.Choice(["in", "mm"]), help="The units of the build file; else those of the list.")
@click.option("--columns", metavar="LIST", help='Which column is what: "A=name, C=quantity, D=length".')
@JSON
def import_list(
    cut_list: Path, output: Path | None, sheet_name: str | None, units: Units | None, columns: str | None, as_json: bool
) -> None:
    """Read a cut list from a .csv or .xlsx file, say what each column is taken for, and write a build file of it.

    Look through what it says first: what wasn't understood is named by row and column.
    """
    try:
        cuts = read_cut_list(_bytes(cut_list), cut_list.name, sheet_name)
        cuts = cuts.taken_as(_with_units(_corrected(cuts.guess, columns), units))
    except IntakeError as wrong:
        stop(f"{cut_list}: {wrong}")
    sheet, guess, rows, faults = cuts.sheet, cuts.guess, cuts.rows, cuts.faults
    print_report(_report(sheet, guess, rows, faults), as_json, lambda: _lines(sheet, guess, rows, faults))
    if output is None:
        return
    if not rows:
        stop(f"{cut_list}: no row of the list is a part")
    text = cuts.text(units)
    loaded = load_build(text)
    if loaded.build is None:
        for problem in loaded.problems:
            click.echo(problem.at(str(output)), err=True)
    try:
        write_whole(output, text.encode())
    except OSError as error:
        stop(f"{output}: {error.strerror}")
    click.echo(f"{output}: {counted(len(rows), 'part')} written. Look at every remark in it.", err=as_json)


def _bytes(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise IntakeError("there is no such file")
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except OSError as error:
        raise IntakeError(f"the file can't be read: {error.strerror}") from None


def _corrected(guess: Guess, columns: str | None) -> Guess:
    """The guess corrected by a person: letters of columns and their fields."""
    if not columns:
        return guess
    named: dict[Field, int] = {}
    for each in columns.split(","):
        found = re.fullmatch(r"\s*([A-Za-z]{1,2})\s*=\s*(\w+)\s*", each)
        field = field_named(found[2]) if found else None
        if not found or field is None:
            raise IntakeError(f"--columns: '{each.strip()}' isn't like C=quantity (one of: {', '.join(FIELDS)})")
        named[field] = _column(found[1])
    return with_columns(guess, named)


def _with_units(guess: Guess, units: Units | None) -> Guess:
    """The units of the build file are also those of the list, if the list gives none."""
    written = any(guess.units.values()) and not any(note.startswith("no unit is written") for note in guess.notes)
    return guess if units is None or written else with_units(guess, units)


def _report(sheet: Sheet, guess: Guess, rows: tuple[Row, ...], faults: tuple[Fault, ...]) -> dict[str, object]:
    return {
        "sheet": sheet.name,
        "header_row": guess.header + 1,
        "columns": {
            field: {"column": _letter(at), "sure": guess.sure.get(field, 0.0), "unit": guess.units.get(field, "")}
            for field, at in guess.columns.items()
        },
        "notes": list(guess.notes),
        "parts": [
            {
                "row": row.line, "name": row.name, "quantity": row.quantity, "wood": row.wood, "notes": row.notes,
                **{f"{size}_mm": float(row.sizes[size]) for size in SIZES if size in row.sizes},
            }
            for row in rows
        ],
        "faults": [
            {"row": each.row, "field": each.field, "written": each.written, "problem": each.what} for each in faults
        ],
    }  # fmt: skip


def _lines(sheet: Sheet, guess: Guess, rows: tuple[Row, ...], faults: tuple[Fault, ...]) -> Iterator[str]:
    yield f"{sheet.name}: {counted(len(rows), 'part')}, headings in row {guess.header + 1}"
    for field, at in guess.columns.items():
        unit = f", {guess.units[field]}" if guess.units.get(field) else ""
        unsure = "" if guess.sure.get(field, 0.0) > SURE else "  (unsure: look at it)"
        yield f"  column {_letter(at)} is the {field}{unit}{unsure}"
    yield from (f"  note: {note}" for note in guess.notes)
    yield from (f"  {fault_words(each)}" for each in faults)


def _letter(at: int) -> str:
    first, second = divmod(at, 26)
    return (chr(ord("A") + first - 1) if first else "") + chr(ord("A") + second)


def _column(letters: str) -> int:
    at = 0
    for letter in letters.upper():
        at = at * 26 + ord(letter) - ord("A") + 1
    return at - 1
