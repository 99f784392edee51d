"""The guard on the record: its removal, replacement or unreadability is noticed, while it is open and before. Nothing
that was shown as done is missing without a message, and an unreadable record is never taken for an empty one."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import threading
from pathlib import Path

import pytest
from store.tablet import SAMPLE, Clock, apart, opened, tap, tend, without_rights

from tracker.shop import Shop
from tracker.store import lock, watermark
from tracker.store.errors import InUseError, NoRecordError
from tracker.store.recovery import LOG_NAME
from tracker.store.wal import without_wal

LATER = Clock().now.wall


def written(home: Path, taps: int = 5, clock: Clock | None = None) -> list[tuple[str, int]]:
    """A record with some work, closed; returns its entries."""
    shop = opened(home, clock)
    for _ in range(taps):
        assert tap(shop) == ""
    kept = [entry.id for entry in shop.entries()]
    shop.close()
    return kept


def ids(shop: Shop) -> list[tuple[str, int]]:
    return [entry.id for entry in shop.entries()]


def facts(shop: Shop) -> list[object]:
    return [entry.fact for entry in shop.entries() if getattr(entry.fact, "kind", "") != "lost"]


# -- while it is open --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("how", ["removed", "replaced by an older copy", "replaced by another", "its folder is gone"])
def test_a_record_that_is_taken_away_while_open_takes_no_mark_with_it(tmp_path: Path, how: str) -> None:
    home, other = tmp_path / "home", tmp_path / "other"
    written(other, 2)
    written(home, 3)
    shutil.copytree(home, tmp_path / "older")
    shop = opened(home)
    for _ in range(3):
        assert tap(shop) == ""
    shown = facts(shop)
    path = home / LOG_NAME
    if how == "its folder is gone":
        home.rename(tmp_path / "elsewhere")
    else:
        path.unlink()
        path.with_name(f"{LOG_NAME}-wal").unlink()
    if how.startswith("replaced"):
        shutil.copy((tmp_path / "older" if "older" in how else other) / LOG_NAME, path)
    for _ in range(3):
        assert "removed or replaced" in tap(shop)
        assert facts(shop) == shown
    assert "removed or replaced" in shop.warning
    shop.close()
    again = Shop(home, Clock())
    assert again.notice
    here = facts(again)
    assert [fact for fact in shown if fact not in here] == []
    again.close()


def test_each_beat_looks_whether_the_record_is_in_its_place(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    assert tap(shop) == ""
    assert shop.beat() == ""
    (tmp_path / LOG_NAME).rename(tmp_path / "away.db")
    assert "removed or replaced" in shop.beat()
    shop.close()


def test_a_record_that_was_put_there_meanwhile_is_left_whole(tmp_path: Path) -> None:
    """When SQLite closes, it removes a write-ahead log by its name, even that of another record."""
    home = tmp_path / "home"
    written(tmp_path / "killed", 2)
    shop = opened(tmp_path / "killed")
    tap(shop)
    left = tmp_path / "left"
    left.mkdir()
    for suffix in ("", "-wal"):
        shutil.copy(tmp_path / "killed" / f"{LOG_NAME}{suffix}", left)
    shop.close()
    shop = opened(home)
    tap(shop)
    for suffix in ("", "-wal"):
        (home / f"{LOG_NAME}{suffix}").unlink()
        shutil.copy(left / f"{LOG_NAME}{suffix}", home)
    shop.close()
    for suffix in ("", "-wal"):
        assert (home / f"{LOG_NAME}{suffix}").read_bytes() == (left / f"{LOG_NAME}{suffix}").read_bytes()


# -- before it is opened -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("backup", [True, False])
def test_an_older_copy_in_its_place_is_noticed_and_the_backups_bring_the_rest(tmp_path: Path, backup: bool) -> None:
    home = tmp_path / "home"
    written(home, 3)
    old = (home / LOG_NAME).read_bytes()
    shop = opened(home)
    for _ in range(4):
        tap(shop)
    if backup:
        tend(shop)
    whole = ids(shop)
    shop.close()
    (home / LOG_NAME).write_bytes(old)
    shop = Shop(home, Clock())
    assert "5 facts are gone from its files" in shop.notice
    assert ids(shop)[: len(whole)] == whole if backup else "and 5 lost" in shop.notice
    assert tap_on(shop) == ""
    shop.close()
    again = Shop(home, Clock())
    assert again.notice == ""
    again.close()


def tap_on(shop: Shop) -> str:
    shop.open(SAMPLE)
    return tap(shop)


def test_a_write_ahead_log_that_was_left_behind_when_copying_is_noticed(tmp_path: Path) -> None:
    shop = opened(tmp_path / "home")
    for _ in range(4):
        tap(shop)
    copy = tmp_path / "copy"
    copy.mkdir()
    for name in (LOG_NAME, f"{LOG_NAME}-mark"):
        shutil.copy(tmp_path / "home" / name, copy)
    shop.close()
    shop = Shop(copy, Clock())
    assert "gone from its files" in shop.notice
    shop.close()


def test_a_record_that_is_gone_with_its_backups_is_said(tmp_path: Path) -> None:
    kept = written(tmp_path, 3)
    (tmp_path / LOG_NAME).unlink()
    shop = Shop(tmp_path, Clock())
    assert "its file is missing" in shop.notice
    assert f"{len(kept)} lost" in shop.notice
    shop.close()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a process of its own to give its rights away")
@pytest.mark.parametrize("name", [LOG_NAME, f"{LOG_NAME}-wal"])
def test_a_file_that_may_not_be_read_is_not_empty(tmp_path: Path, name: str) -> None:
    home = tmp_path / "home"
    shop = opened(home)
    for _ in range(6):
        tap(shop)
    tend(shop)
    tap(shop)
    left = tmp_path / "left"
    shutil.copytree(home, left)
    shop.close()
    (left / name).chmod(0)
    before = {path: path.read_bytes() for path in left.rglob("*") if path.is_file()}
    _open_to_all(left, 0o777, but=name)

    def look() -> None:
        with pytest.raises(NoRecordError, match="can't be read"):
            Shop(left, Clock())

    assert without_rights(look) == ""
    after = {path: path.read_bytes() for path in left.rglob("*") if path.is_file() and path.name != lock.NAME}
    assert after == {path: data for path, data in before.items() if path.name != lock.NAME}
    assert not list(left.glob("damaged-*"))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a process of its own to give its rights away")
def test_a_recovery_waits_for_a_backup_that_may_not_be_read(tmp_path: Path) -> None:
    home = tmp_path / "home"
    shop = opened(home)
    tap(shop)
    tend(shop)
    backup = shop.backups()[0].path
    shop.close()
    (home / LOG_NAME).write_bytes(b"rust" * 5000)
    _open_to_all(home, 0o777, but="")
    backup.chmod(0)

    def look() -> None:
        with pytest.raises(NoRecordError, match="can't be read"):
            Shop(home, Clock())

    assert without_rights(look) == ""
    backup.chmod(0o600)
    shop = Shop(home, Clock())
    assert len(shop.entries()) == 2
    shop.close()


def _open_to_all(folder: Path, mode: int, but: str) -> None:
    """Let a process without rights read everything except one file."""
    for path in (folder, *folder.rglob("*")):
        if path.name != but:
            path.chmod(mode)
    for parent in list(folder.parents)[:4]:
        if parent.stat().st_uid == os.getuid() and parent != Path("/"):
            parent.chmod(parent.stat().st_mode | 0o005)


@pytest.mark.skipif(not Path("/proc/self/mem").exists(), reason="needs a file whose first byte can't be read")
def test_a_disk_that_cannot_read_the_record_is_said_and_nothing_is_replaced(tmp_path: Path) -> None:
    """The first page of a process's memory gives EIO at every read."""
    written(tmp_path, 3)
    shop = opened(tmp_path)
    tend(shop)
    shop.close()
    (tmp_path / LOG_NAME).rename(tmp_path / "kept")
    (tmp_path / LOG_NAME).symlink_to("/proc/self/mem")
    with pytest.raises(NoRecordError, match="can't be read"):
        Shop(tmp_path, Clock())
    assert (tmp_path / LOG_NAME).is_symlink()
    assert not list(tmp_path.glob("damaged-*"))


@pytest.mark.parametrize("stray", ["folder", "garbage", "older record", "pipe"])
@pytest.mark.parametrize("suffix", [".recovered", ".unfinished", "-mark", "-mark.unfinished"])
def test_what_lies_about_under_a_name_of_ours_hides_no_good_record(tmp_path: Path, stray: str, suffix: str) -> None:
    home = tmp_path / "home"
    written(home, 1)
    old = (home / LOG_NAME).read_bytes()
    kept = written(home, 3)
    path = home / f"{LOG_NAME}{suffix}"
    path.unlink(missing_ok=True)
    if stray == "folder":
        path.mkdir()
        (path / "note").write_text("mine")
    elif stray == "pipe":
        os.mkfifo(path)
    else:
        path.write_bytes(b"rust" * 900 if stray == "garbage" else old)
    shop = Shop(home, Clock())
    assert (shop.notice, ids(shop)) == ("", kept)
    assert tap_on(shop) == ""
    kept = ids(shop)
    shop.close()
    (home / LOG_NAME).write_bytes(b"rust" * 5000)  # and none stops a recovery
    shop = Shop(home, Clock())
    assert "recovered" in shop.notice
    shop.close()
    assert stray != "folder" or list(home.rglob("note"))


# -- the mark itself ---------------------------------------------------------------------------------------------------


def test_a_mark_that_was_cut_short_or_changed_says_nothing_wrong(tmp_path: Path) -> None:
    path = tmp_path / "mark"
    mark = watermark.Watermark(path, {"saw": (3, "c" * 64)})
    mark.note({"saw": (4, "d" * 64)})
    mark.note({"bench": (1, "e" * 64)})
    mark.close()
    whole = path.read_bytes()
    assert watermark.read_mark(path) == {"saw": (4, "d" * 64), "bench": (1, "e" * 64)}
    good = [{}, {"saw": (3, "c" * 64)}, {"saw": (4, "d" * 64)}, watermark.read_mark(path)]
    for end in range(len(whole)):
        path.write_bytes(whole[:end])
        assert watermark.read_mark(path) in good
    for at in range(len(whole) * 8):
        data = bytearray(whole)
        data[at // 8] ^= 1 << at % 8
        path.write_bytes(data)
        found = watermark.read_mark(path)
        assert all(found[tablet] in ((3, "c" * 64), (4, "d" * 64), (1, "e" * 64)) for tablet in found)


def test_a_mark_that_is_lost_costs_nothing(tmp_path: Path) -> None:
    kept = written(tmp_path, 3)
    (tmp_path / f"{LOG_NAME}-mark").unlink()
    shop = Shop(tmp_path, Clock())
    assert (shop.notice, ids(shop)) == ("", kept)
    shop.close()


def test_every_mark_is_noted_before_it_is_shown(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    for _ in range(5):
        tap(shop)
        ends = watermark.read_mark(tmp_path / f"{LOG_NAME}-mark")
        assert ends == shop._log.tails
    shop.close()


# -- two at once, rights, copies --------------------------------------------------------------------------------------


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
