"""Opening the log in any state: a damaged one is set aside whole, and everything that can be proven from it, from its
write-ahead log and from its backups is joined to a new one.

What SQLite would silently discard is examined first: a write-ahead log beside a missing or empty database, and frames
after a damaged one. That its last entries are gone, which an intact database can't tell, is read from the high-water
mark. All of this happens under the folder's lock.
"""

from __future__ import annotations

import contextlib
import errno
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path

from msgspec import Struct

from tracker.store import files, reserve
from tracker.store import log as log_module
from tracker.store.backups import backup_files
from tracker.store.closed_copy import proven_rows
from tracker.store.errors import (
    CannotWriteError,
    DamagedLogError,
    NoRecordError,
    UnreadableError,
    cannot_write,
    since_opening,
)
from tracker.store.exchange import export_rows
from tracker.store.identity import NAMES
from tracker.store.lock import FolderLock
from tracker.store.log import Log
from tracker.store.recovery.carve import rows_in_wal
from tracker.store.recovery.found import Found, side_file
from tracker.store.recovery.rejoin import TabletRejoined, rejoin_rows
from tracker.store.recovery.report import spoken_report, written_report
from tracker.store.recovery.unfinished import RECOVERED, clear_the_way, finish_recovery
from tracker.store.rows import Row
from tracker.store.settings import Settings, unreadable_sentence
from tracker.store.wal import ends_whole
from tracker.store.watermark import read_mark

LOG_NAME = "kerfcard.db"
BACKUP_NAME = "kerfcard-backup.db"
"""The one backup that the first version kept."""
TORN = "Kerfcard stopped within a write: the last thing marked may be missing. Look whether it is there."
_OWN = 2
"""The first sources of a recovery are the record itself: what can be read of it, and its write-ahead log."""
Ends = Mapping[str, tuple[int, str]]


class Opened(Struct, frozen=True):
    """An open log, and a message for the user; empty when it was sound."""

    log: Log
    notice: str = ""


def open_log(folder: Path, now: datetime, lock: FolderLock | None = None) -> Opened:
    """Open the log in `folder` (created if it doesn't exist); set a damaged one aside, never overwrite it.

    `lock`: the folder's, if the caller has it already; the log keeps it until it is closed. Raises NoRecordError or
    OSError when nothing can be read and nothing can be kept, and InUseError when another process has the folder.
    """
    _make(folder)
    lock = lock or FolderLock(folder, log_module.WAIT_SECONDS)
    try:
        opened = _open(folder / LOG_NAME, now)
    except BaseException:
        lock.release()
        raise
    opened.log.keep_lock(lock)
    return opened


def _open(path: Path, now: datetime) -> Opened:
    with contextlib.suppress(OSError):  # in a read-only folder this waits
        clear_the_way(path, now)
        finish_recovery(path, now)
    before = Found.at(path)
    ends = read_mark(side_file(path, files.MARK))
    if why := _doubt(path, before, ends):
        return _recover(path, now, why, before, ends)
    try:
        log = _opened(path)
    except DamagedLogError as error:
        return _recover(path, now, str(error), before, ends)
    opened = _with_unread_rows(before, log, path, now, ends)
    if opened.log is log and not log.why_not and log.missing_ends(ends):
        log.close()
        return _recover(path, now, _missing_words(log, ends), before, ends)
    opened.log.keep_watermark(side_file(path, files.MARK))
    return opened


def _make(folder: Path) -> None:
    try:
        if not folder.is_dir():
            folder.mkdir(mode=files.OUR_FOLDER, parents=True, exist_ok=True)
    except OSError as error:
        if reserve.give_back(folder.parent):
            folder.mkdir(mode=files.OUR_FOLDER, parents=True, exist_ok=True)
        elif not folder.is_dir():
            raise NoRecordError(f"the folder can't be made: {error.strerror}") from error
    for each in (folder, folder / files.BACKUPS, folder / LOG_NAME, *backup_files(folder)):
        files.make_private(each)


def _opened(path: Path) -> Log:
    """The log; the reserve is released when there is no room to open it."""
    log = Log(path)
    if log.is_full and reserve.give_back(path.parent):
        log.close()
        return Log(path)
    return log


def _doubt(path: Path, found: Found, ends: Ends) -> str:
    """Why SQLite must not open this: it would create an empty database, and discard the write-ahead log beside it."""
    if not found.database:
        state = "empty" if path.exists() else "missing"
        return f"its file is {state}" if found.wal or ends or backup_paths(path.parent) else ""
    if found.wal and (found.database[:16] != b"SQLite format 3\0" or found.database[18:20] != b"\2\2"):
        return "the head of its file is damaged"
    return ""


def _missing_words(log: Log, ends: Ends) -> str:
    seen = log.seen
    lacking = sum(max(0, count - seen.get(tablet, 0)) for tablet, (count, _) in log.missing_ends(ends).items())
    if not lacking:
        return "another record was put in its place"
    return f"its last {'fact is' if lacking == 1 else f'{lacking} facts are'} gone from its files"


def _with_unread_rows(before: Found, log: Log, path: Path, now: datetime, ends: Ends) -> Opened:
    """Rows in the write-ahead log that SQLite didn't read, because it trusts no frame after a damaged one."""
    if not before.wal or log.why_not:
        return Opened(log, log.why_not)
    whole = ends_whole(before.wal)
    beyond = _beyond(log, rows_in_wal(before.wal, committed=whole))
    # A power cut during a write may tear the last transaction: where its rows are intact they simply continue the log.
    damaged = _beyond(log, rows_in_wal(before.wal, committed=True, but_the_last=True))
    if beyond and (damaged or not _taken_in(log, beyond)):
        log.close()
        return _recover(path, now, "its write-ahead log is damaged", before, ends)
    return Opened(log, "" if whole else TORN)


def _taken_in(log: Log, rows: Iterable[Row]) -> bool:
    """Whether these rows continue the log; if so they are written, if the disk allows it."""
    try:
        with contextlib.suppress(CannotWriteError):
            log.take_in_rows(sorted(rows, key=lambda row: row.count))
    except DamagedLogError:
        return False
    return True


def _beyond(log: Log, rows: Iterable[Row]) -> set[Row]:
    """The rows that come after the last row of their tablet in the log."""
    seen = log.seen
    return {row for row in rows if row.count > seen.get(row.tablet, 0)}


def _recover(path: Path, now: datetime, why: str, before: Found, ends: Ends) -> Opened:
    """Make a database of everything that is left, then set the damaged one aside and put the new one in its place."""
    folder, before = path.parent, before.whole(path)
    sources = {
        "in the record itself": list(dict.fromkeys(before.rows())),
        "in its write-ahead log": list(dict.fromkeys(rows_in_wal(before.wal, before.database))),
        **{f"in {backup.relative_to(folder)}": _rows_of(backup) for backup in backup_paths(folder)},
    }
    found = {where: "it can't be read" if rows is None else str(len(rows)) for where, rows in sources.items()}
    kept, tablets = rejoin_rows([rows or () for rows in sources.values()], now, _OWN, ends)
    try:
        unreadable = _write_recovered(path, kept, before)
        aside = files.new_folder(folder, "damaged", now)
        _keep_forks(aside, tablets)
        report = folder / f"report-{aside.name.removeprefix('damaged-')}.txt"
        _write_private(report, written_report(why, now, aside.name, found, tablets))
        _set_aside(path, aside, before)
        files.put_in_place(side_file(path, RECOVERED), path)
    except (OSError, CannotWriteError) as error:
        log = Log.in_memory(kept, since_opening(cannot_write(error)) if isinstance(error, OSError) else str(error))
        return Opened(log, f"The record is damaged ({why}) and can't be mended here. {log.why_not}")
    log = Log(path)
    log.keep_watermark(side_file(path, files.MARK))
    notice = spoken_report(why, aside.name, report.name, tablets)
    return Opened(log, " ".join(filter(None, (notice, unreadable_sentence(unreadable)))))


def _keep_forks(aside: Path, tablets: Iterable[TabletRejoined]) -> None:
    """Write each other history to a file that can be imported on another tablet or inspected."""
    for each in tablets:
        for number, fork in enumerate(each.forks, 1):
            export_rows(fork.rows, {fork.tablet: (fork.rows[-1].count, fork.rows[-1].chain)},
                        aside / f"other-history-{fork.tablet}-{number}.jsonl")  # fmt: skip


def _write_private(path: Path, words: str) -> None:
    path.touch(mode=files.OURS_ALONE)
    path.write_text(words, "utf-8")


def _set_aside(path: Path, aside: Path, before: Found) -> None:
    """Move the database away; if SQLite has changed it since, in its state before that."""
    files.move(path, aside)
    for name, data in ((path.name, before.database), (f"{path.name}-wal", before.wal)):
        kept = aside / name
        if data and files.read(kept) != data:
            changed = kept.with_name(f"{name}.changed")
            if kept.exists():
                kept.rename(changed)
            kept.touch(mode=files.OURS_ALONE)
            kept.write_bytes(data)
            files.sync_file(kept)
            changed.unlink(missing_ok=True)


def _write_recovered(path: Path, rows: list[Row], before: Found) -> tuple[str, ...]:
    """Write a complete new database under a temporary name; returns the settings that couldn't be copied. Raises
    OSError, CannotWriteError."""
    new = side_file(path, ".unfinished")
    unreadable: tuple[str, ...] = ()
    for again in (True, False):
        files.remove_database(new)
        log = Log(new)
        try:
            log.take_in_rows(rows)
            unreadable = _take_over_settings(log, before, backup_paths(path.parent))
            break
        except CannotWriteError as error:
            if not (again and error.full and reserve.give_back(path.parent)):
                raise
        finally:
            log.close()
    files.put_in_place(new, side_file(path, RECOVERED))
    return unreadable


def _take_over_settings(log: Log, before: Found, backups: list[Path]) -> tuple[str, ...]:
    """Copy the settings of the first source that has any, but never the tablet's identity; returns those that can't be
    read."""
    for source in (before, *(Found(_bytes_of(backup), b"") for backup in backups)):
        settings, unreadable = source.settings()
        if settings or unreadable:
            Settings(log.db).update({name: value for name, value in settings.items() if name not in NAMES})
            return unreadable
    return ()


def backup_paths(folder: Path) -> list[Path]:
    """Every backup, the latest first."""
    return [*backup_files(folder), *(path for path in (folder / BACKUP_NAME,) if path.exists())]


def _rows_of(backup: Path) -> list[Row] | None:
    """The rows of a backup: proven rows if it is intact, otherwise all that can be read; None when the disk can't read
    it. Raises UnreadableError when only a permission is missing: a recovery without this backup would be premature."""
    try:
        return list(proven_rows(backup))
    except DamagedLogError:
        pass
    except OSError as error:
        if error.errno in (errno.EACCES, errno.EPERM):
            raise UnreadableError(backup, error) from error
        return None
    return list(dict.fromkeys(Found(_bytes_of(backup), b"").rows()))


def _bytes_of(backup: Path) -> bytes:
    try:
        return files.read(backup)
    except OSError:
        return b""
