"""Whole copies of the log: made by SQLite's backup interface, proven, on the disk before they have their name.

The copy is made on the log's own connection (a second one is what SQLite before 3.51.3 can lose a write with), a few
pages at a time, so that a tap in between waits for no more than these.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from msgspec import Struct

from tracker.store import files
from tracker.store.errors import DamagedLogError, cannot_write
from tracker.store.log import Log
from tracker.store.rows import COLUMNS, Chains, Row
from tracker.store.schema import APPLICATION_ID

KEPT = 14
"""How many are kept unless a setting says otherwise."""
PAGES = 64
_STAMP = "%Y%m%d-%H%M%S"


class Backup(Struct, frozen=True):
    """A backup that is kept. `why` is "day", "finished", "restored", "asked" or "replaced"."""

    path: Path
    made: datetime
    why: str
    size: int

    def facts(self) -> int | None:
        """How many facts it holds, not proven; None when it can't be read."""
        with contextlib.suppress(sqlite3.Error):
            connection = _looked_at(self.path)
            try:
                return int(connection.execute("SELECT count(*) FROM entries").fetchone()[0])
            finally:
                connection.close()
        return None


def kept_backups(folder: Path) -> tuple[Backup, ...]:
    """Every backup beside the log in `folder`, the latest first."""
    found = []
    for path in backup_files(folder):
        _, _, named = path.stem.partition("-")
        stamp, _, why = named.rpartition("-")
        with contextlib.suppress(ValueError, OSError):
            found.append(Backup(path, datetime.strptime(stamp, _STAMP).replace(tzinfo=UTC), why, path.stat().st_size))
    return tuple(found)


def backup_files(folder: Path) -> list[Path]:
    """The files of the backups, the latest first: by their numbers, because the wall clock may have been set."""
    return sorted((folder / files.BACKUPS).glob("*.db"), key=_number, reverse=True)


def _number(path: Path) -> int:
    number = path.stem.partition("-")[0]
    return int(number) if number.isdecimal() else 0


def replaced_records(folder: Path) -> tuple[Backup, ...]:
    """The records that gave way to a restored one, the latest first: they can be put back like a backup."""
    found = []
    for path in sorted(folder.glob("replaced-*/*.db"), reverse=True):
        with contextlib.suppress(ValueError, OSError):
            made = datetime.strptime(path.parent.name[: len("replaced-yymmdd-HHMM")], "replaced-%y%m%d-%H%M")
            found.append(Backup(path, made.replace(tzinfo=UTC), "replaced", path.stat().st_size))
    return tuple(found)


def back_up(log: Log, folder: Path, now: datetime, why: str, keep: int = KEPT) -> Path:
    """Make a backup beside the log in `folder`, prove it, and let the oldest go beyond `keep`.

    Raises CannotWriteError when there is no room or no right, DamagedLogError when what came out isn't the log.
    """
    into = folder / files.BACKUPS
    number = 1 + max(map(_number, backup_files(folder)), default=0)
    path = into / f"{number:06}-{now.astimezone(UTC):{_STAMP}}-{why}.db"
    unfinished = path.with_suffix(".unfinished")
    try:
        into.mkdir(exist_ok=True)
        files.remove_database(unfinished)
        tails = _copy(log, unfinished)
        found = Chains()
        for _ in found.follow(sound_rows(unfinished)):
            pass
        if any(found.tails.get(tablet, (0, ""))[0] < count for tablet, count in tails.items()):
            raise DamagedLogError("the backup doesn't hold all that the log holds")
        files.put_in_place(unfinished, path)
        for old in kept_backups(folder)[max(1, keep) :]:
            old.path.unlink(missing_ok=True)
    except (sqlite3.Error, OSError) as error:
        raise cannot_write(error) from error
    finally:
        with contextlib.suppress(OSError):
            files.remove_database(unfinished)
    return path


def _copy(log: Log, unfinished: Path) -> dict[str, int]:
    tails = log.seen
    copy = sqlite3.connect(unfinished, isolation_level=None)
    try:
        log.db.conn.backup(copy, pages=PAGES, sleep=0.01)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file, that opens in a folder that only reads
    finally:
        copy.close()
    return tails


def sound_rows(path: Path) -> Iterator[Row]:
    """The rows of a closed copy of a log, with SQLite's own check done first; the chain is the caller's to follow.

    Raises DamagedLogError, or sqlite3.Error from the disk.
    """
    connection = _looked_at(path)
    try:
        connection.execute("PRAGMA trusted_schema = OFF")
        if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
            raise DamagedLogError("this is another program's database")
        if connection.execute("PRAGMA integrity_check(1)").fetchone()[0] != "ok":
            raise DamagedLogError("the database is damaged")
        yield from map(Row._make, connection.execute(f"SELECT {COLUMNS} FROM entries NOT INDEXED ORDER BY rowid"))
    finally:
        connection.close()


def _looked_at(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)


def tails_of(path: Path) -> dict[str, tuple[int, str]]:
    """Every tablet's last count and chain in a closed copy of a log. Raises DamagedLogError when it's damaged."""
    chains = Chains()
    try:
        for _ in chains.follow(sound_rows(path)):
            pass
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise DamagedLogError(str(error)) from error
    return chains.tails


def restore(folder: Path, name: str, backup: Path, now: datetime) -> Path:
    """Put a backup in the place of the log `name` in `folder`, which must be closed; the folder of the replaced one.

    The restored log has no tablet identity: the old one would write counts a second time. The log keeps its place
    until the restored one takes it in one step. Raises DamagedLogError, CannotWriteError.
    """
    path = folder / name
    unfinished = path.with_name(f"{name}.unfinished")
    try:
        tails_of(backup)
        files.remove_database(unfinished)
        files.copy_database(backup, unfinished)
        connection = sqlite3.connect(unfinished, isolation_level=None)
        try:
            connection.execute("DELETE FROM settings WHERE name = 'tablet'")
        finally:
            connection.close()
        aside = files.copy_aside(path, folder, "replaced", now)
        files.put_in_place(unfinished, path)
        _leave_behind(folder, backup, aside)
    except (sqlite3.Error, OSError) as error:
        raise cannot_write(error) from error
    return aside


def _leave_behind(folder: Path, backup: Path, aside: Path) -> None:
    """Put the backups that hold more than the restored one to the replaced record: what a person has taken back must
    not return by itself when the record is recovered one day.
    """
    ends = _ends(backup)
    for each in kept_backups(folder):
        if any(count > ends.get(tablet, 0) for tablet, count in _ends(each.path).items()):
            (aside / files.BACKUPS).mkdir(exist_ok=True)
            each.path.rename(aside / files.BACKUPS / each.path.name)


def _ends(path: Path) -> dict[str, int]:
    """Each tablet's last count, not proven; none where it can't be read."""
    with contextlib.suppress(sqlite3.Error), contextlib.closing(_looked_at(path)) as connection:
        return dict(connection.execute("SELECT tablet, max(count) FROM entries GROUP BY tablet"))
    return {}
