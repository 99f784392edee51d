"""Opening the log, whatever state it is in: a damaged one is set aside whole, and all that can be proven of it, of its
write-ahead log and of its backups is joined to a new one.

What SQLite would throw away without a word is looked at first: a write-ahead log beside a database that is missing or
empty, and frames behind one that is damaged.
"""

from __future__ import annotations

import contextlib
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path

from msgspec import Struct

from tracker.store import files, reserve
from tracker.store.backups import backup_files, sound_rows
from tracker.store.errors import CannotWriteError, DamagedLogError, NoRecordError, cannot_write, since_opening
from tracker.store.log import Log
from tracker.store.recovery.carve import rows_in_database, rows_in_wal
from tracker.store.recovery.rejoin import rejoin_rows
from tracker.store.recovery.report import spoken_report, written_report
from tracker.store.recovery.wal import ends_whole
from tracker.store.rows import COLUMNS, Chains, Row

LOG_NAME = "kerfcard.db"
BACKUP_NAME = "kerfcard-backup.db"
"""The one backup that the first version kept."""
TORN = "Kerfcard stopped within a write: the last thing marked may be missing. Look whether it is there."
RECOVERED = ".recovered"
"""What a database is called that only has to be put in its place."""
TABLET_SETTING = "tablet"
"""Never taken over into a recovered or restored log: an old identity would write the same counts twice."""


class Opened(Struct, frozen=True):
    """An open log, and one sentence for the user when something happened to it."""

    log: Log
    notice: str = ""


def open_log(folder: Path, now: datetime) -> Opened:
    """Open the log in `folder` (made if it isn't there); set a damaged one aside, never overwrite it.

    Raises NoRecordError or OSError when there is nothing to be read and nothing can be kept.
    """
    _make(folder)
    path = folder / LOG_NAME
    with contextlib.suppress(OSError):  # in a folder that only reads it waits
        _finish_recovery(path, now)
    before = _Found.at(path)
    if why := _doubt(path, before):
        return _start_again(path, now, why, before)
    try:
        log = _opened(path)
    except DamagedLogError as error:
        return _start_again(path, now, str(error), before)
    return _with_the_rest_of(before, log, path, now)


class _Found(Struct, frozen=True):
    """The bytes of a database and of its write-ahead log, before SQLite opens them: closing one that is damaged writes
    the log's pages over what could still be read.
    """

    database: bytes
    wal: bytes

    @classmethod
    def at(cls, path: Path) -> _Found:
        """What stands there; a database without a write-ahead log isn't read, because nothing will change it."""
        wal = _bytes(_beside(path, "-wal"))
        return cls(_bytes(path, -1 if wal else 20), wal)

    def whole(self, path: Path) -> _Found:
        """The same with the database in any case."""
        return self if self.wal else _Found(_bytes(path), b"")


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        if reserve.give_back(folder.parent):
            folder.mkdir(parents=True, exist_ok=True)
        elif not folder.is_dir():
            raise NoRecordError(f"the folder can't be made: {error.strerror}") from error


def _opened(path: Path) -> Log:
    """The log; with the reserve given back when there is no room to open it in."""
    log = Log(path)
    if log.is_full and reserve.give_back(path.parent):
        log.close()
        return Log(path)
    return log


def _doubt(path: Path, found: _Found) -> str:
    """Why SQLite may not open this: it would make an empty database, and drop the write-ahead log beside it."""
    if not found.database:
        state = "empty" if path.exists() else "missing"
        return f"its file is {state}" if found.wal or backup_paths(path.parent) else ""
    if found.wal and (found.database[:16] != b"SQLite format 3\0" or found.database[18:20] != b"\2\2"):
        return "the head of its file is damaged"
    return ""


def _finish_recovery(path: Path, now: datetime) -> None:
    """A recovery was broken off just before its last step: what was damaged is aside or still in place."""
    recovered = _beside(path, RECOVERED)
    if recovered.exists():
        if any(_beside(path, suffix).exists() for suffix in files.SUFFIXES):
            files.move(path, files.new_folder(path.parent, "damaged", now))
        files.put_in_place(recovered, path)


def _with_the_rest_of(before: _Found, log: Log, path: Path, now: datetime) -> Opened:
    """Rows that stand in the write-ahead log, but that SQLite did not read: behind a damaged frame it trusts none."""
    if not before.wal or log.why_not:
        return Opened(log, log.why_not)
    whole = ends_whole(before.wal)
    beyond = _beyond(log, rows_in_wal(before.wal, committed=whole))
    # Power that goes within a write may leave the last transaction torn: where its rows are whole they just go on.
    damaged = _beyond(log, rows_in_wal(before.wal, committed=True, but_the_last=True))
    if beyond and (damaged or not _taken_in(log, beyond)):
        log.close()
        return _start_again(path, now, "its write-ahead log is damaged", before)
    return Opened(log, "" if whole else TORN)


def _taken_in(log: Log, rows: Iterable[Row]) -> bool:
    """Whether these rows go on from the log's last ones; then they are written, if the disk lets them."""
    try:
        with contextlib.suppress(CannotWriteError):
            log.take_in_rows(sorted(rows, key=lambda row: row.count))
    except DamagedLogError:
        return False
    return True


def _beyond(log: Log, rows: Iterable[Row]) -> set[Row]:
    """Those rows that stand after the last one of their tablet in the log."""
    seen = log.seen
    return {row for row in rows if row.count > seen.get(row.tablet, 0)}


def _start_again(path: Path, now: datetime, why: str, before: _Found) -> Opened:
    """Make a database of everything that is left, then set the damaged one aside and put the new one in its place."""
    folder, before = path.parent, before.whole(path)
    claims: set[Row] = set()
    found = {
        "in the record itself": _add(claims, _readable(before)),
        "in its write-ahead log": _add(claims, rows_in_wal(before.wal, before.database)),
    }
    for backup in backup_paths(folder):
        sound = _sound_backup(backup)
        rows = _readable(_Found(_bytes(backup), b"")) if sound is None else sound
        found[f"in {backup.relative_to(folder)}"] = _add(claims, rows)
    kept, tablets = rejoin_rows(claims, now)
    try:
        _write_recovered(path, kept, before)
        aside = files.new_folder(folder, "damaged", now)
        report = folder / f"report-{aside.name.removeprefix('damaged-')}.txt"
        report.write_text(written_report(why, now, aside.name, found, tablets), "utf-8")
        _set_aside(path, aside, before)
        files.put_in_place(_beside(path, RECOVERED), path)
    except (OSError, CannotWriteError) as error:
        log = Log.in_memory(kept, since_opening(cannot_write(error)) if isinstance(error, OSError) else str(error))
        return Opened(log, f"The record is damaged ({why}) and can't be mended here. {log.why_not}")
    return Opened(Log(path), spoken_report(why, aside.name, report.name, tablets))


def _set_aside(path: Path, aside: Path, before: _Found) -> None:
    """Move the database away; where SQLite has changed it since, as it was before."""
    files.move(path, aside)
    for name, data in ((path.name, before.database), (f"{path.name}-wal", before.wal)):
        kept = aside / name
        if data and _bytes(kept) != data:
            changed = kept.with_name(f"{name}.changed")
            if kept.exists():
                kept.rename(changed)
            kept.write_bytes(data)
            files.sync_file(kept)
            changed.unlink(missing_ok=True)


def _add(claims: set[Row], rows: Iterable[Row]) -> int:
    """Put the rows to the claims; how many there were, each once."""
    mine = set(rows)
    claims |= mine
    return len(mine)


def _write_recovered(path: Path, rows: list[Row], before: _Found) -> None:
    """A whole new database under a name of its own. Raises OSError, CannotWriteError."""
    new = _beside(path, ".unfinished")
    for again in (True, False):
        files.remove_database(new)
        log = Log(new)
        try:
            log.take_in_rows(rows)
            _take_over_settings(log, before, backup_paths(path.parent))
            break
        except CannotWriteError as error:
            if not (again and error.full and reserve.give_back(path.parent)):
                raise
        finally:
            log.close()
    files.put_in_place(new, _beside(path, RECOVERED))


def backup_paths(folder: Path) -> list[Path]:
    """Every backup, the latest first."""
    return [*backup_files(folder), *(path for path in (folder / BACKUP_NAME,) if path.exists())]


def _sound_backup(path: Path) -> list[Row] | None:
    """The rows of a backup without a flaw; None when it has one."""
    try:
        return list(Chains().follow(sound_rows(path)))
    except (DamagedLogError, sqlite3.Error, UnicodeDecodeError):
        return None


def _readable(found: _Found) -> Iterator[Row]:
    """Every row that a database seems to hold, by SQLite and then out of the bytes."""
    with _copy(found) as connection, contextlib.suppress(sqlite3.Error, UnicodeDecodeError):
        for row in connection.execute(f"SELECT {COLUMNS} FROM entries NOT INDEXED"):
            if isinstance(row[1], int) and all(isinstance(each, str) for each in (row[0], *row[2:])):
                yield Row._make(row)
    yield from rows_in_database(found.database)


@contextlib.contextmanager
def _copy(found: _Found) -> Iterator[sqlite3.Connection]:
    """A copy of a database, to read as far as SQLite gets; an empty one where there is no room for a copy."""
    with contextlib.ExitStack() as stack:
        place = ":memory:"
        with contextlib.suppress(OSError):
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="kerfcard-")))
            (folder / LOG_NAME).write_bytes(found.database)
            (folder / f"{LOG_NAME}-wal").write_bytes(found.wal)
            place = str(folder / LOG_NAME)
        connection = stack.enter_context(contextlib.closing(sqlite3.connect(place)))
        connection.execute("PRAGMA trusted_schema = OFF")
        yield connection


def _take_over_settings(log: Log, before: _Found, backups: list[Path]) -> None:
    """The settings of the first source that has any; never the tablet's identity."""
    for found in (before, *(_Found(_bytes(backup), b"") for backup in backups)):
        settings: list[tuple[object, object]] = []
        with _copy(found) as connection, contextlib.suppress(sqlite3.Error, UnicodeDecodeError):
            settings = connection.execute("SELECT name, value FROM settings").fetchall()
        sound = [(name, value) for name, value in settings if isinstance(name, str) and isinstance(value, str)]
        for name, value in sound:
            if name != TABLET_SETTING:
                log.db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", (name, value))
        if sound:
            return


def _beside(path: Path, suffix: str) -> Path:
    return path.with_name(path.name + suffix)


def _bytes(path: Path, most: int = -1) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(most)
    except OSError:
        return b""
