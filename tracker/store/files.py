"""The files of a record on disk: who may read them, how they are read, and how one replaces another so that there is a
complete one at every moment, and nothing is ever overwritten."""

from __future__ import annotations

import contextlib
import os
import shutil
import stat
from datetime import datetime
from pathlib import Path

BACKUPS = "backups"
MARK = "-mark"
"""The suffix of the high-water mark (tracker/store/watermark.py), appended to the database's name like those of
SQLite's files."""
SUFFIXES = ("", "-wal", "-shm", "-journal", MARK)
OURS_ALONE, OUR_FOLDER = 0o600, 0o700
Inode = tuple[int, int]
"""Device and inode: they identify a file even if its name changes."""


def inode_of(path: Path) -> Inode | None:
    """The file with this name; None when there is none. Raises OSError."""
    try:
        found = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return None
    return found.st_dev, found.st_ino


def read(path: Path, most: int = -1) -> bytes:
    """The bytes of a file; empty when it doesn't exist. Raises OSError when it exists and can't be read, which never
    means that it is empty."""
    try:
        with path.open("rb") as file:
            return file.read(most)
    except FileNotFoundError:
        return b""


def make_private(path: Path) -> None:
    """Remove everybody else's permissions from one of our files or folders, where the file system has permissions."""
    with contextlib.suppress(OSError):
        mode = stat.S_IMODE(path.stat().st_mode)
        if mode & 0o077:
            path.chmod(mode & OUR_FOLDER)


def move(path: Path, aside: Path) -> None:
    """Move a database with all its files into a folder. Raises OSError."""
    for suffix in SUFFIXES:
        part = path.with_name(path.name + suffix)
        if part.exists():
            part.rename(aside / part.name)
    sync_folder(aside)
    sync_folder(path.parent)


def copy_aside(path: Path, folder: Path, word: str, now: datetime) -> Path:
    """Keep a copy of a closed database in a new folder, while it stays in place until another replaces it; returns the
    folder."""
    aside = new_folder(folder, word, now)
    if path.exists():
        try:
            os.link(path, aside / path.name)
        except OSError:  # a file system without hard links
            copy_database(path, aside / path.name)
    for suffix in SUFFIXES[1:]:
        part = path.with_name(path.name + suffix)
        if part.exists():
            part.rename(aside / part.name)
    sync_folder(aside)
    sync_folder(folder)
    return aside


def new_folder(folder: Path, word: str, now: datetime) -> Path:
    """A new folder `word-time`. Raises OSError."""
    name = f"{word}-{now:%y%m%d-%H%M}"
    for number in range(1, 1000):
        aside = folder / (name if number == 1 else f"{name}-{number}")
        try:
            aside.mkdir(mode=OUR_FOLDER)
        except FileExistsError:
            continue
        return aside
    raise FileExistsError(f"there are a thousand folders {name}")


def clear_the_way(path: Path, now: datetime) -> None:
    """Move anything with this name that isn't a file (a folder, a pipe, a broken link) into a new folder."""
    if os.path.lexists(path) and not path.is_file():
        path.rename(new_folder(path.parent, "stray", now) / path.name)


def remove_database(path: Path) -> None:
    """Remove an unfinished database of ours."""
    for suffix in SUFFIXES:
        path.with_name(path.name + suffix).unlink(missing_ok=True)


def put_in_place(unfinished: Path, path: Path) -> None:
    """Rename a finished, closed file to its final name, after syncing it to the disk."""
    sync_file(unfinished)
    unfinished.replace(path)
    sync_folder(path.parent)


def copy_database(path: Path, to: Path) -> None:
    """Copy a closed database."""
    shutil.copyfile(path, to)
    make_private(to)
    sync_file(to)


def sync_file(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Sync a folder: a rename is durable only once the folder is on the disk (POSIX; elsewhere nothing is needed)."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
