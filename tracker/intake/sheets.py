"""Tables from files: CSV in any encoding and with any separator, and XLSX.

The first bytes decide what a file is, not its name. Nothing in a file is run: a formula counts as its last result, or
as text.
"""

from __future__ import annotations

import csv
import io
import os
import re
import statistics
import zlib
from collections.abc import Iterator, Sequence

from msgspec import Struct

from tracker.intake.errors import IntakeError
from tracker.search_process import SearchProcess

MOST_BYTES = 4_000_000
MOST_IN_A_LINE = 20_000
MOST_ROWS, MOST_COLUMNS, MOST_SHEETS = 5_000, 100, 20
MOST_UNPACKED = 64_000_000
"""The most bytes that a spreadsheet may unpack to."""
MOST_CELLS = 2_000_000
"""The most cells, up to the last one that is filled, that are read without a separate process."""
LONGEST = 20.0
"""The most seconds for that process."""
_CELL, _PLACE = re.compile(rb"<(?:\w+:)?c[\s/>]"), re.compile(rb'\br="([A-Z]{1,3})([0-9]{1,7})"')
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MARKS = (";", "\t", "|", ",")
Cell = object
"""What a cell holds: text, a number, a date, True or False, or nothing."""
Tables = list[tuple[str, list[list[Cell]]]]


class Sheet(Struct, frozen=True, kw_only=True):
    """One table. `decimal_comma`: its numbers are written as 12,5."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]
    decimal_comma: bool = False


def read_sheets(data: bytes, name: str) -> tuple[Sheet, ...]:
    """Every table of a file. `name` is used in the sentences of IntakeError, which is raised for files that aren't
    tables."""
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
    del CalamineWorkbook  # imported only to check that it is installed
    try:
        if _is_small(data, name):
            tables = _tables(data)
        else:
            (tables,) = SearchProcess(_tables_alone, data, seconds=LONGEST).answers()
    except IntakeError:
        raise
    except Exception as error:  # the library raises its own errors for each kind of broken file
        raise IntakeError(f"{name} isn't a spreadsheet that can be read") from error
    return tuple(Sheet(name=each, rows=_limited(rows, name)) for each, rows in tables)


def _tables_alone(data: bytes, *, keep_going: object) -> Iterator[Tables]:
    """Like `_tables`, but in a process of its own, which may die when memory runs out; the library would then print a
    page about it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    yield _tables(data)


def _tables(data: bytes) -> Tables:
    """The name and the rows of each table; only as many rows as show that there are too many."""
    from python_calamine import CalamineWorkbook

    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    names = book.sheet_names[:MOST_SHEETS]
    tables = ((each, book.get_sheet_by_name(each).to_python(skip_empty_area=False)) for each in names)
    return [(each, [list[Cell](row[:MOST_COLUMNS]) for row in rows[: MOST_ROWS + 1]]) for each, rows in tables]


def _is_small(data: bytes, name: str) -> bool:
    """Whether a workbook can surely be read in little memory. The library allocates every cell up to the last one that
    is filled, and ends the whole program where there is no memory for them. So a table whose cells don't all give their
    position, or are far apart, is read in a separate process. Raises IntakeError for a file that unpacks to too much.
    """
    import zipfile

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:  # the directory gives each member's unpacked size
            size = sum(member.file_size for member in packed.infolist())
            names = packed.namelist() if size <= MOST_UNPACKED else []
            small = "xl/workbook.xml" in names and all(_fits(packed.read(each)) for each in names)
    except (zipfile.BadZipFile, ValueError, RuntimeError, OSError, EOFError, zlib.error) as error:
        raise IntakeError(f"{name} isn't a spreadsheet that can be read") from error
    if size > MOST_UNPACKED:
        raise IntakeError(f"{name} unpacks to {size // 1_000_000} MB: is it a cut list?")
    return small


def _fits(table: bytes) -> bool:
    """Whether every cell of a worksheet (or of any other packed file) gives its position, and the last row and column
    span few cells."""
    places = [(_number(letters), int(row)) for letters, row in _PLACE.findall(table)]
    if len(places) != len(_CELL.findall(table)):
        return False
    across, down = (max((place[at] for place in places), default=0) for at in (0, 1))
    return across * down <= MOST_CELLS


def _number(letters: bytes) -> int:
    """The number of a column: A is 1, AA is 27."""
    return sum((letter - 64) * 26**at for at, letter in enumerate(reversed(letters)))


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
    """The separator that splits most lines into the same number of cells, more than one."""
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
