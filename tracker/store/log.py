"""The log on disk: SQLite in WAL mode with full synchronisation, append-only, each entry chained to the one before.

There is one connection, and the file is locked to it while it is open: with two, SQLite before 3.51.3 can lose a write
when the write-ahead log starts over, and a second process would write the same counts. An entry is acknowledged only
after `append` has returned, which is after the commit.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from tracker.store import files
from tracker.store.errors import (
    GONE,
    READ_ONLY,
    CannotWriteError,
    DamagedLogError,
    InUseError,
    NoRecordError,
    cannot_write,
    is_in_use,
    is_storage,
    since_opening,
)
from tracker.store.file_identity import Place
from tracker.store.gc_pause import gc_paused
from tracker.store.lock import FolderLock
from tracker.store.rows import COLUMNS, Chains, Row, chain_after, entry_of, row_of
from tracker.store.schema import APPLICATION_ID, VERSION, migrations
from tracker.store.wal import without_wal
from tracker.store.watermark import Watermark
from tracker.work.facts import Entry, Fact

__all__ = ["CannotWriteError", "DamagedLogError", "InUseError", "Log", "NoRecordError"]

WAIT_SECONDS = 2.0
"""How long to wait for another window or command that has the record open."""
LATER = "This record was written by a later version of Kerfcard. Bring Kerfcard up to date to mark; you can look."


def _database(connection: sqlite3.Connection) -> Database:
    """A database without the plugins that sqlite-utils would look for among all installed packages: nothing else may
    touch the log."""
    return Database(connection, execute_plugins=False)


class Log:
    """An open log, proven from end to end.

    `why_not` says why it can't be written to (a read-only folder or disk, a later version), or is empty; `is_full`
    means that there is no room.

    Raises DamagedLogError when the file can't be trusted, InUseError when another process has it, NoRecordError when it
    can't even be read.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.why_not = ""
        self.is_full = False
        self._place: Place | None = None
        self._mark: Watermark | None = None
        self._lock: FolderLock | None = None
        try:
            self._connect(path)
        except UnicodeDecodeError as error:  # a damaged schema: Python can't even decode SQLite's message
            raise DamagedLogError("the database is damaged: its schema can't be read") from error
        except sqlite3.Error as error:
            if is_in_use(error):
                raise InUseError from error
            if not is_storage(error):
                raise DamagedLogError(str(error)) from error
            self._look_only(cannot_write(error), error)

    def _connect(self, path: Path, how: str = "") -> None:
        uri = f"{path.resolve().as_uri()}?{how}" if how else str(path)
        connection = sqlite3.connect(
            uri, timeout=WAIT_SECONDS, uri=bool(how), check_same_thread=False, isolation_level=None
        )
        self.db = _database(connection)
        try:
            self._open(writing=not how)
        except BaseException:
            connection.close()
            raise

    def _open(self, writing: bool) -> None:
        self._pragma("trusted_schema = OFF")
        if writing:
            self._pragma("locking_mode = EXCLUSIVE")
        ours = self._pragma("application_id")
        if ours not in (0, APPLICATION_ID) or (ours == 0 and self.db.table_names()):
            raise DamagedLogError("this is another program's database")
        if (found := self._pragma("integrity_check(1)")) != "ok":
            raise DamagedLogError(f"the database is damaged: {str(found).splitlines()[-1]}")
        if self._pragma("user_version") > VERSION:
            self.why_not = LATER
            self._pragma("query_only = ON")
        chains = Chains()
        with gc_paused():
            self._read = [entry_of(row) for row in chains.follow(self.rows())]
        self._tails = chains.tails
        if writing:  # only now, because a damaged file is left as it is
            self._prepare()
            self._place = Place(self.path)

    def _prepare(self) -> None:
        if self.why_not:
            return
        # A new file becomes WAL through a rollback journal. EXTRA also makes the removal of that journal durable: if it
        # came back after a power cut, it would reset the record to its empty state.
        self._pragma("synchronous = EXTRA")
        self._pragma("journal_mode = WAL")
        self._pragma("synchronous = FULL")
        if self._pragma("journal_mode") != "wal" or self._pragma("synchronous") != 2:
            raise NoRecordError("the record can't be kept safe here: this file system has no write-ahead log")
        if self._pragma("application_id") == 0:  # before the first table: a file with tables and no id isn't ours
            self._pragma(f"application_id = {APPLICATION_ID}")
        files.make_private(self.path)
        try:
            migrations.apply(self.db)
        except (LookupError, TypeError, ValueError) as error:
            raise DamagedLogError("the database is damaged: its list of migrations makes no sense") from error

    def _look_only(self, why: CannotWriteError, error: sqlite3.Error) -> None:
        """Open the file without writing a byte beside it."""
        path = self.path
        can_write = os.access(path.parent, os.W_OK) and (not path.exists() or os.access(path, os.W_OK))
        self.why_not, self.is_full = since_opening(why) if can_write else READ_ONLY, why.full
        try:
            if not path.exists():
                self._connect_empty()
                return
            if wal := files.read(path.with_name(path.name + "-wal")):  # `immutable` would ignore it
                self._connect_image(without_wal(files.read(path), wal))
            else:
                self._connect(path, "mode=ro&immutable=1")
        except sqlite3.Error as again:
            if not is_storage(again):
                raise DamagedLogError(str(again)) from again
            raise NoRecordError(str(error)) from again
        except OSError as again:
            raise NoRecordError(f"{error} ({again.strerror})") from again

    def _connect_image(self, image: bytes) -> None:
        """A read-only connection to the bytes of a database."""
        connection = sqlite3.connect(":memory:", check_same_thread=False, isolation_level=None)
        self.db = _database(connection)
        try:
            connection.deserialize(image)
            self._open(writing=False)
        except BaseException:
            connection.close()
            raise

    def _connect_empty(self) -> None:
        self.db = _database(sqlite3.connect(":memory:", check_same_thread=False, isolation_level=None))
        migrations.apply(self.db)
        self._read, self._tails = [], {}

    @classmethod
    def in_memory(cls, rows: Iterable[Row], why_not: str = READ_ONLY) -> Log:
        """A read-only log, where none can be kept."""
        log = cls.__new__(cls)
        log.path, log.why_not, log.is_full = Path(":memory:"), "", False
        log._place, log._mark, log._lock = None, None, None
        log._connect_empty()
        log.take_in_rows(rows)
        log.why_not = why_not
        return log

    def _pragma(self, what: str) -> Any:
        row = self.db.execute(f"PRAGMA {what}").fetchone()
        return row[0] if row else None

    def rows(self) -> Iterable[Row]:
        """Every row as stored, in the order in which they were written."""
        if "entries" not in self.db.table_names():
            return ()
        return map(Row._make, self.db.execute(f"SELECT {COLUMNS} FROM entries NOT INDEXED ORDER BY rowid"))

    def rows_of_kind(self, kind: str) -> list[Row]:
        """Every row of a kind."""
        return list(
            map(Row._make, self.db.execute(f"SELECT {COLUMNS} FROM entries WHERE kind = ?", (kind,)).fetchall())
        )

    def page(self, tablet: str, after: int, most: int) -> list[Row]:
        """Up to `most` rows of a tablet after a count."""
        found = self.db.execute(
            f"SELECT {COLUMNS} FROM entries WHERE tablet = ? AND count > ? ORDER BY count LIMIT ?",
            (tablet, after, most),
        )
        return list(map(Row._make, found.fetchall()))

    def chain_at(self, tablet: str, count: int) -> str | None:
        """The chain after the row of this count; None where there is no such row."""
        return next((chain_after(row) for row in self.page(tablet, count - 1, 1) if row.count == count), None)

    def entries(self) -> list[Entry]:
        """Every entry, in the order in which they were written here."""
        read, self._read = self._read, []
        return read if len(read) == self.length else [entry_of(row) for row in self.rows()]

    @property
    def length(self) -> int:
        """The number of rows."""
        return int(self.db.execute("SELECT count(*) FROM entries").fetchone()[0]) if self._tails else 0

    @property
    def seen(self) -> dict[str, int]:
        """The highest count known of every tablet."""
        return {tablet: count for tablet, (count, _) in self._tails.items()}

    @property
    def tails(self) -> dict[str, tuple[int, str]]:
        """The highest count of every tablet, and the chain that its next row continues."""
        return dict(self._tails)

    def append(self, tablet: str, at: datetime, facts: Iterable[Fact]) -> list[Entry]:
        """Write facts of this tablet in one transaction; they are on the disk when this returns.

        Raises CannotWriteError; then nothing was written.
        """
        count, seen = self.seen.get(tablet, 0), self.seen
        entries = []
        for fact in facts:
            count += 1
            entries.append(Entry(tablet, count, dict(seen), at, fact))
            seen[tablet] = count
        return self.take_in(entries)

    def take_in(self, entries: Iterable[Entry]) -> list[Entry]:
        """Write entries of any tablet that aren't here yet; returns the new ones in the given order. Repeating it is
        harmless.

        Entries of one tablet must come without a gap: after a gap the rest of that tablet waits for another exchange.
        Raises CannotWriteError; then nothing was written.
        """
        tails, new, rows = dict(self._tails), [], []
        for entry in entries:
            count, before = tails.get(entry.tablet, (0, ""))
            if entry.count == count + 1:
                rows.append(row_of(entry, before))
                tails[entry.tablet] = (entry.count, rows[-1][6])
                new.append(entry)
        self._write(rows, tails)
        return new

    def take_in_rows(self, rows: Iterable[Row]) -> list[Entry]:
        """Write rows that continue this log's tablets, after proving them; returns the new entries.

        Raises DamagedLogError when they don't continue it, CannotWriteError when they can't be written.
        """
        chains = Chains(self._tails)
        new = [row for row in rows if row.count > self._tails.get(row.tablet, (0, ""))[0]]
        entries = [entry_of(row) for row in chains.follow(new)]
        self._write(new, chains.tails)
        return entries

    def take_in_proven(self, rows: Sequence[Row], tails: Mapping[str, tuple[int, str]]) -> None:
        """Write rows that `Chains` proved to continue from `tails`. Raises DamagedLogError when this log has grown
        since, CannotWriteError when they can't be written."""
        for tablet in {row.tablet for row in rows}:
            if tails.get(tablet, (0, "")) != self._tails.get(tablet, (0, "")):
                raise DamagedLogError(f"tablet {tablet} has gone on meanwhile")
        ends = dict(self._tails)
        for row in rows:
            ends[row.tablet] = (row.count, chain_after(row))
        self._write(list(rows), ends)

    def _write(self, rows: list[Row], tails: dict[str, tuple[int, str]]) -> None:
        if self.why_not:
            raise CannotWriteError(self.why_not, self.is_full)
        if not rows:
            return
        self._ensure_in_place()
        with self.writing():
            self.db.conn.executemany("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?)", rows)
        self._ensure_in_place()  # a write to a deleted file would be lost
        self._tails = tails
        if self._mark is not None:
            self._mark.note({tablet: tails[tablet] for tablet in {row.tablet for row in rows}})

    @contextlib.contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction. Raises CannotWriteError, with everything rolled back, when the disk refuses."""
        connection = self.db.conn
        try:
            connection.execute("BEGIN IMMEDIATE")
            yield
            connection.execute("COMMIT")
        except sqlite3.Error as error:
            raise cannot_write(error) from error
        finally:
            if connection.in_transaction:
                with contextlib.suppress(sqlite3.Error):
                    connection.execute("ROLLBACK")

    # -- its place on the disk ---------------------------------------------------------------------------------

    def _ensure_in_place(self) -> None:
        if self._place is not None and not self._place.is_kept():
            self.why_not = GONE
            raise CannotWriteError(GONE)

    def look_at_its_place(self) -> bool:
        """Whether the open files are still in place; if not, nothing more is written."""
        if not self.why_not and self._place is not None and not self._place.is_kept():
            self.why_not = GONE
        return self.why_not != GONE

    def keep_watermark(self, path: Path) -> None:
        """From now on, record beside the log how far it has come."""
        if not self.why_not:
            self._mark = Watermark(path, self._tails)

    def missing_ends(self, ends: Mapping[str, tuple[int, str]]) -> dict[str, tuple[int, str]]:
        """Which of these known ends this log doesn't have: its last entries are gone, or it is another record."""
        return {tablet: end for tablet, end in ends.items() if not self._had(tablet, *end)}

    def _had(self, tablet: str, count: int, chain: str) -> bool:
        last, goes_on = self._tails.get(tablet, (0, ""))
        if count >= last:
            return count == last and chain in (goes_on, "")
        found = self.db.execute(
            f"SELECT {COLUMNS} FROM entries WHERE tablet = ? AND count >= ? ORDER BY count LIMIT 1", (tablet, count)
        ).fetchone()
        row = Row._make(found)
        return row.count > count or chain_after(row) == chain

    def keep_lock(self, lock: FolderLock | None) -> FolderLock | None:
        """Keep the folder's lock until this log is closed; returns the lock it had before."""
        kept, self._lock = self._lock, lock
        return kept

    def close(self) -> None:
        """Close the log; the write-ahead log is merged into the database first."""
        try:
            with self._place.others_wal_aside() if self._place is not None else contextlib.nullcontext():
                self.db.conn.close()
        finally:
            if self._mark is not None:
                self._mark.close()
            if self._lock is not None:
                self._lock.release()
