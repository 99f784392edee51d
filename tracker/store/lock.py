"""One process at a time in the folder of a record: from before anything in it is read until it is closed.

SQLite locks the database, but a recovery replaces that file: two processes starting at once would each set the other's
work aside. So the whole folder has a lock, a file that stays and means nothing by existing. The system releases the
lock when its process ends in any way, and a forked process doesn't inherit it (POSIX record locks).
"""

from __future__ import annotations

import contextlib
import errno
import os
import time
from pathlib import Path

from tracker.store import files
from tracker.store.errors import InUseError

NAME = "kerfcard.lock"
_POLL_SECONDS = 0.02
_held: set[Path] = set()
"""Folders that this process holds, because a process could take the same record lock twice."""


class FolderLock:
    """The lock of a folder, taken on creation. Raises InUseError when another process holds it for `wait` seconds.

    In a read-only folder, and on a file system without locks, there is nothing to lock.
    """

    def __init__(self, folder: Path, wait: float) -> None:
        self._folder = folder.resolve()
        self._handle = -1
        if self._folder in _held:
            raise InUseError
        try:
            self._handle = os.open(folder / NAME, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
        except OSError:
            return
        files.make_private(folder / NAME)
        until = time.monotonic() + wait
        while not self._locked():
            if time.monotonic() >= until:
                os.close(self._handle)
                raise InUseError
            time.sleep(_POLL_SECONDS)
        _held.add(self._folder)

    def _locked(self) -> bool:
        """Whether we have the lock; also true where nothing can be locked."""
        try:
            if os.name == "nt":
                import msvcrt

                msvcrt.locking(self._handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
            else:
                import fcntl

                fcntl.lockf(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            return error.errno not in (errno.EACCES, errno.EAGAIN, errno.EDEADLK)
        return True

    def release(self) -> None:
        """Release the lock. Repeating it is harmless."""
        _held.discard(self._folder)
        if self._handle >= 0:
            with contextlib.suppress(OSError):
                os.close(self._handle)
            self._handle = -1
