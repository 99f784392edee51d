"""A file that only occupies disk space, released when the disk is full, so that the shift can be finished."""

from __future__ import annotations

import contextlib
import os
import shutil
from pathlib import Path

from tracker.store import files

NAME = "reserve"
BYTES = 16 * 1024 * 1024
ROOM = 8
"""The reserve is created only while this many times its size is free, so that it is never what fills the disk."""


def make(folder: Path, size: int = BYTES) -> bool:
    """Create the reserve if there is room; returns whether it exists."""
    path = folder / NAME
    try:
        if path.exists() and path.stat().st_size == size:
            return True
        if shutil.disk_usage(folder).free < ROOM * size:
            return False
        path.touch(mode=files.OURS_ALONE)
        with path.open("wb") as file:
            if hasattr(os, "posix_fallocate"):
                os.posix_fallocate(file.fileno(), 0, size)
            else:
                file.write(os.urandom(size))  # zeros would free no room on a file system that compresses
    except OSError:
        give_back(folder)
        return False
    return True


def give_back(folder: Path) -> bool:
    """Release the reserve; returns whether there was one."""
    with contextlib.suppress(OSError):
        (folder / NAME).unlink()
        return True
    return False
