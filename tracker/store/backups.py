"""Whole copies of the log: made by SQLite's backup interface, proven, and on the disk before they get their name.

A backup has no tablet name, because a record made from it must not write the same counts a second time.

The copy is made on the log's own connection (with a second connection SQLite before 3.51.3 can lose a write), a few
pages at a time, so a tap in between waits only for these.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path

from msgspec import Struct

from tracker.store import files
from tracker.store.closed_copy import opened_copy, proven_rows, settings_in
from tracker.store.errors import DamagedLogError, cannot_write
from tracker.store.heartbeats import Heartbeat, Heartbeats
from tracker.store.identity import NAMES
from tracker.store.log import Log
from tracker.store.settings import Settings

KEPT = 14
"""How many backups are kept by default."""
PAGES = 64
LOOK_SECONDS = 2.0
"""How long a list of backups waits for each of them."""
_BATCH = 10_000
"""How many rows of a copy are proven and written at once, because a copy may be long."""
_STAMP = "%Y%m%d-%H%M%S"


class Backup(Struct, frozen=True):
    """A backup that is kept. `why` is "day", "finished", "restored", "asked", "import", "guard" or "replaced"."""

    path: Path
    made: datetime
    why: str
    size: int

    def facts(self) -> int | None:
        """How many facts it holds, without proving them; None when it can't be read."""
        with contextlib.suppress(sqlite3.Error, OSError, DamagedLogError), opened_copy(self.path, LOOK_SECONDS) as copy:
            return int(copy.execute("SELECT count(*) FROM main.entries").fetchone()[0])
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
    """The files of the backups, the latest first: sorted by their numbers, because the wall clock may have been
    changed."""
    return sorted((folder / files.BACKUPS).glob("*.db"), key=_number, reverse=True)


def _number(path: Path) -> int:
    number = path.stem.partition("-")[0]
    return int(number) if number.isdecimal() else 0


def replaced_records(folder: Path) -> tuple[Backup, ...]:
    """The records that a restored one replaced, the latest first: they can be restored like a backup."""
    found = []
    for path in sorted(folder.glob("replaced-*/*.db"), reverse=True):
        with contextlib.suppress(ValueError, OSError):
            made = datetime.strptime(path.parent.name[: len("replaced-yymmdd-HHMM")], "replaced-%y%m%d-%H%M")
            found.append(Backup(path, made.replace(tzinfo=UTC), "replaced", path.stat().st_size))
    return tuple(found)


def back_up(log: Log, folder: Path, now: datetime, why: str, keep: int = KEPT) -> Path:
    """Make a backup beside the log in `folder`, prove it, and delete the oldest beyond `keep`.

    Raises CannotWriteError when there is no room or no permission, DamagedLogError when the copy isn't the log.
    """
    into = folder / files.BACKUPS
    number = 1 + max(map(_number, backup_files(folder)), default=0)
    path = into / f"{number:06}-{now.astimezone(UTC):{_STAMP}}-{why}.db"
    unfinished = path.with_suffix(".unfinished")
    try:
        into.mkdir(mode=files.OUR_FOLDER, exist_ok=True)
        files.remove_database(unfinished)
        tails = _copy(log, unfinished)
        found = tails_of(unfinished)
        if any(found.get(tablet, (0, ""))[0] < count for tablet, count in tails.items()):
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
    unfinished.touch(mode=files.OURS_ALONE)
    copy = sqlite3.connect(unfinished, isolation_level=None)
    try:
        log.db.conn.backup(copy, pages=PAGES, sleep=0.01)
        copy.execute("PRAGMA journal_mode = DELETE")  # one file that opens in a read-only folder
        with contextlib.suppress(sqlite3.OperationalError):  # a log of the first version has no settings
            copy.executemany("DELETE FROM settings WHERE name = ?", [(name,) for name in NAMES])
    finally:
        copy.close()
    return tails


def tails_of(path: Path) -> dict[str, tuple[int, str]]:
    """Every tablet's last count and chain in a closed copy of a log. Raises DamagedLogError when it is damaged, OSError
    when it can't be read."""
    return {row.tablet: (row.count, row.chain) for row in proven_rows(path)}


def write_restored(backup: Path, to: Path, beats: Iterable[Heartbeat]) -> dict[str, int]:
    """Write the contents of a backup into a new, closed database; returns the last count of every tablet in it.

    The backup may come from a stranger and is never used itself: its rows are proven and copied into a database of our
    own, which has no tablet name and the heartbeats of this machine (`beats`). Raises DamagedLogError,
    CannotWriteError.
    """
    rows = proven_rows(backup)
    try:
        first = list(islice(rows, _BATCH))  # before anything is written
    except OSError as error:
        raise DamagedLogError(f"it can't be read: {error.strerror}") from error
    files.remove_database(to)
    with contextlib.closing(Log(to)) as log:
        batch = first
        while batch:
            log.take_in_rows(batch)
            batch = list(islice(rows, _BATCH))
        Settings(log.db).update({key: value for key, value in settings_in(backup).items() if key not in NAMES})
        Heartbeats(log.db).take_over(beats)
        return log.seen


def leave_behind(folder: Path, ends: Mapping[str, int], aside: Path) -> None:
    """Move the backups that hold more than the restored one to the replaced record: what a person has undone must not
    come back by itself in a later recovery."""
    for each in kept_backups(folder):
        if any(count > ends.get(tablet, 0) for tablet, count in _ends(each.path).items()):
            (aside / files.BACKUPS).mkdir(mode=files.OUR_FOLDER, exist_ok=True)
            each.path.rename(aside / files.BACKUPS / each.path.name)


def _ends(path: Path) -> dict[str, int]:
    """Each tablet's last count, unproven; empty where it can't be read."""
    with contextlib.suppress(sqlite3.Error, OSError, DamagedLogError), opened_copy(path, LOOK_SECONDS) as copy:
        return dict(copy.execute("SELECT tablet, max(count) FROM main.entries GROUP BY tablet"))
    return {}
