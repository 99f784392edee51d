"""Which files an open database uses: a path isn't a file, and another file may get that path."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from tracker.store import files


class Place:
    """The files of an open database and of its write-ahead log, at the time this is created."""

    def __init__(self, path: Path) -> None:
        self._wal = path.with_name(f"{path.name}-wal")
        self._inodes = {each: files.inode_of(each) for each in (path, self._wal)}

    def is_kept(self) -> bool:
        """Whether the open files are still those that the next opening will find."""
        try:
            return all(known is None or files.inode_of(path) == known for path, known in self._inodes.items())
        except OSError:
            return False

    @contextlib.contextmanager
    def others_wal_aside(self) -> Iterator[None]:
        """SQLite deletes the write-ahead log by its name when it closes, so a log that isn't ours must not be there
        then."""
        known = self._inodes[self._wal]
        if known is None or files.inode_of(self._wal) in (None, known):
            yield
            return
        aside = self._wal.with_name(f"{self._wal.name}.aside")
        self._wal.rename(aside)
        try:
            yield
        finally:
            aside.rename(self._wal)
