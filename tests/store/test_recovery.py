"""Damaged, foreign, missing and half-gone logs: no provable row is lost, and lost rows are reported."""

from __future__ import annotations

import random
import shutil
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tracker.store.backups import back_up
from tracker.store.log import InUseError, Log
from tracker.store.recovery import LOG_NAME, open_log, rejoin_rows
from tracker.store.recovery.carve import rows_in_database, rows_in_wal
from tracker.store.recovery.found import Found
from tracker.store.recovery.open import _set_aside
from tracker.store.rows import LOST, Row
from tracker.work.facts import Done, Entry, Fact, Opened, Unknown

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
FACTS: list[Fact] = [
    Opened("frame#1", "Frame", "frame.toml"),
    Done("frame#1", "rail:1", "cut"),
    Done("frame#1", "rail:1", "trim"),
]


def filled(folder: Path, count: int = 3) -> Path:
    log = open_log(folder, NOW).log
    log.append("saw", NOW, FACTS)
    for piece in range(count - 3):
        log.append("saw", NOW, [Done("frame#1", f"rail:{piece}", "cut")])
    log.close()
    return folder / LOG_NAME


def tampered(path: Path, count: int, column: str = "data", value: object = '{"run": "x"}') -> None:
    connection = sqlite3.connect(path)
    connection.execute("DROP TRIGGER entries_no_update")
    connection.execute(f"UPDATE entries SET {column} = ? WHERE count = ?", (value, count))
    connection.commit()
    connection.close()


def reopened(folder: Path) -> tuple[str, list[Entry], str]:
    """The notice, the entries and the report of a folder; the next time its log opens without a notice."""
    opened = open_log(folder, NOW)
    entries = opened.log.entries()
    assert "tablet" not in dict(opened.log.db.execute("SELECT name, value FROM settings"))
    opened.log.close()
    again = open_log(folder, NOW)
    assert again.notice == ""
    assert again.log.entries() == entries
    again.log.close()
    report = next(iter(folder.glob("report-*.txt")), None)
    return opened.notice, entries, report.read_text() if report else ""


def test_a_changed_entry_is_noticed_and_a_backup_brings_it_back(tmp_path: Path) -> None:
    path = filled(tmp_path)
    log = open_log(tmp_path, NOW).log
    back_up(log, tmp_path, NOW, "day")
    log.close()
    tampered(path, 2)
    notice, entries, _ = reopened(tmp_path)
    assert "entry 2 of tablet saw was changed" in notice
    assert "3 facts were recovered" in notice
    assert [entry.fact for entry in entries] == FACTS


def test_without_a_backup_only_the_changed_entry_is_lost_and_the_report_names_it(tmp_path: Path) -> None:
    path = filled(tmp_path, 40)
    tampered(path, 20)
    notice, entries, report = reopened(tmp_path)
    assert "39 facts were recovered and 1 lost" in notice
    assert [entry.count for entry in entries if not isinstance(entry.fact, Unknown)] == [*range(1, 20), *range(21, 41)]
    assert "lost: 20\n" in report
    assert "tablet saw: 39 facts recovered, 1 lost" in report


def test_a_last_entry_that_was_changed_is_named_as_lost(tmp_path: Path) -> None:
    path = filled(tmp_path, 40)
    tampered(path, 40)
    notice, entries, report = reopened(tmp_path)
    assert "39 facts were recovered and 1 lost" in notice
    assert len([entry for entry in entries if not isinstance(entry.fact, Unknown)]) == 39
    assert "lost: 40\n" in report


def test_a_chain_that_was_changed_is_put_right_by_the_entry_after_it(tmp_path: Path) -> None:
    path = filled(tmp_path, 10)
    tampered(path, 5, "chain", "0" * 64)
    notice, entries, _ = reopened(tmp_path)
    assert "10 facts were recovered:" in notice
    assert [entry.count for entry in entries] == list(range(1, 11))


def test_after_a_hole_the_first_entry_is_kept_and_said_to_be_unproven(tmp_path: Path) -> None:
    path = filled(tmp_path, 30)
    tampered(path, 10, "chain", "0" * 64)
    tampered_again(path, 10)
    notice, entries, report = reopened(tmp_path)
    assert "29 facts were recovered and 1 lost" in notice
    assert "lost: 10\n" in report
    assert "11 could be read, but not proven" in report
    assert Done("frame#1", "rail:7", "cut") in [entry.fact for entry in entries if entry.count == 11]


def tampered_again(path: Path, count: int) -> None:
    connection = sqlite3.connect(path)
    connection.execute("UPDATE entries SET data = '{}' WHERE count = ?", (count,))
    connection.commit()
    connection.close()


def test_a_recovered_log_that_is_damaged_again_keeps_its_holes_and_its_facts(tmp_path: Path) -> None:
    path = filled(tmp_path, 30)
    tampered(path, 10)
    reopened(tmp_path)
    tampered(path, 20)
    opened = open_log(tmp_path, NOW)
    counts = [entry.count for entry in opened.log.entries() if not isinstance(entry.fact, Unknown)]
    assert counts == [count for count in range(1, 31) if count not in (10, 20)]
    opened.log.close()


def test_the_log_goes_on_after_a_recovery(tmp_path: Path) -> None:
    path = filled(tmp_path, 30)
    tampered(path, 10)
    log = open_log(tmp_path, NOW).log
    log.append("bench", NOW, FACTS)
    log.close()
    opened = open_log(tmp_path, NOW)
    assert opened.notice == ""
    assert opened.log.seen == {"saw": 30, "bench": 3}
    opened.log.close()


def test_a_database_of_another_program_is_set_aside_whole(tmp_path: Path) -> None:
    path = tmp_path / LOG_NAME
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE recipes (name TEXT)")
    connection.execute("INSERT INTO recipes VALUES ('shellac')")
    connection.commit()
    connection.close()
    notice, entries, _ = reopened(tmp_path)
    assert "another program" in notice
    assert entries == []
    kept = next(tmp_path.glob("damaged-*")) / LOG_NAME
    connection = sqlite3.connect(kept)
    assert connection.execute("SELECT name FROM recipes").fetchone() == ("shellac",)
    connection.close()


@pytest.mark.parametrize("keep", [0, 100, 5000])
def test_a_torn_file_is_set_aside_and_the_rest_comes_from_the_backup(tmp_path: Path, keep: int) -> None:
    path = filled(tmp_path, 50)
    log = open_log(tmp_path, NOW).log
    back_up(log, tmp_path, NOW, "day")
    log.close()
    torn = path.read_bytes()[:keep] + b"\xff" * 3000 * bool(keep)
    path.write_bytes(torn)
    notice, entries, _ = reopened(tmp_path)
    assert "50 facts were recovered" in notice
    assert len(entries) == 50
    assert (next(tmp_path.glob("damaged-*")) / LOG_NAME).read_bytes() == torn


def test_a_missing_file_comes_back_from_the_backup(tmp_path: Path) -> None:
    path = filled(tmp_path)
    log = open_log(tmp_path, NOW).log
    back_up(log, tmp_path, NOW, "day")
    log.close()
    path.unlink()
    notice, entries, _ = reopened(tmp_path)
    assert "its file is missing" in notice
    assert len(entries) == 3


def left_by_a_kill(folder: Path, count: int = 12) -> Path:
    """A log as left by a killed app: its last facts are only in the write-ahead log."""
    filled(folder / "before")
    log = open_log(folder / "before", NOW).log
    for piece in range(count):
        log.append("saw", NOW, [Done("frame#1", f"leg:{piece}", "cut")])
    home = folder / "home"
    home.mkdir()
    for suffix in ("", "-wal"):
        shutil.copy(folder / "before" / (LOG_NAME + suffix), home)
    log.close()
    return home


def test_the_write_ahead_log_of_a_damaged_database_is_read_and_kept(tmp_path: Path) -> None:
    home = left_by_a_kill(tmp_path)
    wal = (home / f"{LOG_NAME}-wal").read_bytes()
    with (home / LOG_NAME).open("rb+") as file:
        file.write(b"\0" * 100)
    notice, entries, _ = reopened(home)
    assert "the head of its file is damaged" in notice
    assert [entry.count for entry in entries] == list(range(1, 16))
    assert (next(home.glob("damaged-*")) / f"{LOG_NAME}-wal").read_bytes() == wal


@pytest.mark.parametrize("what", ["missing", "empty"])
def test_a_write_ahead_log_without_its_database_is_not_thrown_away(tmp_path: Path, what: str) -> None:
    home = left_by_a_kill(tmp_path)
    (home / LOG_NAME).unlink() if what == "missing" else (home / LOG_NAME).write_bytes(b"")
    notice, entries, _ = reopened(home)
    assert f"its file is {what}" in notice
    assert [entry.count for entry in entries] == list(range(1, 16))


def test_a_damaged_frame_of_the_write_ahead_log_takes_none_behind_it(tmp_path: Path) -> None:
    """SQLite silently drops every frame after the first with a wrong checksum."""
    home = left_by_a_kill(tmp_path)
    wal = bytearray((home / f"{LOG_NAME}-wal").read_bytes())
    wal[32 + 24 + 3] ^= 1
    (home / f"{LOG_NAME}-wal").write_bytes(wal)
    notice, entries, _ = reopened(home)
    assert "its write-ahead log is damaged" in notice
    assert [entry.count for entry in entries] == list(range(1, 16))
    assert (next(home.glob("damaged-*")) / f"{LOG_NAME}-wal").read_bytes() == wal


def test_a_recovery_that_was_broken_off_is_finished(tmp_path: Path) -> None:
    path = filled(tmp_path)
    path.rename(tmp_path / f"{LOG_NAME}.recovered")
    opened = open_log(tmp_path, NOW)
    assert [entry.fact for entry in opened.log.entries()] == FACTS
    opened.log.close()


def test_a_second_window_is_told_and_nothing_is_set_aside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tracker.store.log.WAIT_SECONDS", 0.01)
    path = filled(tmp_path)
    first = Log(path)
    with pytest.raises(InUseError, match="another window"):
        open_log(tmp_path, NOW)
    first.close()
    assert not list(tmp_path.glob("damaged-*"))


def test_long_facts_are_carved_from_their_overflow_pages(tmp_path: Path) -> None:
    log = open_log(tmp_path / "a", NOW).log
    words = "board " * 4000
    for count in range(20):
        log.append("saw", NOW, [Unknown("told", {"words": words[: count * 1200]})])
    wal = (tmp_path / "a" / f"{LOG_NAME}-wal").read_bytes()
    rows = set(log.rows())
    log.close()
    assert rows <= set(rows_in_wal(wal))
    assert rows <= set(rows_in_database((tmp_path / "a" / LOG_NAME).read_bytes()))


def rows_of(folder: Path, count: int) -> list[Row]:
    log = Log(filled(folder, count))
    rows = list(log.rows())
    log.close()
    return rows


def test_joining_keeps_every_row_of_a_log_in_pieces(tmp_path: Path) -> None:
    rows = rows_of(tmp_path, 60)
    for seed in range(40):
        chance = random.Random(seed)
        left = [row for row in rows if chance.random() < 0.8]
        chance.shuffle(left)
        kept, (tablet,) = rejoin_rows([left], NOW)
        counts = {row.count for row in left}
        plain = {row.count for row in kept if row.kind != LOST} | {row.count for row in tablet.unproven}
        assert plain == counts
        lost = {count for first, last in tablet.lost for count in range(first, last + 1)}
        assert lost == set(range(1, max(counts) + 1)) - counts
        assert rejoin_rows([kept], NOW)[0] == kept


def test_a_changed_row_never_gets_through(tmp_path: Path) -> None:
    rows = rows_of(tmp_path, 20)
    for at in range(20):
        changed = list(rows)
        changed[at] = rows[at]._replace(data=rows[at].data.replace("rail", "stile").replace("Frame", "Frome"))
        kept, _ = rejoin_rows([changed], NOW)
        assert changed[at] not in kept
        assert not any("stile" in row.data or "Frome" in row.data for row in kept)


@pytest.mark.parametrize("changed", [b"", b"what SQLite made of it", b"as it was"])
def test_a_database_is_set_aside_as_it_was_and_for_nobody_else_to_read(tmp_path: Path, changed: bytes) -> None:
    """Whether SQLite has changed it since it was read, taken it away, or left it as it was."""
    path, aside = tmp_path / LOG_NAME, tmp_path / "aside"
    aside.mkdir()
    if changed:
        path.touch(mode=0o600)
        path.write_bytes(changed)
    _set_aside(path, aside, Found(b"as it was", b"its log"))
    assert not path.exists()
    assert {each.name: each.read_bytes() for each in aside.iterdir()} == {
        LOG_NAME: b"as it was", f"{LOG_NAME}-wal": b"its log",
    }  # fmt: skip
    assert {each.stat().st_mode & 0o777 for each in aside.iterdir()} == {0o600}
