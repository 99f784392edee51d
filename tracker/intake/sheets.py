"""Tables out of files: CSV in whatever encoding and with whatever separator, and XLSX.

What a file is, its first bytes decide, not its name. Nothing in a file is run: a formula is what it last came to, or
text.
"""

from __future__ import annotations

import csv
import io
import re
import statistics
from collections.abc import Sequence

from msgspec import Struct

from tracker.intake.errors import IntakeError

MOST_BYTES = 4_000_000
MOST_IN_A_LINE = 20_000
MOST_ROWS, MOST_COLUMNS, MOST_SHEETS = 5_000, 100, 20
MOST_UNPACKED = 64_000_000
"""Bytes that a spreadsheet may unpack to."""
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MARKS = (";", "\t", "|", ",")
Cell = object
"""What a file has in a cell: text, a number, a date, True or False, or nothing."""


class Sheet(Struct, frozen=True, kw_only=True):
    """One table. `decimal_comma`: its numbers are written as 12,5."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]
    decimal_comma: bool = False


def read_sheets(data: bytes, name: str) -> tuple[Sheet, ...]:
    """Every table of a file. `name` is for the sentences of IntakeError, which is raised for whatever is no table."""
    if len(data) > MOST_BYTES:
        raise IntakeError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB: is it a cut list?")
    if not data.strip():
        raise IntakeError(f"{name} is empty")
    if data.startswith(b"PK"):
        return _workbook(data, name)
    if data.startswith(_OLE):
        raise IntakeError(f"{name} is an old or a locked spreadsheet: save it as .xlsx or .csv")
    return (_text(data, name),)


def _workbook(data: bytes, name: str) -> tuple[Sheet, ...]:
    try:
        from python_calamine import CalamineWorkbook
    except ImportError:
        raise IntakeError(
            f"{name} is a spreadsheet, which needs one more package (see the README): or save it as .csv"
        ) from None
    _not_a_bomb(data, name)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        names = book.sheet_names[:MOST_SHEETS]
        tables = [(each, book.get_sheet_by_name(each).to_python(skip_empty_area=False)) for each in names]
    except Exception as error:  # the library has errors of its own for each way in which a file can be broken
        raise IntakeError(f"{name} isn't a spreadsheet that can be read") from error
    return tuple(Sheet(name=each, rows=_limited(rows, name)) for each, rows in tables)


def _not_a_bomb(data: bytes, name: str) -> None:
    """Zip's own directory says what each member unpacks to."""
    import zipfile

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(member.file_size for member in packed.infolist())
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise IntakeError(f"{name} isn't a spreadsheet that can be read") from error
    if size > MOST_UNPACKED:
        raise IntakeError(f"{name} unpacks to {size // 1_000_000} MB: is it a cut list?")


def _text(data: bytes, name: str) -> Sheet:
    text = _decoded(data, name)
    if any(len(line) > MOST_IN_A_LINE for line in text.splitlines()):
        raise IntakeError(f"{name} has a line of more than {MOST_IN_A_LINE:,} characters: is it a cut list?")
    mark = _separator(text)
    try:
        rows = [tuple(cell.strip() for cell in row) for row in csv.reader(io.StringIO(text), delimiter=mark)]
    except csv.Error as error:
        raise IntakeError(f"{name} isn't a table of text") from error
    comma = mark != "," and bool(re.search(r"\d,\d", text)) and not re.search(r"\d\.\d", text)
    return Sheet(name=name, rows=_limited(rows, name), decimal_comma=comma)


def _decoded(data: bytes, name: str) -> str:
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return data.decode(encoding, "replace")
    if b"\x00" in data[:1000]:
        raise IntakeError(f"{name} isn't a table of text")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def _separator(text: str) -> str:
    """The one that cuts most lines into the same number of cells, more than one."""
    best, found = 0.0, ","
    for mark in _MARKS:
        try:
            rows = csv.reader(io.StringIO(text), delimiter=mark)
            counts = [len(row) for row in rows if any(cell.strip() for cell in row)][:60]
        except csv.Error:
            continue
        if not counts or (usual := statistics.mode(counts)) < 2:
            continue
        share = counts.count(usual) / len(counts) * min(usual, 8)
        if share > best:
            best, found = share, mark
    return found


def _limited(rows: Sequence[Sequence[Cell]], name: str) -> tuple[tuple[Cell, ...], ...]:
    if len(rows) > MOST_ROWS:
        raise IntakeError(f"{name} has more than {MOST_ROWS:,} rows: is it a cut list?")
    return tuple(tuple(row[:MOST_COLUMNS]) for row in rows)
