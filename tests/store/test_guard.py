"""The guard on the record: its removal, replacement or unreadability is noticed, while it is open and before. Nothing
that was shown as done is missing without a message, and an unreadable record is never taken for an empty one."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from store.tablet import SAMPLE, Clock, ids, opened, tap, tend, without_rights, written

from tracker.shop import Shop
from tracker.store import lock
from tracker.store.errors import NoRecordError
from tracker.store.recovery import LOG_NAME

LATER = Clock().now.wall


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
