"""One process at a time in the folder of a record, who may read it, and copies that are read without opening them."""

from __future__ import annotations

import sqlite3
import stat
import threading
from pathlib import Path

import pytest
from store.tablet import Clock, apart, opened, tap, tend, written

from tracker.shop import Shop
from tracker.store import lock
from tracker.store.errors import InUseError
from tracker.store.recovery import LOG_NAME
from tracker.store.wal import without_wal


def test_a_folder_is_held_from_the_opening_to_the_closing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tracker.store.log.WAIT_SECONDS", 0.01)
    shop = opened(tmp_path)
    with pytest.raises(InUseError):
        Shop(tmp_path, Clock())
    tap(shop)
    tend(shop)
    shop.restore(shop.backups()[0].path)
    with pytest.raises(InUseError):
        Shop(tmp_path, Clock())
    shop.close()
    Shop(tmp_path, Clock()).close()


def test_another_process_waits_for_the_folder_and_then_gives_up(tmp_path: Path) -> None:
    held = lock.FolderLock(tmp_path, 0)

    def second() -> None:
        lock._held.clear()  # as in a new process
        with pytest.raises(InUseError):
            lock.FolderLock(tmp_path, 0.1)

    assert apart(second) == ""
    threading.Timer(0.2, held.release).start()

    def third() -> None:
        lock._held.clear()
        lock.FolderLock(tmp_path, 5).release()

    assert apart(third) == ""


def test_nobody_else_may_read_the_record(tmp_path: Path) -> None:
    home = tmp_path / "home"
    shop = opened(home, reserve=100_000)
    tap(shop)
    tend(shop)
    shop.export()
    shop.restore(shop.backups()[0].path)
    shop.close()
    (home / LOG_NAME).write_bytes(b"rust" * 3000)
    shop = Shop(home, Clock())
    shop.close()
    modes = {path: stat.S_IMODE(path.stat().st_mode) for path in (home, *home.rglob("*"))}
    assert {path.name: oct(mode) for path, mode in modes.items() if mode & 0o077} == {}


def test_an_older_record_that_all_may_read_is_closed_to_them(tmp_path: Path) -> None:
    written(tmp_path, 2)
    tmp_path.chmod(0o755)
    (tmp_path / LOG_NAME).chmod(0o644)
    Shop(tmp_path, Clock()).close()
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o700
    assert stat.S_IMODE((tmp_path / LOG_NAME).stat().st_mode) == 0o600


def test_nothing_is_copied_into_the_folder_of_passing_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    passing = tmp_path / "passing"
    passing.mkdir()
    passing.chmod(0o500)
    monkeypatch.setenv("TMPDIR", str(passing))
    monkeypatch.setattr("tempfile.tempdir", None)
    monkeypatch.setattr("tempfile.mkdtemp", _refuse)
    home = tmp_path / "home"
    written(home, 4)
    data = bytearray((home / LOG_NAME).read_bytes())
    data[data.index(b'"step"') + 3] ^= 4
    (home / LOG_NAME).write_bytes(data)
    shop = Shop(home, Clock())
    assert "recovered" in shop.notice
    shop.close()
    assert list(passing.iterdir()) == []


def _refuse(*_: object, **__: object) -> str:
    raise AssertionError("a copy in the folder of passing files")


def test_a_database_is_read_through_its_write_ahead_log_as_sqlite_reads_it(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    for _ in range(9):
        tap(shop)
    database, wal = ((tmp_path / f"{LOG_NAME}{suffix}").read_bytes() for suffix in ("", "-wal"))
    rows = list(shop._log.rows())
    shop.close()
    image = sqlite3.connect(":memory:")
    image.deserialize(without_wal(database, wal))
    assert image.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert image.execute("SELECT * FROM entries ORDER BY rowid").fetchall() == rows
    image.close()


def test_what_is_read_through_the_write_ahead_log_is_as_long_as_sqlite_leaves_it(tmp_path: Path) -> None:
    shop = opened(tmp_path / "home")
    for _ in range(40):
        tap(shop)
    database, wal = ((tmp_path / "home" / f"{LOG_NAME}{suffix}").read_bytes() for suffix in ("", "-wal"))
    shop.close()
    copy = tmp_path / "copy.db"
    copy.write_bytes(database)
    copy.with_name("copy.db-wal").write_bytes(wal)
    sqlite = sqlite3.connect(copy)
    sqlite.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    sqlite.close()
    assert len(without_wal(database, wal)) == copy.stat().st_size
