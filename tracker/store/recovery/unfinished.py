"""The remains of an interrupted recovery, and other things with a name that a recovery needs."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from tracker.store import files
from tracker.store.errors import DamagedLogError, InUseError, NoRecordError
from tracker.store.log import Log
from tracker.store.recovery.found import Found, side_file
from tracker.store.wal import ends_whole

RECOVERED = ".recovered"
"""The name of a finished database that only has to be put in its place."""


def clear_the_way(path: Path, now: datetime) -> None:
    """Move away a folder, or anything else that isn't a file, with one of our names: it must not stop a recovery or
    hide a record."""
    for suffix in (RECOVERED, ".unfinished", files.MARK, f"{files.MARK}.unfinished"):
        files.clear_the_way(side_file(path, suffix), now)


def finish_recovery(path: Path, now: datetime) -> None:
    """Finish a recovery that was interrupted just before its last step: the damaged record is aside or still in place.
    A sound record stays in place, regardless of other files beside it."""
    recovered = side_file(path, RECOVERED)
    if not recovered.exists():
        return
    if not _is_sound(recovered) or _is_sound(path):
        recovered.rename(files.new_folder(path.parent, "stray", now) / recovered.name)
        return
    if any(side_file(path, suffix).exists() for suffix in files.SUFFIXES):
        files.move(path, files.new_folder(path.parent, "damaged", now))
    files.put_in_place(recovered, path)


def _is_sound(path: Path) -> bool:
    """Whether a log can be opened and proven from end to end; nothing is created if there is none."""
    if not path.is_file() or not path.stat().st_size:
        return False
    wal = side_file(path, "-wal")
    if wal.exists() and wal.stat().st_size:  # only opening it would tell, and a damaged one must be examined first
        found = Found.at(path)
        if found.database[:16] != b"SQLite format 3\0" or not ends_whole(found.wal):
            return False
    try:
        Log(path).close()
    except InUseError:
        raise
    except (DamagedLogError, NoRecordError):
        return False
    return True
