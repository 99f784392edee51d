"""A copy from anybody is read within SQLite's own limits for databases from strangers, and only where it is plain."""

from __future__ import annotations

import os
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tracker.store import closed_copy
from tracker.store.backups import back_up
from tracker.store.closed_copy import opened_copy, proven_rows, settings_in
from tracker.store.errors import DamagedLogError
from tracker.store.recovery import carve, open_log
from tracker.store.settings import Settings
from tracker.work.facts import Done

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
RECOMMENDED = {
    "LENGTH": 1_000_000, "SQL_LENGTH": 100_000, "COLUMN": 100, "EXPR_DEPTH": 10, "COMPOUND_SELECT": 3,
    "VDBE_OP": 25_000, "FUNCTION_ARG": 8, "ATTACHED": 0, "LIKE_PATTERN_LENGTH": 50, "VARIABLE_NUMBER": 10,
    "TRIGGER_DEPTH": 10,
}  # fmt: skip
"""https://www.sqlite.org/security.html, section 1.1 "Untrusted SQL Inputs"."""


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    log = open_log(tmp_path, NOW).log
    log.append("saw", NOW, [Done("a#1", f"rail:{number}", "cut") for number in (1, 2, 3)])
    Settings(log.db)["kerf"] = "1/8 in"
    path = back_up(log, tmp_path, NOW, "day")
    log.close()
    return path


def changed(path: Path, *statements: str) -> Path:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER IF EXISTS entries_no_update")
    for statement in statements:
        connection.execute(statement)
    connection.close()
    return path


def why_not(path: Path) -> str:
    with pytest.raises(DamagedLogError) as refused:
        list(proven_rows(path))
    return str(refused.value)


def test_the_limits_are_those_that_sqlite_recommends(copy: Path) -> None:
    with opened_copy(copy) as connection:
        limits = {name: connection.getlimit(getattr(sqlite3, f"SQLITE_LIMIT_{name}")) for name in RECOMMENDED}
        assert limits == RECOMMENDED | {"LENGTH": 16 * 2**20}, "a text may be as long as our longest row"
        assert limits["LENGTH"] == carve.MOST_BYTES
        switches = {"trusted_schema": 0, "query_only": 1, "cell_size_check": 1, "mmap_size": 0}
        assert {name: connection.execute(f"PRAGMA {name}").fetchone()[0] for name in switches} == switches


def test_a_copy_of_as_many_facts_as_may_be_and_one_more(copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert [row.count for row in proven_rows(copy)] == [1, 2, 3]
    monkeypatch.setattr(closed_copy, "MOST_ROWS", 3)
    assert [row.count for row in proven_rows(copy)] == [1, 2, 3]
    monkeypatch.setattr(closed_copy, "MOST_ROWS", 2)
    assert why_not(copy) == "it holds more than 2 facts"


def test_a_file_of_two_gigabytes_is_still_looked_into(copy: Path) -> None:
    """The file is sparse: it takes no room."""
    os.truncate(copy, 2 * 2**30)
    with opened_copy(copy) as connection:
        assert connection.execute("SELECT count(*) FROM entries").fetchone() == (3,)
    os.truncate(copy, 2 * 2**30 + 1)
    assert why_not(copy) == "it is larger than 2 GB"


def test_what_is_no_file_is_said(tmp_path: Path) -> None:
    assert why_not(tmp_path) == "it is no file"


@pytest.mark.parametrize(
    ("statement", "why"),
    [
        ("PRAGMA application_id = 7", "this is another program's database"),
        ("ALTER TABLE entries RENAME TO entry", "its schema isn't Kerfcard's"),
        ("ALTER TABLE entries ADD COLUMN twice AS (count * 2)", "its schema isn't Kerfcard's"),
        ("ALTER TABLE entries ADD COLUMN more CHECK (more > 0)", "its schema isn't Kerfcard's"),
        ("CREATE INDEX by_count ON entries (abs(count))", "its schema isn't Kerfcard's"),
        ("UPDATE entries SET seen = CAST(x'ff' AS TEXT) WHERE count = 2", "Could not decode to UTF-8"),
        ("UPDATE entries SET data = '{}' WHERE count = 2", "entry 2 of tablet saw was changed after it was written"),
    ],
)
def test_a_copy_that_was_tampered_with_is_refused_with_its_reason(copy: Path, statement: str, why: str) -> None:
    assert why_not(changed(copy, statement)).startswith(why)


def test_a_table_of_more_stored_columns_is_plain(copy: Path) -> None:
    """A later version may have added one."""
    changed(copy, "ALTER TABLE entries ADD COLUMN more TEXT")
    assert [row.count for row in proven_rows(copy)] == [1, 2, 3]


def test_a_page_that_was_overwritten_is_damage(copy: Path) -> None:
    data = bytearray(copy.read_bytes())
    data[4096 : 2 * 4096] = bytes(4096)
    copy.write_bytes(data)
    assert why_not(copy) in ("the database is damaged", "database disk image is malformed")


def test_reading_stops_when_its_time_is_over(copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    times = iter([100.0, *[100.0 + closed_copy.SECONDS] * 50, *[100.1 + closed_copy.SECONDS] * 10_000])
    monkeypatch.setattr("tracker.store.closed_copy.time.monotonic", lambda: next(times))
    monkeypatch.setattr(closed_copy, "_STEPS", 1)
    with pytest.raises(DamagedLogError, match=r"^interrupted$"):
        list(proven_rows(copy))
    assert next(times) > 100 + closed_copy.SECONDS, "not before"


# -- settings ----------------------------------------------------------------------------------------------------------


def test_the_settings_of_a_copy_are_those_that_can_be_proven(copy: Path) -> None:
    assert settings_in(copy) == {"kerf": "1/8 in"}
    changed(copy, "INSERT INTO settings (name, value, proof) VALUES ('theme', 'dark', 'no proof')")
    assert settings_in(copy) == {"kerf": "1/8 in"}
    with opened_copy(copy) as connection:
        assert closed_copy.read_settings(connection) == ({"kerf": "1/8 in"}, ("theme",))


def test_settings_older_than_their_proof_are_believed(copy: Path) -> None:
    changed(copy, "UPDATE settings SET proof = ''", "PRAGMA user_version = 3")
    assert settings_in(copy) == {"kerf": "1/8 in"}
    changed(copy, "PRAGMA user_version = 4")
    assert settings_in(copy) == {}


def test_names_and_values_that_are_no_text_are_named_as_far_as_they_can_be(copy: Path) -> None:
    changed(
        copy,
        "DROP TABLE settings",
        "CREATE TABLE settings (name, value, proof)",
        "INSERT INTO settings VALUES (x'6bff', 'a', ''), (NULL, 'a', ''), ('theme', NULL, ''), ('hand', x'ff', '')",
    )
    with opened_copy(copy) as connection:
        assert closed_copy.read_settings(connection) == ({}, ("k\N{REPLACEMENT CHARACTER}", "?", "theme", "hand"))
    changed(copy, "CREATE VIEW bad AS SELECT 1")
    assert settings_in(copy) == {}
    changed(copy, "DROP TABLE settings")
    assert settings_in(copy) == {}
    changed(copy, "CREATE VIEW settings AS SELECT 'kerf' AS name, '2 in' AS value, '' AS proof")
    changed(copy, "PRAGMA user_version = 3")
    assert settings_in(copy) == {}, "a view is code, and isn't read"
