"""A record that can't be opened for writing is looked at, through its write-ahead log, and not a byte is written."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from tracker.store import files
from tracker.store.errors import (
    FAILED,
    FULL,
    FULL_SINCE_OPENING,
    READ_ONLY,
    CannotWriteError,
    DamagedLogError,
    InUseError,
    NoRecordError,
)
from tracker.store.log import Log
from tracker.work.facts import Noted

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
NOTES = [Noted("a#1", "rail:1", f"{number}") for number in range(4)]


def error(code: int, words: str = "words of SQLite") -> sqlite3.OperationalError:
    found = sqlite3.OperationalError(words)
    found.sqlite_errorcode = code
    return found


@pytest.fixture
def refusing(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Makes SQLite refuse to open a file for writing, and also for reading where a second error is given."""

    def refuse(first: Exception, second: Exception | None = None) -> None:
        connect = Log._connect

        def refused(self: Log, path: Path, how: str = "") -> None:
            if how and second is None:
                connect(self, path, how)
                return
            raise (second if how and second is not None else first)

        monkeypatch.setattr(Log, "_connect", refused)

    return refuse


@pytest.fixture
def closed(tmp_path: Path) -> Path:
    path = tmp_path / "home" / "a.db"
    path.parent.mkdir()
    log = Log(path)
    log.append("saw", NOW, NOTES)
    log.close()
    return path


@pytest.fixture
def killed(tmp_path: Path, closed: Path) -> Path:
    """Half of its facts are only in its write-ahead log."""
    log = Log(closed)
    log.append("saw", NOW, NOTES)
    copy = tmp_path / "killed" / "a.db"
    copy.parent.mkdir()
    for suffix in ("", "-wal"):
        shutil.copy(f"{closed}{suffix}", f"{copy}{suffix}")
    log.close()
    return copy


def bytes_of(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("name", ["closed", "killed"])
@pytest.mark.parametrize(
    ("code", "why", "full"),
    [
        (sqlite3.SQLITE_FULL, FULL_SINCE_OPENING, True),
        (sqlite3.SQLITE_READONLY, READ_ONLY, False),
        (sqlite3.SQLITE_CANTOPEN, READ_ONLY, False),
        (sqlite3.SQLITE_IOERR, FAILED, False),
    ],
)
def test_everything_is_shown_and_nothing_is_written(
    name: str, code: int, why: str, full: bool, refusing: Any, request: pytest.FixtureRequest
) -> None:
    path: Path = request.getfixturevalue(name)
    before = bytes_of(path.parent)
    refusing(error(code))
    log = Log(path)
    assert [entry.fact for entry in log.entries()] == NOTES * (2 if name == "killed" else 1)
    assert (log.why_not, log.is_full) == (why, full)
    with pytest.raises(CannotWriteError) as refused:
        log.append("saw", NOW, NOTES)
    assert (str(refused.value), refused.value.full) == (why, full)
    assert log.look_at_its_place()
    log.close()
    assert bytes_of(path.parent) == before


def test_where_there_is_no_record_an_empty_one_is_shown(tmp_path: Path, refusing: Any) -> None:
    refusing(error(sqlite3.SQLITE_FULL))
    log = Log(tmp_path / "a.db")
    assert (log.entries(), log.length, log.seen, log.why_not) == ([], 0, {}, FULL_SINCE_OPENING)
    log.close()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("first", "second", "kind", "words"),
    [
        (error(sqlite3.SQLITE_NOTADB, "no database"), None, DamagedLogError, "no database"),
        (error(sqlite3.SQLITE_CORRUPT, "malformed"), None, DamagedLogError, "malformed"),
        (error(sqlite3.SQLITE_BUSY), None, InUseError, "the record is open in another window"),
        (error(sqlite3.SQLITE_LOCKED), None, InUseError, "the record is open in another window"),
        (error(sqlite3.SQLITE_CANTOPEN, "first"), error(sqlite3.SQLITE_CORRUPT, "second"), DamagedLogError, "second"),
        (error(sqlite3.SQLITE_CANTOPEN, "first"), error(sqlite3.SQLITE_IOERR, "second"), NoRecordError, "first"),
        (error(sqlite3.SQLITE_CANTOPEN, "first"), OSError(13, "Permission denied"), NoRecordError,
         "first (Permission denied)"),
    ],
)  # fmt: skip
def test_what_can_be_neither_written_nor_read_says_why(
    closed: Path, refusing: Any, first: Exception, second: Exception | None, kind: type[Exception], words: str
) -> None:
    refusing(first, second)
    with pytest.raises(kind) as refused:
        Log(closed)
    assert str(refused.value).startswith(words)
    assert type(refused.value) is kind


def test_a_write_ahead_log_that_cannot_be_read_is_not_taken_for_none(
    killed: Path, refusing: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unreadable(path: Path, most: int = -1) -> bytes:
        raise OSError(5, "Input/output error")

    refusing(error(sqlite3.SQLITE_READONLY, "first"))
    monkeypatch.setattr(files, "read", unreadable)
    with pytest.raises(NoRecordError, match="Input/output error"):
        Log(killed)


def test_a_transaction_that_fails_leaves_nothing_open(closed: Path) -> None:
    log = Log(closed)
    with pytest.raises(CannotWriteError) as refused, log.writing():
        log.db.execute("INSERT INTO entries SELECT * FROM entries")
    assert str(refused.value) == FAILED
    assert not log.db.conn.in_transaction
    full = error(sqlite3.SQLITE_FULL)
    with pytest.raises(CannotWriteError) as refused, log.writing():
        raise full
    assert (str(refused.value), refused.value.full) == (FULL, True)
    log.append("saw", NOW, NOTES)
    assert log.length == 8
    log.close()
