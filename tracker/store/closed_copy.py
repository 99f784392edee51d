"""Reading a closed copy of a log that may come from anybody: a backup, or a file that claims to be one.

A database can run code: views, triggers, generated columns and checks are executed when it is read or written. So a
copy is never adopted. It is opened read-only, following https://www.sqlite.org/security.html for databases from
strangers; it is read only when `entries` is a plain table, within limits of size and time; and its rows are proven by
their chain and copied into a database of our own.
"""

from __future__ import annotations

import contextlib
import sqlite3
import stat
import time
from collections.abc import Iterator
from pathlib import Path

from tracker.store.errors import DamagedLogError
from tracker.store.rows import COLUMNS, Chains, Row
from tracker.store.schema import APPLICATION_ID, PROOF_SINCE, proof_of

MOST_BYTES = 2 * 1024 * 1024 * 1024
MOST_ROWS = 2_000_000
MOST_SETTINGS = 1000
SECONDS = 120.0
"""Seconds for reading a copy within the size limits, even on a slow tablet."""
_STEPS = 1_000
"""SQLite checks the time after this many of its steps."""
_LIMITS = {
    sqlite3.SQLITE_LIMIT_LENGTH: 16 * 1024 * 1024,
    sqlite3.SQLITE_LIMIT_SQL_LENGTH: 100_000,
    sqlite3.SQLITE_LIMIT_COLUMN: 100,
    sqlite3.SQLITE_LIMIT_EXPR_DEPTH: 10,
    sqlite3.SQLITE_LIMIT_COMPOUND_SELECT: 3,
    sqlite3.SQLITE_LIMIT_VDBE_OP: 25_000,
    sqlite3.SQLITE_LIMIT_FUNCTION_ARG: 8,
    sqlite3.SQLITE_LIMIT_ATTACHED: 0,
    sqlite3.SQLITE_LIMIT_LIKE_PATTERN_LENGTH: 50,
    sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER: 10,
    sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH: 10,
}
"""The limits that SQLite's security page recommends, except that a text may be longer."""


@contextlib.contextmanager
def opened_copy(path: Path, seconds: float = SECONDS) -> Iterator[sqlite3.Connection]:
    """A closed database, opened read-only.

    Raises DamagedLogError when it isn't a file or is too large, OSError when it can't be read, and sqlite3.Error for
    errors that SQLite finds and for a timeout.
    """
    found = path.stat()
    if not stat.S_ISREG(found.st_mode):
        raise DamagedLogError("it is no file")
    if found.st_size > MOST_BYTES:
        raise DamagedLogError(f"it is larger than {MOST_BYTES >> 30} GB")
    with path.open("rb"):  # a missing permission is reported as such, not as damage
        pass
    with contextlib.closing(
        sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True, isolation_level=None)
    ) as connection:
        for limit, most in _LIMITS.items():
            connection.setlimit(limit, most)
        until = time.monotonic() + seconds
        connection.set_progress_handler(lambda: time.monotonic() > until, _STEPS)
        for pragma in ("trusted_schema = OFF", "query_only = ON", "cell_size_check = ON", "mmap_size = 0"):
            connection.execute(f"PRAGMA {pragma}")
        yield connection


def proven_rows(path: Path, seconds: float = SECONDS) -> Iterator[Row]:
    """The rows of a copy, each proven by its chain, after SQLite's own integrity check.

    Raises DamagedLogError at the first impossible row, OSError when the file can't be read.
    """
    try:
        yield from Chains().follow(_rows(path, seconds))
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise DamagedLogError(str(error)) from error


def _rows(path: Path, seconds: float) -> Iterator[Row]:
    with opened_copy(path, seconds) as connection:
        if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
            raise DamagedLogError("this is another program's database")
        if not _is_plain(connection, "entries"):
            raise DamagedLogError("its schema isn't Kerfcard's")
        if connection.execute("PRAGMA integrity_check(1)").fetchone()[0] != "ok":
            raise DamagedLogError("the database is damaged")
        rows = connection.execute(f"SELECT {COLUMNS} FROM main.entries NOT INDEXED ORDER BY rowid")
        for number, row in enumerate(rows):
            if number >= MOST_ROWS:
                raise DamagedLogError(f"it holds more than {MOST_ROWS:,} facts")
            yield Row._make(row)


def _is_plain(connection: sqlite3.Connection, table: str) -> bool:
    """Whether this is a table with stored columns only, so that checking or reading it runs none of its own code."""
    kinds = connection.execute("SELECT type, name, rootpage, sql FROM main.sqlite_master WHERE tbl_name = ?", (table,))
    found = kinds.fetchall()
    if not any(kind == "table" and name == table and page for kind, name, page, _ in found):
        return False
    if any(kind == "index" and sql is not None for kind, _, _, sql in found):  # created by a statement, not by a key
        return False
    if any(kind == "table" and "CHECK" in str(sql).upper() for kind, _, _, sql in found):
        return False
    return all(hidden == 0 for *_, hidden in connection.execute(f"PRAGMA main.table_xinfo({table})"))


def settings_in(path: Path) -> dict[str, str]:
    """The settings in a copy that can be proven; in a copy older than such proofs, those that can be read."""
    found: dict[str, str] = {}
    with contextlib.suppress(sqlite3.Error, UnicodeDecodeError, DamagedLogError), opened_copy(path) as connection:
        if _is_plain(connection, "settings"):
            found.update(read_settings(connection)[0])
    return found


def read_settings(connection: sqlite3.Connection) -> tuple[dict[str, str], tuple[str, ...]]:
    """The settings of a database that can be proven, and the names of the others, if they can be read.

    Raises sqlite3.Error when there is no such table.
    """
    proven = connection.execute("PRAGMA user_version").fetchone()[0] >= PROOF_SINCE
    columns = ("name", "value", "proof" if proven else "NULL")
    as_bytes = ", ".join(f"CAST({each} AS BLOB)" for each in columns)  # text that isn't UTF-8 would stop the reading
    found, wrong = {}, []
    for name, value, proof in connection.execute(f"SELECT {as_bytes} FROM settings LIMIT {MOST_SETTINGS}"):
        try:
            words = name.decode(), value.decode()
        except (UnicodeDecodeError, AttributeError):
            wrong.append(name.decode("utf-8", "replace") if isinstance(name, bytes) else "?")
            continue
        if proven and proof != proof_of(*words).encode():
            wrong.append(words[0])
        else:
            found[words[0]] = words[1]
    return found, tuple(wrong)
