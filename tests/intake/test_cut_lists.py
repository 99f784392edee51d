"""Cut lists made from known numbers are read as these numbers, and their build file loads."""

from __future__ import annotations

import csv
import datetime
import io
import random
import zipfile
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.intake.build_text import build_text
from tracker.intake.cells import Unit, count_of, length_of
from tracker.intake.columns import guess_columns
from tracker.intake.errors import IntakeError
from tracker.intake.rows import take_rows
from tracker.intake.sheets import MOST_BYTES, read_sheets
from tracker.shop import read_build

INCH = Fraction(254, 10)


def inches(value: Fraction, chance: random.Random) -> str:
    whole, rest = divmod(value, 1)
    if not rest:
        return f'{whole}"' if chance.random() < 0.3 else str(whole)
    text = f"{whole} {rest.numerator}/{rest.denominator}" if whole else f"{rest.numerator}/{rest.denominator}"
    if whole and chance.random() < 0.3:
        text = text.replace(" ", "-", 1)
    return f'{text}"' if chance.random() < 0.3 else text


def a_table(chance: random.Random) -> tuple[bytes, list[tuple[str, int, tuple[Fraction, ...]]]]:
    """The bytes of a random list, with its names, counts and sizes in millimetres."""
    metric, comma = chance.random() < 0.5, chance.random() < 0.5
    mark = chance.choice([";", "\t", "|"] if comma else [";", "\t", "|", ","])
    parts = []
    for at in range(chance.randint(3, 12)):
        if metric:
            sizes = tuple(Fraction(chance.randint(*span) * 5, 10) for span in ((400, 4000), (80, 300), (20, 60)))
        else:
            sizes = tuple(Fraction(chance.randint(*span), 16) for span in ((100, 1500), (30, 99), (8, 28)))
        parts.append((f"Piece {chr(65 + at)}{chance.choice(['', ' long', ' upper'])}", chance.randint(1, 20), sizes))
    unit = " (mm)" if metric else chance.choice([" (in)", " in"])
    heads = {
        "name": chance.choice(["Part", "Description", "Bezeichnung"]), "count": chance.choice(["Qty", "Anzahl", "Pcs"]),
        "length": f"Length{unit}", "width": f"Width{unit}", "thick": f"Thickness{unit}",
    }  # fmt: skip
    order = list(heads)
    chance.shuffle(order)
    rows = [[heads[each] for each in order]]
    for name, count, sizes in parts:
        said = [str(float(size)).replace(".", ",") if comma else str(float(size)) for size in sizes]
        written = said if metric else [inches(size, chance) for size in sizes]
        values = {"name": name, "count": str(count), "length": written[0], "width": written[1], "thick": written[2]}
        rows.append([values[each] for each in order])
    if chance.random() < 0.4:
        rows.append(["Total" if each == "name" else "" for each in order])
        if order[0] != "name":
            rows[-1][0] = "Total"
    out = io.StringIO()
    csv.writer(out, delimiter=mark).writerows(rows)
    encoding = chance.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252"])
    scale = Fraction(1) if metric else INCH
    return out.getvalue().encode(encoding), [(n, c, tuple(size * scale for size in sizes)) for n, c, sizes in parts]


def test_lists_come_back_as_they_were_made() -> None:
    chance = random.Random(31)
    for number in range(150):
        data, parts = a_table(chance)
        (sheet,) = read_sheets(data, "list.csv")
        guess = guess_columns(sheet)
        rows, faults = take_rows(sheet, guess)
        assert not faults, (number, faults)
        found = [
            (row.name, row.quantity, (row.sizes["length"], row.sizes["width"], row.sizes["thickness"])) for row in rows
        ]
        assert found == parts, number


def test_the_build_file_of_a_list_loads_and_says_the_same_sizes() -> None:
    chance = random.Random(8)
    for number in range(60):
        data, parts = a_table(chance)
        (sheet,) = read_sheets(data, "list.csv")
        rows, _ = take_rows(sheet, guess_columns(sheet))
        loaded = load_build(build_text("List", rows, chance.choice(["in", "mm"])))
        assert loaded.build is not None, (number, loaded.problems)
        for part, (name, count, sizes) in zip(loaded.build.parts, parts, strict=True):
            assert (part.name, part.quantity) == (name, count)
            assert part.length is not None
            for length, size in zip((part.length, part.width, part.thickness), sizes, strict=True):
                assert abs(length.mm - size) < Fraction(1, 300)


@pytest.mark.parametrize(
    ("cell", "unit", "millimetres"),
    [
        ("23 5/8", "in", Fraction(189, 8) * INCH), ("23-5/8", "", Fraction(189, 8) * INCH),
        ('23⅝"', "mm", Fraction(189, 8) * INCH), ("1' 11 5/8\"", "mm", Fraction(189, 8) * INCH),
        ("600 mm", "in", Fraction(600)), ("60 cm", "in", Fraction(600)), ("12,5", "mm", Fraction(25, 2)),
        ("1,200", "mm", Fraction(1200)), (0.30000000000000004, "in", Fraction(3, 10) * INCH),
        (600.0, "mm", Fraction(600)),
        ("0.6", "m", Fraction(600)), ("2", "ft", Fraction(6096, 10)),
    ],
)  # fmt: skip
def test_lengths_as_people_write_them(cell: object, unit: Unit, millimetres: Fraction) -> None:
    assert length_of(cell, unit)[0] == millimetres


def test_a_comma_is_a_decimal_where_the_list_says_so() -> None:
    assert length_of("1.200,5", "mm", decimal_comma=True)[0] == Fraction(12005, 10)


@pytest.mark.parametrize(
    ("day", "inch"),
    [
        (datetime.date(2026, 3, 4), Fraction(3, 4)),
        (datetime.date(2016, 1, 1), Fraction(1, 16)),
        (datetime.date(2032, 5, 1), Fraction(5, 32)),
    ],
)
def test_a_fraction_that_a_spreadsheet_took_for_a_date_is_read_and_remarked(day: datetime.date, inch: Fraction) -> None:
    millimetres, remark = length_of(day, "in")
    assert millimetres == inch * INCH
    assert "made a date of it" in remark


@pytest.mark.parametrize("cell", [4, 4.0, "4", "4x", "4 off", "4 pcs", "4 Stk.", "4 Stk"])
def test_counts_as_people_write_them(cell: object) -> None:
    assert count_of(cell) == 4


def workbook(path: Path, rows: list[list[object]], sheet: str = "Cut list") -> None:
    book = openpyxl.Workbook()
    book.active.title = "Notes"  # type: ignore[union-attr]
    book.active.append(["Buy glue", "and sandpaper"])  # type: ignore[union-attr]
    page = book.create_sheet(sheet)
    for row in rows:
        page.append(row)
    book.save(path)


def run(*words: str) -> object:
    return CliRunner().invoke(commands, ["import-list", *words])


def test_a_spreadsheet_becomes_a_build_that_loads(tmp_path: Path) -> None:
    rows: list[list[object]] = [["Kitchen table"], [], ["Part", "Qty", "Length (in)", "Width", "Thickness", "Wood"]]
    rows += [["Leg", 4, 28.25, 2.5, 2.5, "ash"], ["Rail, left", 1, "22 1/2", 3.5, datetime.date(2026, 3, 4), "ash"]]
    rows += [["Rail, right", 1, "22 1/2", 3.5, datetime.date(2026, 3, 4), "ash"], ["Total", 6]]
    workbook(tmp_path / "table.xlsx", rows)
    result = run(str(tmp_path / "table.xlsx"), "-o", str(tmp_path / "table.toml"))
    assert result.exit_code == 0, result.output  # type: ignore[attr-defined]
    assert "made a date of it" in result.output  # type: ignore[attr-defined]
    build = read_build(tmp_path / "table.toml").build
    assert build is not None
    assert [(part.name, part.quantity, part.left, part.right) for part in build.parts] == [
        ("Leg", 4, 0, 0),
        ("Rail", 2, 1, 1),
    ]
    assert build.parts[1].thickness.mm == Fraction(3, 4) * INCH
    assert "# row 5, thickness: the spreadsheet made a date of it" in (tmp_path / "table.toml").read_text()


def test_a_person_may_say_what_a_column_is(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("What,Many,Foo,Bar,Baz\nLeg,4,700,60,45\nRail,2,500,90,22\n")
    result = run(str(file), "--columns", "A=name,B=quantity,C=length,D=width,E=thickness", "--units", "mm", "--json")
    assert result.exit_code == 0, result.output  # type: ignore[attr-defined]
    assert '"length_mm": 700.0' in result.output  # type: ignore[attr-defined]


def test_sizes_in_one_cell(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text('Part,Qty,Length\nLeg,4,"24 x 3 1/2 x 3/4"\nRail,2,"20 x 3 x 3/4"\n')
    (sheet,) = read_sheets(file.read_bytes(), "list.csv")
    rows, faults = take_rows(sheet, guess_columns(sheet))
    assert not faults
    assert rows[0].sizes == {"length": 24 * INCH, "width": Fraction(7, 2) * INCH, "thickness": Fraction(3, 4) * INCH}


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"), (b"   \n \n", "is empty"), (b"hello\n", "no row names its columns"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"x" * 500, "an old or a locked spreadsheet"),
        (b"PK\x03\x04" + b"\x00" * 300, "isn't a spreadsheet that can be read"),
        (b"\x00\x01\x02binary", "isn't a table of text"),
        (b"Part,Qty,Length\n" + b"x" * 30_000 + b",1,2\n", "more than 20,000 characters"),
        (b"a,b\n" * 5_001, "more than 5,000 rows"), (b"x" * (MOST_BYTES + 1), "larger than 4 MB"),
        (b'"' + b"a,b\n" * 50, "no row names its columns"),
    ],
)  # fmt: skip
def test_files_that_are_no_cut_list_are_refused_in_a_sentence(data: bytes, words: str) -> None:
    with pytest.raises(IntakeError, match=words):
        guess_columns(read_sheets(data, "list.csv")[0])


def test_what_is_wrong_in_a_row_is_named_and_nothing_is_run(tmp_path: Path) -> None:
    data = b"Part,Qty,Length\nLeg,four,28\nRail,2,=1+1\nShelf,0,20\nBack,1,-3\nTop,1,\nSide,2,30\n"
    (sheet,) = read_sheets(data, "list.csv")
    rows, faults = take_rows(sheet, guess_columns(sheet))
    assert [row.name for row in rows] == ["Leg", "Side"]
    said = {(fault.row, fault.field): fault.what for fault in faults}
    assert said[2, "quantity"] == "isn't a count: taken as 1"
    assert "formula" in said[3, "length"]
    assert "left out" in said[4, "quantity"]
    assert said[6, "length"] == "Top has no length: left out"
    assert (5, "length") in said


def test_damaged_lists_never_crash() -> None:
    chance = random.Random(17)
    for _ in range(400):
        data = bytearray(a_table(chance)[0])
        for _ in range(chance.randint(1, 8)):
            at = chance.randrange(len(data))
            data[at : at + chance.randint(0, 3)] = bytes(chance.randrange(256) for _ in range(chance.randint(0, 3)))
        try:
            (sheet,) = read_sheets(bytes(data), "list.csv")
            rows, _ = take_rows(sheet, guess_columns(sheet))
        except IntakeError:
            continue
        if rows:
            load_build(build_text("List", rows, "mm"))


FAR = {
    "a cell in the last corner": '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>',
    "cells that don't say where they are": f'<row r="1048576">{"<c><v>1</v></c>" * 16_384}</row>',
}


@pytest.mark.parametrize("far", FAR)
def test_cells_that_lie_far_apart_end_no_program(far: str, tmp_path: Path) -> None:
    """The library allocates every cell between them: without memory for 17 billion, its process ends."""
    file = tmp_path / "far.xlsx"
    workbook(file, [["Part", "Length"], ["Leg", 600]])
    with zipfile.ZipFile(file) as packed:
        members = {name: packed.read(name) for name in packed.namelist()}
    sheet = next(name for name in members if name.startswith("xl/worksheets/"))
    members[sheet] = members[sheet].replace(b"</sheetData>", f"{FAR[far]}</sheetData>".encode())
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in members.items():
            packed.writestr(name, data)
    with pytest.raises(IntakeError):
        read_sheets(file.read_bytes(), "far.xlsx")


def open_document(rows: str) -> bytes:
    """An OpenDocument workbook of one table, with the minimum that a reader needs."""
    names = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
    )
    table = f'<table:table table:name="a">{rows}</table:table>'
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        packed.writestr("META-INF/manifest.xml", "<manifest/>")
        packed.writestr(
            "content.xml",
            f"<office:document-content {names}><office:body><office:spreadsheet>{table}</office:spreadsheet>"
            "</office:body></office:document-content>",
        )
    return file.getvalue()


def test_another_kind_of_workbook_is_read_in_a_process_of_its_own() -> None:
    """An OpenDocument file says how often a cell and a row are repeated: four lines of it are 17 billion cells."""
    cell = '<table:table-cell {}office:value-type="string"><text:p>{}</text:p></table:table-cell>'
    few = f"<table:table-row>{cell.format('', 'Part')}{cell.format('', 'Leg')}</table:table-row>"
    assert read_sheets(open_document(few), "a.ods")[0].rows == (("Part", "Leg"),)
    wide = cell.format('table:number-columns-repeated="16384" ', "x")
    many = f'<table:table-row table:number-rows-repeated="1048576">{wide}</table:table-row>'
    with pytest.raises(IntakeError):
        read_sheets(open_document(many), "a.ods")
