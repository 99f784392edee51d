"""Moving databases so that at every moment there is a whole one, and nothing is ever overwritten."""

from __future__ import annotations

import os
import shutil
from datetime import datetime
from pathlib import Path

BACKUPS = "backups"
SUFFIXES = ("", "-wal", "-shm", "-journal")


def move(path: Path, aside: Path) -> None:
    """Move a database with all that belongs to it into a folder. Raises OSError."""
    for suffix in SUFFIXES:
        part = path.with_name(path.name + suffix)
        if part.exists():
            part.rename(aside / part.name)
    sync_folder(aside)
    sync_folder(path.parent)


def copy_aside(path: Path, folder: Path, word: str, now: datetime) -> Path:
    """Keep a closed database in a new folder too, while it keeps its place until another takes it; the folder."""
    aside = new_folder(folder, word, now)
    if path.exists():
        try:
            os.link(path, aside / path.name)
        except OSError:  # a file system without links
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
            aside.mkdir()
        except FileExistsError:
            continue
        return aside
    raise FileExistsError(f"there are a thousand folders {name}")


def remove_database(path: Path) -> None:
    """Remove an unfinished database of ours."""
    for suffix in SUFFIXES:
        path.with_name(path.name + suffix).unlink(missing_ok=True)


def put_in_place(unfinished: Path, path: Path) -> None:
    """Rename a finished, closed file to its own name, once it is on the disk."""
    sync_file(unfinished)
    unfinished.replace(path)
    sync_folder(path.parent)


def copy_database(path: Path, to: Path) -> None:
    """Copy a closed database."""
    shutil.copyfile(path, to)
    sync_file(to)


def sync_file(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """What was renamed in a folder lasts once the folder itself is on the disk (POSIX; elsewhere nothing is needed)."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
