"""What we read of a write-ahead log is what SQLite reads of it: SQLite opens the same two files and is the judge.

The form of the file is that of https://www.sqlite.org/fileformat2.html, section 4.
"""

from __future__ import annotations

import random
import sqlite3
import struct
from pathlib import Path

import pytest

from tracker.store.wal import ends_whole, without_wal

SIZES = (512, 1024, 4096, 65_536)
HEAD, FRAME_HEAD = 32, 24


def grown(connection: sqlite3.Connection, chance: random.Random, transactions: int, page: int) -> None:
    for _ in range(transactions):
        connection.execute("BEGIN")
        for _ in range(chance.randint(1, 3)):
            connection.execute(
                "INSERT INTO words VALUES (?)", (chance.randbytes(chance.randint(0, min(2 * page, 6000))),)
            )
        connection.execute("COMMIT")


def files(path: Path) -> tuple[bytes, bytes]:
    return path.read_bytes(), path.with_name(f"{path.name}-wal").read_bytes()


def made(path: Path, page: int, *, again: int = 0, shrunk: bool = False) -> tuple[bytes, bytes]:
    """A database and its write-ahead log while a connection has them open; the log has begun `again` so many times."""
    chance = random.Random(page + again)
    connection = sqlite3.connect(path, isolation_level=None)
    for statement in (f"PRAGMA page_size = {page}", "PRAGMA journal_mode = WAL", "PRAGMA wal_autocheckpoint = 0"):
        connection.execute(statement)
    connection.execute("CREATE TABLE words (word)")
    for _ in range(again):
        grown(connection, chance, 6, page)
        connection.execute("PRAGMA wal_checkpoint(RESTART)")
    grown(connection, chance, 1 if again else 3, page)
    if shrunk:
        connection.execute("DELETE FROM words WHERE rowid > 1")
        connection.execute("VACUUM")
    found = files(path)
    connection.close()
    return found


def by_sqlite(folder: Path, database: bytes, wal: bytes) -> bytes:
    """The database as SQLite sees it, page by page; only its header is told that it has no write-ahead log."""
    path = folder / "copy.db"
    path.write_bytes(database)
    path.with_name("copy.db-wal").write_bytes(wal)
    path.with_name("copy.db-shm").unlink(missing_ok=True)
    connection = sqlite3.connect(path)
    connection.execute("SELECT count(*) FROM sqlite_master").fetchone()  # from here on it reads through the log
    image = bytearray(connection.serialize())
    connection.close()
    image[18:20] = b"\1\1"
    return bytes(image)


def frames_end(wal: bytes, page: int) -> list[int]:
    return list(range(HEAD, len(wal) + 1, FRAME_HEAD + page))


@pytest.mark.parametrize("shrunk", [False, True])
@pytest.mark.parametrize("page", SIZES)
def test_a_log_that_was_cut_anywhere_is_read_as_sqlite_reads_it(tmp_path: Path, page: int, shrunk: bool) -> None:
    database, wal = made(tmp_path / "a.db", page, shrunk=shrunk)
    whole = frames_end(wal, page)
    assert whole[-1] == len(wal)
    ends = whole[-2:] if page > 4096 else whole[:3] + whole[-3:]
    near = {0, 1, HEAD - 1, *(end + by for end in ends for by in (-1, 0, 1, FRAME_HEAD - 1, FRAME_HEAD))}
    for cut in sorted(each for each in near if each <= len(wal)):
        torn = wal[:cut]
        assert without_wal(database, torn) == by_sqlite(tmp_path, database, torn), cut
        assert ends_whole(torn) is (cut == 0 or cut in whole), cut


@pytest.mark.parametrize("page", SIZES[:3])
def test_a_log_with_a_changed_bit_is_read_as_far_as_sqlite_reads_it(tmp_path: Path, page: int) -> None:
    database, wal = made(tmp_path / "a.db", page)
    heads = [at + by for at in frames_end(wal, page)[:-1] for by in range(FRAME_HEAD)]
    chance = random.Random(page)
    for at in [*range(HEAD), *chance.sample(heads, 24), *chance.sample(range(HEAD, len(wal)), 12)]:
        turned = bytearray(wal)
        turned[at] ^= 1 << chance.randrange(8)
        assert without_wal(database, bytes(turned)) == by_sqlite(tmp_path, database, bytes(turned)), at
        assert not ends_whole(bytes(turned)), at


def summed(order: str, data: bytes, sums: tuple[int, int]) -> tuple[int, int]:
    """The checksum of section 4.2, word by word as it is written there."""
    one, two = sums
    words = struct.unpack(f"{order}{len(data) // 4}I", data)
    for at in range(0, len(words), 2):
        one = (one + words[at] + two) % 2**32
        two = (two + words[at + 1] + one) % 2**32
    return one, two


def in_the_other_order(wal: bytes, page: int) -> bytes:
    """The same log as a computer with the other byte order would have summed it."""
    head = struct.pack(">I", 0x377F0683) + wal[4:24]
    sums = summed(">", head, (0, 0))
    found = [head, struct.pack(">2I", *sums)]
    for at in frames_end(wal, page)[:-1]:
        frame, data = wal[at : at + FRAME_HEAD], wal[at + FRAME_HEAD : at + FRAME_HEAD + page]
        sums = summed(">", frame[:8] + data, sums)
        found += [frame[:16], struct.pack(">2I", *sums), data]
    return b"".join(found)


def test_a_log_of_the_other_byte_order_is_read_too(tmp_path: Path) -> None:
    database, wal = made(tmp_path / "a.db", 1024)
    other = in_the_other_order(wal, 1024)
    assert other != wal
    assert without_wal(database, other) == by_sqlite(tmp_path, database, other) == without_wal(database, wal)
    assert ends_whole(other)
    assert without_wal(database, other) != without_wal(database, b"")


@pytest.mark.parametrize("again", [1, 2])
def test_frames_left_of_an_earlier_generation_are_neither_read_nor_torn(tmp_path: Path, again: int) -> None:
    database, wal = made(tmp_path / "a.db", 1024, again=again)
    salts = [wal[at + 8 : at + 16] for at in frames_end(wal, 1024)[:-1]]
    left = next(number for number, salt in enumerate(salts) if salt != wal[16:24])
    assert without_wal(database, wal) == by_sqlite(tmp_path, database, wal)
    assert ends_whole(wal)
    # The first salt goes up by one each time the log begins again (section 4.1); it has begun `again` times.
    (first,) = struct.unpack(">I", wal[16:20])
    at = frames_end(wal, 1024)[left]
    for back in (-1, 0, 1, again, again + 1, 99):
        salted = bytearray(wal)
        salted[at + 8 : at + 12] = struct.pack(">I", (first - back) % 2**32)
        assert ends_whole(bytes(salted)) is (1 <= back <= again), back


def test_what_is_no_database_is_left_as_it_is(tmp_path: Path) -> None:
    database, wal = made(tmp_path / "a.db", 512)
    plain = bytearray(database)
    plain[18:20] = b"\1\1"
    assert database[18:20] == b"\2\2"
    assert without_wal(database, b"") == bytes(plain)
    assert without_wal(b"rust" * 200, b"") == b"rust" * 200
    assert without_wal(b"", b"") == b""
    for size in (256, 0):  # a page is never so small, even where the sums are right
        head = wal[:8] + struct.pack(">I", size) + wal[12:24]
        small = head + struct.pack(">2I", *summed("<", head, (0, 0))) + wal[32:]
        assert without_wal(database, small) == bytes(plain)
        assert not ends_whole(small)
