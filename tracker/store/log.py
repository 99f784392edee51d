"""The log on disk: SQLite in WAL mode with full synchronisation, append-only, each entry chained to the one before.

One connection in the process. An entry is acknowledged only after `append` has returned, that is after the commit.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from tracker.store.schema import APPLICATION_ID, migrations
from tracker.work.facts import Entry, Fact, from_data, to_data


class DamagedLogError(Exception):
    """The file isn't a log of ours, or it is damaged."""


class Log:
    """An open log. Raises DamagedLogError from the constructor when the file can't be trusted."""

    def __init__(self, path: Path) -> None:
        self.path = path
        connection = sqlite3.connect(path, check_same_thread=False, isolation_level=None)
        self.db = Database(connection)
        try:
            self._open()
        except (sqlite3.DatabaseError, DamagedLogError) as error:
            connection.close()
            raise DamagedLogError(str(error)) from error

    def _open(self) -> None:
        ours = self._pragma("application_id")
        if ours not in (0, APPLICATION_ID) or (ours == 0 and self.db.table_names()):
            raise DamagedLogError("this is another program's database")
        if self._pragma("quick_check") != "ok":
            raise DamagedLogError("the database is damaged")
        self._pragma("journal_mode = WAL")
        self._pragma("synchronous = FULL")
        if self._pragma("journal_mode") != "wal" or self._pragma("synchronous") != 2:
            raise DamagedLogError("the database can't be kept safe here: no write-ahead log")
        migrations.apply(self.db)
        self._tails: dict[str, tuple[int, str]] = {}
        for entry, chain in self._rows():
            last = self._tails.get(entry.tablet, (0, ""))
            if chain != chain_link(last[1], *columns_of(entry)):
                raise DamagedLogError(f"entry {entry.count} of {entry.tablet} was changed after it was written")
            self._tails[entry.tablet] = (entry.count, chain)

    def _pragma(self, what: str) -> Any:
        row = self.db.execute(f"PRAGMA {what}").fetchone()
        return row[0] if row else None

    def _rows(self) -> Iterable[tuple[Entry, str]]:
        for row in self.db.execute(
            "SELECT tablet, count, seen, at, kind, data, chain FROM entries ORDER BY tablet, count"
        ):
            yield read_entry(row[:6]), row[6]

    def entries(self) -> list[Entry]:
        """Every entry, by tablet and count."""
        return [entry for entry, _ in self._rows()]

    @property
    def seen(self) -> dict[str, int]:
        """The highest count known of every tablet."""
        return {tablet: count for tablet, (count, _) in self._tails.items()}

    def append(self, tablet: str, at: datetime, facts: Iterable[Fact]) -> list[Entry]:
        """Write facts of this tablet in one transaction; they are on the disk when this returns."""
        count, seen = self.seen.get(tablet, 0), self.seen
        entries = []
        for fact in facts:
            count += 1
            entries.append(Entry(tablet, count, dict(seen), at, fact))
            seen[tablet] = count
        self.take_in(entries)
        return entries

    def take_in(self, entries: Iterable[Entry]) -> list[Entry]:
        """Write entries of any tablet that aren't here yet; the new ones, in the order given. Twice is harmless.

        Entries of one tablet must come without a gap: after a gap the rest of that tablet waits for another exchange.
        """
        tails, new = dict(self._tails), []
        with self.db.atomic():
            for entry in entries:
                count, chain = tails.get(entry.tablet, (0, ""))
                if entry.count != count + 1:
                    continue
                columns = columns_of(entry)
                chain = chain_link(chain, *columns)
                self.db.execute("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?)", (*columns, chain))
                tails[entry.tablet] = (entry.count, chain)
                new.append(entry)
        self._tails = tails
        return new

    def back_up(self, to: Path) -> None:
        """A whole copy beside the log, renamed into place only when it is complete."""
        unfinished = to.with_suffix(".unfinished")
        unfinished.unlink(missing_ok=True)
        copy = sqlite3.connect(unfinished)
        try:
            self.db.conn.backup(copy)
        finally:
            copy.close()
        with unfinished.open("rb+") as file:
            os.fsync(file.fileno())
        unfinished.replace(to)

    def close(self) -> None:
        self.db.conn.close()


def columns_of(entry: Entry) -> tuple[str, int, str, str, str, str]:
    kind, data = to_data(entry.fact)
    return (
        entry.tablet,
        entry.count,
        json.dumps(dict(entry.seen), sort_keys=True),
        entry.at.isoformat(),
        kind,
        json.dumps(data, sort_keys=True, ensure_ascii=False),
    )


def read_entry(row: tuple[Any, ...]) -> Entry:
    tablet, count, seen, at, kind, data = row
    try:
        return Entry(tablet, count, json.loads(seen), datetime.fromisoformat(at), from_data(kind, json.loads(data)))
    except (TypeError, ValueError) as error:
        raise DamagedLogError(f"entry {count} of {tablet} can't be read") from error


def chain_link(before: str, *columns: object) -> str:
    return hashlib.sha256(json.dumps([before, *columns], ensure_ascii=False).encode()).hexdigest()
