"""Which sentence each error of the disk and of SQLite gives; the codes are those of POSIX and of
https://www.sqlite.org/rescode.html."""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path

import pytest

from tracker.store import errors
from tracker.store.errors import (
    FAILED,
    FULL,
    FULL_SINCE_OPENING,
    READ_ONLY,
    CannotWriteError,
    UnreadableError,
    cannot_write,
    is_in_use,
    is_storage,
    since_opening,
)

OF_THE_SYSTEM = {
    FULL: (errno.ENOSPC, errno.EDQUOT, errno.EFBIG),
    READ_ONLY: (errno.EROFS, errno.EACCES, errno.EPERM),
    FAILED: (errno.EIO, errno.ENOENT, errno.ENODEV, errno.ENOTDIR),
}
# The name in SQLite's list, its code there, the sentence, whether another process is in the way, whether it's the disk.
OF_SQLITE = [
    ("SQLITE_ERROR", 1, FAILED, False, False),
    ("SQLITE_PERM", 3, READ_ONLY, False, True),
    ("SQLITE_BUSY", 5, FAILED, True, False),
    ("SQLITE_LOCKED", 6, FAILED, True, False),
    ("SQLITE_READONLY", 8, READ_ONLY, False, True),
    ("SQLITE_INTERRUPT", 9, FAILED, False, False),
    ("SQLITE_IOERR", 10, FAILED, False, True),
    ("SQLITE_CORRUPT", 11, FAILED, False, False),
    ("SQLITE_FULL", 13, FULL, False, True),
    ("SQLITE_CANTOPEN", 14, READ_ONLY, False, True),
    ("SQLITE_NOTADB", 26, FAILED, False, False),
    ("SQLITE_IOERR_FSYNC", 1034, FAILED, False, True),
    ("SQLITE_READONLY_DIRECTORY", 1544, READ_ONLY, False, True),
    ("SQLITE_BUSY_RECOVERY", 261, FAILED, True, False),
    ("SQLITE_CANTOPEN_ISDIR", 526, READ_ONLY, False, True),
]


@pytest.mark.parametrize(
    ("sentence", "number"), [(said, each) for said, all_ in OF_THE_SYSTEM.items() for each in all_]
)
def test_an_error_of_the_system(sentence: str, number: int) -> None:
    error = cannot_write(OSError(number, "words of the system"))
    assert (str(error), error.full) == (sentence, sentence == FULL)


@pytest.mark.parametrize(("name", "code", "sentence", "in_use", "storage"), OF_SQLITE)
def test_an_error_of_sqlite(name: str, code: int, sentence: str, in_use: bool, storage: bool) -> None:
    assert getattr(sqlite3, name) == code
    error = sqlite3.OperationalError("words of SQLite")
    error.sqlite_errorcode = code
    told = cannot_write(error)
    assert (str(told), told.full) == (sentence, sentence == FULL)
    assert (is_in_use(error), is_storage(error)) == (in_use, storage)


def test_an_error_without_a_code_is_an_ordinary_one() -> None:
    assert errors.primary_code(sqlite3.OperationalError("no such table")) == 1


def test_only_a_full_disk_is_said_otherwise_at_the_opening() -> None:
    assert since_opening(CannotWriteError(FULL, full=True)) == FULL_SINCE_OPENING
    assert since_opening(CannotWriteError(READ_ONLY)) == READ_ONLY


def test_a_sentence_alone_says_nothing_of_room() -> None:
    assert not CannotWriteError("The folder is gone.").full


def test_a_file_that_is_there_and_cannot_be_read_says_what_to_do() -> None:
    end = "nothing was changed. Make it readable, or copy the folder to another disk and open it there"
    named = UnreadableError(Path("home/a.db"), OSError(errno.EIO, "Input/output error"))
    assert str(named) == f"a.db is there and can't be read (Input/output error); {end}"
    assert str(UnreadableError(Path("a.db"), OSError("odd"))) == f"a.db is there and can't be read (odd); {end}"
