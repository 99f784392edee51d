"""Every row that SQLite wrote is found in the bytes of its files, at each size of page and of row, and nothing else."""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest

from tracker.store.recovery import carve
from tracker.store.recovery.carve import rows_in_database, rows_in_wal
from tracker.store.rows import Row

SIZES = (512, 1024, 4096, 65_536)
CHAIN = "0123456789abcdef" * 4
COUNTS = (0, 1, 2, 127, 128, -128, 32_767, 32_768, 8_388_607, 8_388_608, 2**31 - 1, 2**31, 2**47 - 1, 2**47, -(2**50))
"""The borders between the widths in which SQLite stores integers (section 2.1 "Record Format" of the file format)."""


def row(count: int, data: str = "{}", seen: str = "{}") -> Row:
    return Row("saw", count, seen, "2026-03-02T08:00:00+00:00", "done", data, CHAIN)


def opened(path: Path, page: int) -> sqlite3.Connection:
    connection = sqlite3.connect(path, isolation_level=None)
    for statement in (f"PRAGMA page_size = {page}", "PRAGMA journal_mode = WAL", "PRAGMA wal_autocheckpoint = 0"):
        connection.execute(statement)
    connection.execute("CREATE TABLE entries (tablet TEXT, count INTEGER, seen, at, kind, data, chain)")
    return connection


def write(connection: sqlite3.Connection, rows: Sequence[Row]) -> None:
    connection.execute("BEGIN")
    connection.executemany("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?)", rows)
    connection.execute("COMMIT")


def bytes_of(path: Path) -> tuple[bytes, bytes]:
    return path.read_bytes(), path.with_name(f"{path.name}-wal").read_bytes()


def lengths_near_the_page(page: int) -> list[int]:
    """Rows that just fit into a page and just don't, and those that fill one, two and three overflow pages."""
    borders = (page - 35, page - 35 + (page - 4), page - 35 + 2 * (page - 4), 3 * page)
    least = (page - 12) * 32 // 255 - 23  # what stays on the page at least: section 1.6 "Cell Payload Overflow Pages"
    borders = (*borders, least + (page - 4), least + 2 * (page - 4))
    own = sum(len(str(each)) for each in row(1)) - len("1") - len("{}")
    return sorted(
        {max(2, border - own - 10 + by) for border in borders for by in range(-8, 14, 1 if page < 4096 else 3)}
    )


@pytest.mark.parametrize("page", SIZES)
def test_rows_of_every_length_are_found_in_a_database_and_in_its_log(tmp_path: Path, page: int) -> None:
    rows = [row(1 + at, "x" * length) for at, length in enumerate(lengths_near_the_page(page))]
    rows += [row(count) for count in COUNTS if count not in range(1, 1 + len(rows))]
    connection = opened(tmp_path / "a.db", page)
    write(connection, rows)
    database, wal = bytes_of(tmp_path / "a.db")
    assert set(rows_in_wal(wal, database)) == set(rows)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    database, _ = bytes_of(tmp_path / "a.db")
    connection.close()
    assert set(rows_in_database(database)) == set(rows)
    assert list(rows_in_database(database)).count(rows[0]) == 1


def test_a_page_without_its_head_and_a_file_cut_short_still_yield_their_rows(tmp_path: Path) -> None:
    rows = [row(count, "x" * 40) for count in range(1, 60)]
    connection = opened(tmp_path / "a.db", 1024)
    write(connection, rows)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    database = (tmp_path / "a.db").read_bytes()
    headless = bytearray(database)
    for start in range(1024, len(database), 1024):
        headless[start : start + 8] = bytes(8)
    assert set(rows_in_database(bytes(headless))) == set(rows)
    found = [set(rows_in_database(database[:cut])) for cut in range(0, len(database) + 1, 97)]
    assert all(fewer <= more for fewer, more in pairwise(found))
    assert len({len(each) for each in found}) > 20, "each byte more may be the last of one more row"


@pytest.mark.parametrize(
    ("said", "page"), [(512, 512), (1, 65_536), (4096, 4096), (1000, 4096), (0, 4096), (256, 4096)]
)
def test_the_size_of_a_page_is_the_one_that_the_head_says_where_that_can_be(
    tmp_path: Path, said: int, page: int
) -> None:
    """1 stands for 65,536, which needs more than two bytes (section 1.3.2 "Page Size")."""
    long = [row(1, "x" * 3 * page), row(2)]
    connection = opened(tmp_path / "a.db", page)
    write(connection, long)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    database = bytearray((tmp_path / "a.db").read_bytes())
    database[16:18] = struct.pack(">H", said)
    assert set(rows_in_database(bytes(database))) == set(long)


def transactions(path: Path) -> tuple[list[list[Row]], bytes, bytes]:
    """Three transactions, each with a row that needs more than one page; the database and its log."""
    parts = [[row(10 * at + by, "x" * 900 * by) for by in range(3)] for at in range(1, 4)]
    connection = opened(path, 1024)
    for part in parts:
        write(connection, part)
    found = bytes_of(path)
    connection.close()
    return parts, *found


def test_the_last_transaction_of_a_log_can_be_left_out(tmp_path: Path) -> None:
    (one, two, three), database, wal = transactions(tmp_path / "a.db")
    assert set(rows_in_wal(wal, database)) == {*one, *two, *three}
    assert set(rows_in_wal(wal, committed=True)) == {*one, *two, *three}
    assert set(rows_in_wal(wal, committed=True, but_the_last=True)) == {*one, *two}
    torn = wal[: -1024 - 24]  # the frame that ends the last transaction
    assert set(rows_in_wal(torn, committed=True)) == {*one, *two}
    assert set(rows_in_wal(torn, committed=True, but_the_last=True)) == set(one)
    assert set(rows_in_wal(torn)) > {*one, *two}, "some of its rows are there all the same"
    assert set(rows_in_wal(wal[: 32 + 1024 + 24], committed=True)) == set()
    for nothing in (b"", wal[:31], wal[:32], wal[:50]):
        assert list(rows_in_wal(nothing, committed=True)) == []
        assert list(rows_in_wal(nothing)) == []


def test_a_log_whose_head_is_damaged_is_read_by_the_salt_of_most_frames(tmp_path: Path) -> None:
    (one, two, three), database, wal = transactions(tmp_path / "a.db")
    salted = bytearray(wal)
    salted[16:24] = b"\xee" * 8
    assert set(rows_in_wal(bytes(salted), committed=True)) == {*one, *two, *three}
    sized = bytearray(wal)
    sized[8:12] = struct.pack(">I", 999)
    assert set(rows_in_wal(bytes(sized), database, committed=True)) == {*one, *two, *three}
    other = bytearray(wal)  # the last frame is of another generation: it ends nothing
    other[len(wal) - 1024 - 24 + 8 : len(wal) - 1024 - 24 + 16] = b"\xee" * 8
    assert set(rows_in_wal(bytes(other), committed=True)) == {*one, *two}


@pytest.mark.parametrize(("words", "found"), [(8200, True), (1_100_000, False)])
def test_a_head_as_long_as_four_long_texts_need_is_read(tmp_path: Path, words: int, found: bool) -> None:
    """Texts from 8,186 bytes up have a type of three bytes, from 1,048,570 up one of four (section 2.1): 19 and 20."""
    long = row(1)._replace(**dict.fromkeys(("tablet", "seen", "at", "kind", "data"), "x" * words))
    if not found:
        long = long._replace(tablet="x" * 8200, at="x" * 8200, kind="x" * 8200, seen="x" * 8200)
    connection = opened(tmp_path / "a.db", 65_536)
    write(connection, [long])
    _, wal = bytes_of(tmp_path / "a.db")
    connection.close()
    assert list(rows_in_wal(wal)) == ([long] if found else [])


def test_a_row_of_the_longest_length_is_read_and_none_longer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    connection = opened(tmp_path / "a.db", 1024)
    rows = [row(5, "x" * 500), row(6, "x" * 501)]
    write(connection, rows)
    _, wal = bytes_of(tmp_path / "a.db")
    connection.close()
    own = 3 + 2 + 25 + 4 + 64 + 1  # tablet, seen, time, kind, chain, and a count of one byte
    head = 1 + 1 + 1 + 1 + 1 + 1 + 2 + 2  # its length, seven types, of which those of data and chain have two bytes
    monkeypatch.setattr(carve, "MOST_BYTES", 500 + own + head)
    assert list(rows_in_wal(wal)) == [rows[0]]


def test_what_only_looks_like_a_row_is_none(tmp_path: Path) -> None:
    connection = opened(tmp_path / "a.db", 1024)
    connection.execute(f"INSERT INTO entries VALUES (CAST(x'ff' AS TEXT), 1, '{{}}', 'at', 'done', '{{}}', '{CHAIN}')")
    connection.execute(f"INSERT INTO entries VALUES ('saw', 1.5, '{{}}', 'at', 'done', '{{}}', '{CHAIN}')")
    connection.execute(f"INSERT INTO entries VALUES ('saw', NULL, '{{}}', 'at', 'done', '{{}}', '{CHAIN}')")
    connection.execute(f"INSERT INTO entries VALUES ('saw', 2, x'00', 'at', 'done', '{{}}', '{CHAIN}')")
    connection.execute(f"INSERT INTO entries VALUES ('saw', 3, '{{}}', 'at', 'done', NULL, '{CHAIN}')")
    connection.execute("CREATE TABLE fewer (tablet, count INTEGER, seen, at, kind, chain)")
    connection.execute(f"INSERT INTO fewer VALUES ('saw', 4, '{{}}', 'at', 'done', '{CHAIN}')")
    connection.execute(f"INSERT INTO entries VALUES ('', 5, '', '', '', '', '{CHAIN}')")  # of empty texts: a row
    _, wal = bytes_of(tmp_path / "a.db")
    connection.close()
    assert set(rows_in_wal(wal)) == {Row("", 5, "", "", "", "", CHAIN)}
