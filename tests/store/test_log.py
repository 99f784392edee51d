"""The log: append-only, chained, safe; damaged ones are set aside and their readable rows are kept."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tracker.store.errors import DamagedLogError
from tracker.store.log import Log
from tracker.store.recovery import LOG_NAME, open_log
from tracker.store.settings import Settings
from tracker.work.facts import Done, Fact, Opened

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
FACTS: list[Fact] = [
    Opened("frame#1", "Frame", "frame.toml"),
    Done("frame#1", "rail:1", "cut"),
    Done("frame#1", "rail:1", "trim"),
]


def filled(folder: Path) -> Path:
    log = open_log(folder, NOW).log
    log.append("saw", NOW, FACTS)
    log.close()
    return folder / LOG_NAME


def test_entries_come_back_as_they_were_written(tmp_path: Path) -> None:
    filled(tmp_path)
    opened = open_log(tmp_path, NOW)
    assert opened.notice == ""
    entries = opened.log.entries()
    assert [entry.fact for entry in entries] == FACTS
    assert [dict(entry.seen) for entry in entries] == [{}, {"saw": 1}, {"saw": 2}]
    opened.log.close()


def test_the_journal_is_a_write_ahead_log_with_full_synchronisation(tmp_path: Path) -> None:
    log = open_log(tmp_path, NOW).log
    assert log.db.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    assert log.db.execute("PRAGMA synchronous").fetchone()[0] == 2  # FULL, see SQLite's own documentation of the pragma
    log.close()


@pytest.mark.parametrize("statement", ["UPDATE entries SET data = '{}'", "DELETE FROM entries"])
def test_the_log_only_grows(tmp_path: Path, statement: str) -> None:
    connection = sqlite3.connect(filled(tmp_path))
    with pytest.raises(sqlite3.IntegrityError, match="the log only grows"):
        connection.execute(statement)
    connection.close()


def test_taking_in_the_same_entries_twice_is_harmless(tmp_path: Path) -> None:
    filled(tmp_path)
    log = open_log(tmp_path, NOW).log
    other = open_log(tmp_path / "other", NOW).log
    assert len(other.take_in(log.entries())) == 3
    assert other.take_in(log.entries()) == []
    assert other.entries() == log.entries()
    log.close()
    other.close()


def test_settings_are_kept(tmp_path: Path) -> None:
    log = Log(tmp_path / LOG_NAME)
    settings = Settings(log.db)
    settings["station"] = "drill"
    settings["station"] = "saw"
    log.close()
    log = Log(tmp_path / LOG_NAME)
    assert dict(Settings(log.db)) == {"station": "saw"}
    log.close()


def test_after_a_gap_the_rest_of_that_tablet_waits_and_the_others_do_not(tmp_path: Path) -> None:
    """An entry may refer to the missing one: for example the undo of an unknown entry."""
    log, other = open_log(tmp_path / "saw", NOW).log, open_log(tmp_path / "bench", NOW).log
    ours, theirs = log.append("saw", NOW, FACTS), other.append("bench", NOW, FACTS)
    taking = open_log(tmp_path / "taking", NOW).log
    assert taking.take_in([ours[0], ours[2], *theirs]) == [ours[0], *theirs]
    assert taking.take_in([ours[2]]) == [], "still a gap"
    assert taking.take_in(ours) == ours[1:], "and in order once it is closed"
    assert {entry.id for entry in taking.entries()} == {entry.id for entry in (*ours, *theirs)}
    for each in (log, other, taking):
        each.close()


def test_rows_with_a_gap_are_refused_whole(tmp_path: Path) -> None:
    log, taking = open_log(tmp_path / "saw", NOW).log, open_log(tmp_path / "taking", NOW).log
    log.append("saw", NOW, FACTS)
    first, _, third = log.rows()
    with pytest.raises(DamagedLogError):
        taking.take_in_rows([first, third])
    assert taking.entries() == []
    for each in (log, taking):
        each.close()
