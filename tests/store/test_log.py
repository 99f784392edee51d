"""The log: append-only, chained, safe; damaged ones are set aside and their readable rows are kept."""

from __future__ import annotations

import gc
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tracker.store.errors import READ_ONLY, CannotWriteError, DamagedLogError
from tracker.store.gc_pause import LONG, gc_paused
from tracker.store.log import LATER, Log
from tracker.store.recovery import LOG_NAME, open_log
from tracker.store.schema import VERSION
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
    assert log.db.execute("PRAGMA trusted_schema").fetchone()[0] == 0
    assert log.db.execute("PRAGMA locking_mode").fetchone()[0] == "exclusive"
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


def test_proven_rows_are_taken_in_where_the_log_has_not_gone_on(tmp_path: Path) -> None:
    log = open_log(tmp_path / "saw", NOW).log
    log.append("saw", NOW, FACTS)
    one, two, three = log.rows()
    taking = open_log(tmp_path / "taking", NOW).log
    taking.take_in_proven([one, two], {})
    assert taking.tails == {"saw": (2, two.chain)}
    for tails in ({}, {"saw": (1, one.chain)}, {"saw": (2, one.chain)}):
        with pytest.raises(DamagedLogError, match=r"^tablet saw has gone on meanwhile$"):
            taking.take_in_proven([three], tails)
    taking.take_in_proven([three], {"saw": (2, two.chain), "bench": (9, "")})
    assert list(taking.rows()) == [one, two, three]
    assert [entry.fact for entry in taking.entries()] == FACTS
    for each in (log, taking):
        each.close()


def test_pages_and_chains_of_a_log(tmp_path: Path) -> None:
    log = open_log(tmp_path, NOW).log
    log.append("saw", NOW, FACTS)
    log.append("bench", NOW, FACTS[:1])
    one, two, three, other = log.rows()
    assert log.page("saw", 0, 9) == [one, two, three]
    assert log.page("saw", 1, 1) == [two]
    assert log.page("saw", 3, 9) == []
    assert [log.chain_at("saw", count) for count in (0, 1, 3, 4)] == [None, one.chain, three.chain, None]
    assert log.rows_of_kind("opened") == [one, other]
    assert (log.length, log.seen) == (4, {"saw": 3, "bench": 1})
    ends = {"saw": (2, two.chain), "bench": (1, ""), "desk": (1, "")}
    assert log.missing_ends(ends) == {"desk": (1, "")}
    assert log.missing_ends({"saw": (2, three.chain)}) == {"saw": (2, three.chain)}, "another history"
    assert log.missing_ends({"saw": (3, two.chain)}) == {"saw": (3, two.chain)}
    assert log.missing_ends({"saw": (4, ""), "bench": (0, "")}) == {"saw": (4, "")}
    assert log.missing_ends({"saw": (3, "")}) == {}
    log.close()


def test_a_log_in_memory_can_only_be_looked_at(tmp_path: Path) -> None:
    log = open_log(tmp_path, NOW).log
    log.append("saw", NOW, FACTS)
    rows = list(log.rows())
    log.close()
    copy = Log.in_memory(rows)
    assert [entry.fact for entry in copy.entries()] == FACTS
    assert list(copy.rows()) == rows
    assert (copy.why_not, copy.is_full, copy.length) == (READ_ONLY, False, 3)
    with pytest.raises(CannotWriteError) as refused:
        copy.append("saw", NOW, FACTS)
    assert (str(refused.value), refused.value.full) == (READ_ONLY, False)
    copy.keep_watermark(tmp_path / "mark")
    assert not (tmp_path / "mark").exists()
    assert copy.look_at_its_place()
    copy.close()
    assert Log.in_memory([], "later").why_not == "later"


@pytest.mark.parametrize(("version", "writes"), [(VERSION, True), (VERSION + 1, False)])
def test_a_record_of_a_later_version_can_only_be_looked_at(tmp_path: Path, version: int, writes: bool) -> None:
    path = filled(tmp_path)
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA user_version = {version}")
    connection.close()
    opened = open_log(tmp_path, NOW)
    assert opened.notice == ("" if writes else LATER)
    assert [entry.fact for entry in opened.log.entries()] == FACTS
    if not writes:
        with pytest.raises(CannotWriteError, match="later version"):
            opened.log.append("saw", NOW, FACTS)
    opened.log.close()


def test_a_database_of_anothers_id_or_without_one_is_not_ours(tmp_path: Path) -> None:
    for name, statements in (("a.db", ("PRAGMA application_id = 7",)), ("b.db", ("CREATE TABLE t (a)",))):
        connection = sqlite3.connect(tmp_path / name)
        for statement in statements:
            connection.execute(statement)
        connection.close()
        with pytest.raises(DamagedLogError, match=r"^this is another program's database$"):
            Log(tmp_path / name)
    (tmp_path / "c.db").touch()
    (tmp_path / "c.db").chmod(0o644)
    log = Log(tmp_path / "c.db")
    assert (tmp_path / "c.db").stat().st_mode & 0o777 == 0o600
    ids = [log.db.execute(f"PRAGMA {name}").fetchone()[0] for name in ("application_id", "user_version")]
    assert ids == [int.from_bytes(b"Kerf", "big"), VERSION]
    assert log.entries() == []
    log.close()


@pytest.mark.parametrize(("length", "frozen"), [(LONG - 1, False), (LONG, True)])
def test_only_a_long_log_is_put_out_of_the_collectors_sight(length: int, frozen: bool) -> None:
    before = gc.get_freeze_count()
    with gc_paused(lambda: length):
        assert not gc.isenabled()
    assert gc.isenabled()
    after = gc.get_freeze_count()
    assert (after > before) is frozen
    with gc_paused():
        pass
    assert gc.get_freeze_count() == after
    gc.disable()
    with gc_paused():
        pass
    assert not gc.isenabled(), "whoever had switched it off wants it off"
    gc.enable()


def test_a_schema_that_is_no_text_is_damage(tmp_path: Path) -> None:
    path = filled(tmp_path)
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute(
        "UPDATE sqlite_master SET sql = CAST(x'ffff' AS TEXT), name = CAST(x'fffe' AS TEXT) WHERE name = 'settings'"
    )
    connection.commit()
    connection.close()
    with pytest.raises(DamagedLogError) as refused:
        Log(path)
    assert str(refused.value) == "the database is damaged: its schema can't be read"
