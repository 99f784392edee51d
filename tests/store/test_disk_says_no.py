"""A full disk and a read-only folder: everything is shown, nothing is lost, and a tap is refused in a sentence."""

from __future__ import annotations

import errno
import os
import sqlite3
import threading
from pathlib import Path

import pytest
from faults.disk import FULL as FULL_DISK
from faults.disk import OK, Call, disk
from store.tablet import SAMPLE, Clock, opened, tap, without_rights

from tracker.shop import Shop
from tracker.store import reserve
from tracker.store.errors import FULL, cannot_write, since_opening
from tracker.store.log import Log
from tracker.store.record import RESERVE_IN_USE


def full_after(log: Log, pages: int = 0) -> None:
    """Make SQLite answer 'database or disk is full' beyond this many pages (https://www.sqlite.org/pragma.html)."""
    now = log.db.execute("PRAGMA page_count").fetchone()[0]
    log.db.execute(f"PRAGMA max_page_count = {now + pages}")


def tap_until_refused(shop: Shop) -> str:
    for _ in range(400):
        before = shop.entries()
        state = shop.state
        if reason := tap(shop):
            assert shop.entries() == before
            assert shop.state == state
            return reason
    raise AssertionError("the disk was never full")


def test_on_a_full_disk_a_tap_is_refused_with_a_sentence_and_nothing_is_lost(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    full_after(shop._log)
    reason = tap_until_refused(shop)
    assert reason == f"Not marked. {FULL}"
    shop.beat()
    shop.settings["station"] = "drill"
    kept = shop.entries()
    shop.close()
    shop = Shop(tmp_path, Clock())
    assert shop.entries() == kept
    assert shop.notice == ""
    shop.close()


def test_the_reserve_lets_the_shift_be_closed_and_is_made_again(tmp_path: Path) -> None:
    kept_back = tmp_path / reserve.NAME
    full = False

    def judge(call: Call) -> int:
        """A disk whose last free space is taken by the reserve."""
        return FULL_DISK if full and call.what == "write" and kept_back.exists() else OK

    with disk(judge):
        shop = opened(tmp_path, reserve=1_000_000)
        shop.beat()
        assert kept_back.stat().st_size == 1_000_000
        full = True
        for _ in range(40):
            assert tap(shop) == ""
        assert shop.warning == RESERVE_IN_USE
        assert not kept_back.exists()
        full = False
        shop.beat()
        assert shop.warning == ""
        assert kept_back.exists()
        shop.close()


def test_the_disk_of_the_tests_is_asked_by_one_thread_alone(tmp_path: Path) -> None:
    """If a backup's own thread asked it, it could wait for the thread that waits for the backup."""
    asked: set[threading.Thread] = set()

    def judge(call: Call) -> int:
        asked.add(threading.current_thread())
        return OK

    with disk(judge):
        shop = opened(tmp_path)
        assert tap(shop) == ""
        shop.beat()
        assert len(list((tmp_path / "backups").glob("*.db"))) == 1, "a backup was due"
        shop.close()
    assert asked == {threading.current_thread()}


def test_no_reserve_is_made_where_it_would_fill_the_disk(tmp_path: Path) -> None:
    assert not reserve.make(tmp_path, 1 << 60)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a process of its own to give its rights away")
@pytest.mark.parametrize("left_over", [False, True], ids=["closed", "killed"])
def test_in_a_folder_that_only_reads_everything_is_shown_and_nothing_is_marked(tmp_path: Path, left_over: bool) -> None:
    shop = opened(tmp_path)
    for _ in range(3):
        tap(shop)
    kept = shop.entries()
    home = tmp_path
    if left_over:  # the last facts are only in the write-ahead log
        home = tmp_path / "killed"
        home.mkdir()
        for suffix in ("", "-wal"):
            (home / f"kerfcard.db{suffix}").write_bytes((tmp_path / f"kerfcard.db{suffix}").read_bytes())
    shop.close()
    before = {path.name: path.read_bytes() for path in home.iterdir() if path.is_file()}

    def look() -> str:
        shop = Shop(home, Clock())
        assert shop.entries() == kept
        assert "can't be written" in shop.notice
        assert "Make it writable, then open Kerfcard again." in shop.notice
        shop.open(SAMPLE)
        assert "Not marked" in tap(shop)
        shop.settings["station"] = "drill"
        shop.beat()
        shop.close()
        return ""

    for path in (*home.iterdir(), home):
        path.chmod(0o555 if path.is_dir() else 0o444)
    for parent in list(home.parents)[:4]:
        if parent.stat().st_uid == os.getuid() and parent != Path("/"):
            parent.chmod(parent.stat().st_mode | 0o005)
    trouble = without_rights(look)
    home.chmod(0o755)
    assert trouble == ""
    assert {path.name: path.read_bytes() for path in home.iterdir() if path.is_file()} == before


def test_an_error_of_the_disk_is_said_and_a_lasting_one_says_what_to_do() -> None:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = sqlite3.SQLITE_IOERR_FSYNC
    assert "copy its folder" in str(cannot_write(error))


def test_a_full_disk_says_how_to_go_on_at_a_tap_and_at_the_opening() -> None:
    full = cannot_write(OSError(errno.ENOSPC, "no space"))
    assert "then try again" in str(full)
    assert "then open Kerfcard again" in since_opening(full)
    assert since_opening(cannot_write(OSError(errno.EACCES, "denied"))).endswith("then open Kerfcard again.")
