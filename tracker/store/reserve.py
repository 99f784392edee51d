"""A file that only takes up room, given back when the disk is full, so that the shift can be closed."""

from __future__ import annotations

import contextlib
import os
import shutil
from pathlib import Path

from tracker.store import files

NAME = "reserve"
BYTES = 16 * 1024 * 1024
ROOM = 8
"""The reserve is made while the disk has this many times its size free, so that it is never what fills the disk."""


def make(folder: Path, size: int = BYTES) -> bool:
    """Make the reserve if there is room; whether it is there."""
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
                file.write(os.urandom(size))  # a file system that packs zeros would give no room back
    except OSError:
        give_back(folder)
        return False
    return True


def give_back(folder: Path) -> bool:
    """Free the reserve's room; whether there was any."""
    with contextlib.suppress(OSError):
        (folder / NAME).unlink()
        return True
    return False
