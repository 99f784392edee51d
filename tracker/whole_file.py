"""Files for people (labels, sheets, pictures, exports) are written completely or not at all: a full disk or a power cut
never leaves half a sheet where a good one was."""

from __future__ import annotations

import os
import stat
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """An open file that gets the name `path` when all of it is on the disk. If the block raises, or the disk is full,
    the file that was there before stays.

    A pipe or a device is written to directly. Raises OSError, which names `path`.
    """
    target = Path(os.path.realpath(path))
    unfinished = target.with_name(f".{uuid.uuid4().hex[:12]}.unfinished")
    try:
        if target.exists() and not target.is_file():
            with target.open("wb") as file:
                yield file
            return
        mode = _mode(target)
        with unfinished.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        if mode is not None:
            unfinished.chmod(mode)
        unfinished.replace(target)
        _sync_folder(target.parent)
    except OSError as error:
        if error.filename in (None, str(unfinished)):
            error.filename = str(path)
        raise
    finally:
        unfinished.unlink(missing_ok=True)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file at once, and create its folders where they are missing. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with whole_file(path) as file:
        file.write(data)


def file_name(words: str) -> str:
    """A file name that every system accepts, made from words."""
    return "".join(sign if sign.isalnum() or sign in " -_" else "_" for sign in words).strip() or "build"


def _mode(target: Path) -> int | None:
    """The permissions of the file that is to be replaced; None where there is none. Raises PermissionError where they
    don't allow writing."""
    if not target.exists():
        return None
    if not os.access(target, os.W_OK):
        raise PermissionError(13, "Permission denied", str(target))
    return stat.S_IMODE(target.stat().st_mode)


def _sync_folder(folder: Path) -> None:
    """Sync a folder: a new name is durable only when its folder is on the disk (POSIX; elsewhere nothing is needed)."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
