"""The files of a record as found, before SQLite opens them, and what can be read of them without it."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from tracker.store import files
from tracker.store.closed_copy import read_settings
from tracker.store.errors import UnreadableError
from tracker.store.recovery.carve import rows_in_database
from tracker.store.rows import COLUMNS, Row
from tracker.store.wal import without_wal

_HEAD_BYTES = 20
"""Enough bytes to see whether it is a database with a write-ahead log."""


class Found(Struct, frozen=True):
    """The bytes of a database and of its write-ahead log. They are saved because closing a damaged database writes the
    log's pages over what could still be read."""

    database: bytes
    wal: bytes

    @classmethod
    def at(cls, path: Path) -> Found:
        """The files at a path. A database without a write-ahead log is only read at its start, because nothing will
        change it.

        Raises UnreadableError: a file that can't be read is neither missing nor empty.
        """
        wal = _read(side_file(path, "-wal"))
        return cls(_read(path, -1 if wal else _HEAD_BYTES), wal)

    def whole(self, path: Path) -> Found:
        """The same with the complete database in any case."""
        return self if self.wal else Found(_read(path), b"")

    def rows(self) -> Iterator[Row]:
        """Every possible row of the database, first as SQLite reads it, and then from its bytes."""
        with self._opened() as connection, contextlib.suppress(sqlite3.Error, UnicodeDecodeError):
            for row in connection.execute(f"SELECT {COLUMNS} FROM entries NOT INDEXED"):
                if isinstance(row[1], int) and all(isinstance(each, str) for each in (row[0], *row[2:])):
                    yield Row._make(row)
        yield from rows_in_database(self.database)

    def settings(self) -> tuple[dict[str, str], tuple[str, ...]]:
        """The settings that can be proven, and the names of the others."""
        with self._opened() as connection, contextlib.suppress(sqlite3.Error, UnicodeDecodeError):
            return read_settings(connection)
        return {}, ()

    @contextlib.contextmanager
    def _opened(self) -> Iterator[sqlite3.Connection]:
        """In memory, so that no copy of a record is left in a temporary folder."""
        with contextlib.closing(sqlite3.connect(":memory:")) as connection:
            if image := without_wal(self.database, self.wal):
                connection.deserialize(image)
            with contextlib.suppress(sqlite3.Error):  # the header may be damaged
                connection.execute("PRAGMA trusted_schema = OFF")
            yield connection


def side_file(path: Path, suffix: str) -> Path:
    """The file that belongs to a database by its name."""
    return path.with_name(path.name + suffix)


def _read(path: Path, most: int = -1) -> bytes:
    try:
        return files.read(path, most)
    except OSError as error:
        raise UnreadableError(path, error) from error
