"""The errors of the record on disk, each with a sentence for the user."""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path


class DamagedLogError(Exception):
    """The file isn't one of our logs, or it is damaged."""


class NoRecordError(OSError):
    """No record can be read or kept here; `str` is a sentence."""


class UnreadableError(NoRecordError):
    """A file of the record exists and can't be read, which never means that it is empty."""

    def __init__(self, path: Path, error: OSError) -> None:
        super().__init__(
            f"{path.name} is there and can't be read ({error.strerror or error}); nothing was changed. Make it "
            "readable, or copy the folder to another disk and open it there"
        )


class InUseError(NoRecordError):
    """Another window or command has the record open; two at once could damage it."""

    def __init__(self) -> None:
        super().__init__("the record is open in another window or command of Kerfcard; close that first")


class CannotWriteError(Exception):
    """Nothing was written. `str` says why, and what to do."""

    def __init__(self, sentence: str, full: bool = False) -> None:
        super().__init__(sentence)
        self.full = full


FULL = "The tablet's storage is full. Make room on it, then try again."
FULL_SINCE_OPENING = (
    "The tablet's storage is full: everything can be looked at, nothing can be marked. Make room on it, then open "
    "Kerfcard again."
)
READ_ONLY = (
    "The folder of the record can't be written to: everything can be looked at, nothing can be marked. Make it "
    "writable, then open Kerfcard again."
)
GONE = (
    "The record's file was removed or replaced while Kerfcard was open: nothing more can be marked. Close Kerfcard and "
    "open it again; what was marked until now is kept."
)
FAILED = "The tablet's storage has failed. Close Kerfcard and copy its folder to another place before you go on."
_READ_ONLY = {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM}
_IN_USE = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}


def primary_code(error: sqlite3.Error) -> int:
    """SQLite's primary result code (https://www.sqlite.org/rescode.html); 1 where Python gives none."""
    return (getattr(error, "sqlite_errorcode", None) or sqlite3.SQLITE_ERROR) & 0xFF


def is_in_use(error: sqlite3.Error) -> bool:
    return primary_code(error) in _IN_USE


def is_storage(error: sqlite3.Error) -> bool:
    """Whether the error comes from the disk, and not from the file."""
    return primary_code(error) in {*_READ_ONLY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR}


def cannot_write(error: sqlite3.Error | OSError) -> CannotWriteError:
    """The error, with its sentence, for a write that failed."""
    if isinstance(error, OSError):
        full = error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
        denied = error.errno in (errno.EROFS, errno.EACCES, errno.EPERM)
    else:
        full = primary_code(error) == sqlite3.SQLITE_FULL
        denied = primary_code(error) in _READ_ONLY
    return CannotWriteError(FULL if full else READ_ONLY if denied else FAILED, full)


def since_opening(why: CannotWriteError) -> str:
    """The sentence for a record that was opened read-only: trying again changes nothing, reopening it may."""
    return FULL_SINCE_OPENING if why.full else str(why)
