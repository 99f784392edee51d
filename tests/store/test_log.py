"""The log: append-only, chained, safe; damaged ones are set aside and what can be read is kept."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tracker.store.log import Log
from tracker.store.rescue import BACKUP_NAME, LOG_NAME, open_log
from tracker.store.settings import Settings
from tracker.work.facts import Done, Opened

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
FACTS = [Opened("frame#1", "Frame", "frame.toml"), Done("frame#1", "rail:1", "cut"), Done("frame#1", "rail:1", "trim")]


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


def test_a_changed_entry_is_noticed_and_the_backup_brings_it_back(tmp_path: Path) -> None:
    path = filled(tmp_path)
    open_log(tmp_path, NOW).log.close()  # makes the backup
    connection = sqlite3.connect(path)
    connection.execute("DROP TRIGGER entries_no_update")
    connection.execute(
        """UPDATE entries SET data = '{"run": "frame#1", "item": "rail:2", "step": "cut"}' WHERE count = 2"""
    )
    connection.commit()
    connection.close()
    opened = open_log(tmp_path, NOW)
    assert "set aside" in opened.notice
    assert [entry.fact for entry in opened.log.entries()] == FACTS
    opened.log.close()


def test_a_database_of_another_program_is_set_aside_whole(tmp_path: Path) -> None:
    path = tmp_path / LOG_NAME
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE recipes (name TEXT)")
    connection.execute("INSERT INTO recipes VALUES ('shellac')")
    connection.commit()
    connection.close()
    opened = open_log(tmp_path, NOW)
    assert "another program" in opened.notice
    assert opened.log.entries() == []
    opened.log.close()
    kept = next(tmp_path.glob("damaged-*")) / LOG_NAME
    assert sqlite3.connect(kept).execute("SELECT name FROM recipes").fetchone() == ("shellac",)


def test_a_torn_file_is_set_aside_and_what_the_backup_holds_is_kept(tmp_path: Path) -> None:
    path = filled(tmp_path)
    open_log(tmp_path, NOW).log.close()
    assert (tmp_path / BACKUP_NAME).exists()
    path.write_bytes(path.read_bytes()[:5000] + b"\xff" * 3000)
    opened = open_log(tmp_path, NOW)
    assert "3 facts were recovered" in opened.notice
    opened.log.close()


def test_settings_are_kept(tmp_path: Path) -> None:
    log = Log(tmp_path / LOG_NAME)
    settings = Settings(log.db)
    settings["station"] = "drill"
    settings["station"] = "saw"
    log.close()
    log = Log(tmp_path / LOG_NAME)
    assert dict(Settings(log.db)) == {"station": "saw"}
    log.close()
