"""Why a record isn't simply opened, in the words of its notice: each sign of damage, and each that is none."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tracker.store.recovery import LOG_NAME, TORN, open_log
from tracker.store.recovery.open import BACKUP_NAME
from tracker.store.watermark import Watermark
from tracker.work.facts import Noted

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
WAL = f"{LOG_NAME}-wal"
MARK = f"{LOG_NAME}-mark"


def left_by_a_kill(folder: Path, closed: int = 2, more: int = 3) -> Path:
    """A record as a killed process leaves it: `closed` facts are in the database, `more` in the write-ahead log."""
    for number in (closed, more):
        log = open_log(folder / "live", NOW).log
        for each in range(number):
            log.append("saw", NOW, [Noted("a#1", "rail:1", f"{each}")])
        if number is more:
            break
        log.close()
    home = folder / "home"
    home.mkdir()
    for name in (LOG_NAME, WAL, MARK):
        shutil.copy(folder / "live" / name, home / name)
    log.close()
    return home


def opened(home: Path) -> tuple[str, int]:
    """The reason in the notice, and how many facts there are."""
    found = open_log(home, NOW)
    notice, count = found.notice, sum(1 for row in found.log.rows() if row.kind != "lost")
    found.log.close()
    again = open_log(home, NOW)
    assert again.notice == "", "it is said once"
    again.log.close()
    if notice.startswith("The record was damaged ("):
        notice = notice[len("The record was damaged (") : notice.index("); it was set aside")]
    return notice, count


def test_what_a_killed_process_left_is_whole(tmp_path: Path) -> None:
    assert opened(left_by_a_kill(tmp_path)) == ("", 5)


@pytest.mark.parametrize("at", [0, 15, 18, 19])
def test_a_database_whose_head_is_damaged_isnt_opened_while_it_has_a_log(tmp_path: Path, at: int) -> None:
    home = left_by_a_kill(tmp_path)
    data = bytearray((home / LOG_NAME).read_bytes())
    data[at] ^= 4
    (home / LOG_NAME).write_bytes(data)
    assert opened(home) == ("the head of its file is damaged", 5)


@pytest.mark.parametrize(("state", "words"), [("gone", "its file is missing"), ("empty", "its file is empty")])
@pytest.mark.parametrize("witness", [WAL, MARK, BACKUP_NAME, "backups/000001-20260302-080000-day.db", None])
def test_a_record_that_is_not_there_is_missed_where_anything_else_of_it_is(
    tmp_path: Path, state: str, words: str, witness: str | None
) -> None:
    home = left_by_a_kill(tmp_path)
    whole = tmp_path / "live" / LOG_NAME
    for name in (LOG_NAME, WAL, MARK):
        if name != witness:
            (home / name).unlink()
    if witness and witness.endswith(".db"):
        (home / "backups").mkdir()
        shutil.copy(whole, home / witness)
    if state == "empty":
        (home / LOG_NAME).touch()
    facts = {None: 0, MARK: 0}.get(witness, 5)
    assert opened(home) == (words if witness else "", facts)


@pytest.mark.parametrize(
    ("gone", "words"),
    [(0, ""), (1, "its last fact is gone from its files"), (2, "its last 2 facts are gone from its files")],
)
def test_what_the_mark_knows_of_is_missed(tmp_path: Path, gone: int, words: str) -> None:
    home = left_by_a_kill(tmp_path)
    log = open_log(tmp_path / "live", NOW).log
    chain = log.tails["saw"][1]
    log.close()
    (home / MARK).unlink()
    Watermark(home / MARK, {"saw": (5 + gone, "f" * 64 if gone else chain)}).close()
    assert opened(home) == (words, 5)


def test_another_record_in_its_place_is_noticed(tmp_path: Path) -> None:
    home = left_by_a_kill(tmp_path)
    Watermark(home / MARK, {"saw": (5, "f" * 64)}).close()
    notice, _ = opened(home)
    assert notice == "another record was put in its place"


def frame(home: Path, number: int) -> int:
    """Where a frame of the write-ahead log begins, counted from its end; a page has 4096 bytes."""
    return len((home / WAL).read_bytes()) - number * (4096 + 24)


def test_a_write_that_was_torn_is_said_and_what_is_whole_of_it_is_kept(tmp_path: Path) -> None:
    home = left_by_a_kill(tmp_path)
    data = (home / WAL).read_bytes()
    (home / MARK).unlink()
    (home / WAL).write_bytes(data[:-100])
    notice, count = opened(home)
    assert notice == TORN
    assert count in (4, 5)


def test_a_write_that_was_never_ended_is_nothing_to_speak_of(tmp_path: Path) -> None:
    home = left_by_a_kill(tmp_path)
    data = (home / WAL).read_bytes()
    (home / MARK).unlink()
    (home / WAL).write_bytes(data[: frame(home, 1)])
    assert opened(home) == ("", 4)


def test_frames_after_a_damaged_one_are_not_lost(tmp_path: Path) -> None:
    home = left_by_a_kill(tmp_path)
    data = bytearray((home / WAL).read_bytes())
    data[32 + 30] ^= 1
    (home / WAL).write_bytes(data)
    assert opened(home) == ("its write-ahead log is damaged", 5)


def test_everything_is_read_again_from_where_it_was_set_aside(tmp_path: Path) -> None:
    home = left_by_a_kill(tmp_path)
    data = bytearray((home / LOG_NAME).read_bytes())
    data[0] ^= 4
    (home / LOG_NAME).write_bytes(data)
    wal = (home / WAL).read_bytes()
    found = open_log(home, NOW)
    found.log.close()
    (aside,) = home.glob("damaged-*")
    assert (aside / LOG_NAME).read_bytes() == data
    assert (aside / WAL).read_bytes() == wal
    assert sorted(path.name for path in aside.iterdir()) == [LOG_NAME, MARK, WAL]
    report = (home / f"report-{aside.name.removeprefix('damaged-')}.txt").read_text("utf-8")
    assert "  in the record itself: 2\n  in its write-ahead log: 5\n" in report
    assert "  tablet saw: 5 facts recovered, 0 lost\n" in report
