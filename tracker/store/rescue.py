"""Opening the log, whatever state it is in: a damaged one is set aside whole, and all that can be proven of it, of its
write-ahead log and of its backups is joined to a new one.

What SQLite would throw away without a word is looked at first: a write-ahead log beside a database that is missing or
empty, and frames behind one that is damaged.
"""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from tracker.store import ballast, files
from tracker.store.backups import sound_rows
from tracker.store.carve import rows_in_database, rows_in_wal
from tracker.store.errors import CannotWriteError, DamagedLogError, NoRecordError, cannot_write
from tracker.store.log import Log
from tracker.store.mend import mend
from tracker.store.report import spoken_report, written_report
from tracker.store.rows import COLUMNS, Chains, Row

LOG_NAME = "kerfcard.db"
BACKUP_NAME = "kerfcard-backup.db"
"""The one backup that the first version kept."""
RECOVERED = ".recovered"
"""What a database is called that only has to be put in its place."""
TABLET_SETTING = "tablet"
"""Never taken over into a recovered or restored log: an old identity would write the same counts twice."""


@dataclass(frozen=True, slots=True)
class Opened:
    """An open log, and one sentence for the user when something happened to it."""

    log: Log
    notice: str = ""


def open_log(folder: Path, now: datetime) -> Opened:
    """Open the log in `folder` (made if it isn't there); set a damaged one aside, never overwrite it.

    Raises NoRecordError or OSError when there is nothing to be read and nothing can be kept.
    """
    _make(folder)
    path = folder / LOG_NAME
    _finish_recovery(path, now)
    wal = _bytes(_beside(path, "-wal"))
    if why := _doubt(path, wal):
        return _start_again(path, now, why)
    try:
        log = _opened(path)
    except DamagedLogError as error:
        return _start_again(path, now, str(error), wal)
    return _with_the_rest_of(wal, log, path, now)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        if ballast.give_back(folder.parent):
            folder.mkdir(parents=True, exist_ok=True)
        elif not folder.is_dir():
            raise NoRecordError(f"the folder can't be made: {error.strerror}") from error


def _opened(path: Path) -> Log:
    """The log; with the reserve given back when there is no room to open it in."""
    log = Log(path)
    if log.is_full and ballast.give_back(path.parent):
        log.close()
        return Log(path)
    return log


def _doubt(path: Path, wal: bytes) -> str:
    """Why SQLite may not open this: it would make an empty database, and drop the write-ahead log beside it."""
    if not path.exists():
        return "its file is missing" if wal or backup_paths(path.parent) else ""
    head = _bytes(path, 20)
    if not head:
        return "its file is empty" if wal or backup_paths(path.parent) else ""
    if wal and (head[:16] != b"SQLite format 3\0" or head[18:20] != b"\2\2"):
        return "the head of its file is damaged"
    return ""


def _finish_recovery(path: Path, now: datetime) -> None:
    """A recovery was broken off just before its last step: what was damaged is aside or still in place."""
    recovered = _beside(path, RECOVERED)
    if recovered.exists():
        if any(_beside(path, suffix).exists() for suffix in files.SUFFIXES):
            files.move(path, files.new_folder(path.parent, "damaged", now))
        files.put_in_place(recovered, path)


def _with_the_rest_of(wal: bytes, log: Log, path: Path, now: datetime) -> Opened:
    """Rows that stand in the write-ahead log, but that SQLite did not read: behind a damaged frame it trusts none."""
    beyond = _beyond(log, rows_in_wal(wal, committed=True)) if wal else set()
    if not beyond or log.why_not:
        return Opened(log, log.why_not)
    if not _beyond(log, rows_in_wal(wal, committed=True, but_the_last=True)):
        with contextlib.suppress(DamagedLogError, CannotWriteError):
            # Power that goes within a write may leave the last transaction torn: where its rows are whole they go on.
            log.take_in_rows(sorted(beyond, key=lambda row: row[1]))
            return Opened(log)
    rows = [*log.rows(), *beyond]
    log.close()
    return _start_again(path, now, "its write-ahead log is damaged", wal, rows)


def _beyond(log: Log, rows: Iterable[Row]) -> set[Row]:
    """Those rows that stand after the last one of their tablet in the log."""
    seen = log.seen
    return {row for row in rows if row[1] > seen.get(row[0], 0)}


def _start_again(path: Path, now: datetime, why: str, wal: bytes = b"", rows: Iterable[Row] = ()) -> Opened:
    """Make a database of everything that is left, then set the damaged one aside and put the new one in its place.

    `wal` is the write-ahead log as it was before SQLite opened it.
    """
    folder = path.parent
    claims = set(rows)
    found = {"in the record itself": _add(claims, _readable(path)), "in its write-ahead log": 0}
    found["in its write-ahead log"] = _add(claims, rows_in_wal(wal or _bytes(_beside(path, "-wal")), _bytes(path, 20)))
    for backup in backup_paths(folder):
        sound = _sound_backup(backup)
        found[f"in {backup.relative_to(folder)}"] = _add(claims, _readable(backup) if sound is None else sound)
        if sound is not None:  # the log only grows: an older backup holds nothing that this one doesn't
            break
    kept, tablets = mend(claims, now)
    try:
        _write_recovered(path, kept)
        aside = files.new_folder(folder, "damaged", now)
        report = folder / f"report-{aside.name.removeprefix('damaged-')}.txt"
        report.write_text(written_report(why, now, aside.name, found, tablets), "utf-8")
        files.move(path, aside)
        if wal and not (aside / f"{LOG_NAME}-wal").exists():
            (aside / f"{LOG_NAME}-wal").write_bytes(wal)
        files.put_in_place(_beside(path, RECOVERED), path)
    except (OSError, CannotWriteError) as error:
        log = Log.in_memory(kept, str(cannot_write(error)) if isinstance(error, OSError) else str(error))
        return Opened(log, f"The record is damaged ({why}) and can't be mended here. {log.why_not}")
    return Opened(Log(path), spoken_report(why, aside.name, report.name, tablets))


def _add(claims: set[Row], rows: Iterable[Row]) -> int:
    """Put the rows to the claims; how many there were, each once."""
    mine = set(rows)
    claims |= mine
    return len(mine)


def _write_recovered(path: Path, rows: list[Row]) -> None:
    """A whole new database under a name of its own. Raises OSError, CannotWriteError."""
    new = _beside(path, ".unfinished")
    for again in (True, False):
        files.remove_database(new)
        log = Log(new)
        try:
            log.take_in_rows(rows)
            _take_over_settings(log, [path, *backup_paths(path.parent)])
            break
        except CannotWriteError as error:
            if not (again and error.full and ballast.give_back(path.parent)):
                raise
        finally:
            log.close()
    files.put_in_place(new, _beside(path, RECOVERED))


def backup_paths(folder: Path) -> list[Path]:
    """Every backup, the latest first."""
    kept = sorted((folder / files.BACKUPS).glob("*.db"), reverse=True)
    return [*kept, *(path for path in (folder / BACKUP_NAME,) if path.exists())]


def _sound_backup(path: Path) -> list[Row] | None:
    """The rows of a backup without a flaw; None when it has one."""
    try:
        return list(Chains().follow(sound_rows(path)))
    except (DamagedLogError, sqlite3.Error):
        return None


def _readable(path: Path) -> Iterator[Row]:
    """Every row that a database seems to hold, by SQLite and then out of the bytes."""
    if path.exists():
        yield from _by_sqlite(path)
        yield from rows_in_database(_bytes(path))


def _by_sqlite(path: Path) -> Iterator[Row]:
    """As far as SQLite gets, on a copy: opening the file itself would take its write-ahead log away."""
    with contextlib.suppress(OSError, sqlite3.Error), tempfile.TemporaryDirectory(prefix="kerfcard-") as folder:
        copy = Path(shutil.copyfile(path, Path(folder) / path.name))
        if (wal := _beside(path, "-wal")).exists():
            shutil.copyfile(wal, Path(folder) / wal.name)
        connection = sqlite3.connect(copy)
        try:
            connection.execute("PRAGMA trusted_schema = OFF")
            for row in connection.execute(f"SELECT {COLUMNS} FROM entries NOT INDEXED"):
                if isinstance(row[1], int) and all(isinstance(each, str) for each in (row[0], *row[2:])):
                    yield row
        finally:
            connection.close()


def _take_over_settings(log: Log, sources: list[Path]) -> None:
    """The settings of the first source that has any; never the tablet's identity."""
    for source in sources:
        with contextlib.suppress(OSError, sqlite3.Error), tempfile.TemporaryDirectory(prefix="kerfcard-") as folder:
            connection = sqlite3.connect(shutil.copyfile(source, Path(folder) / LOG_NAME))
            try:
                settings = connection.execute("SELECT name, value FROM settings").fetchall()
            finally:
                connection.close()
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
