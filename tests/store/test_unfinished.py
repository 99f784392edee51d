"""What an interrupted recovery left is finished or put away; and one process at a time has the folder."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from store.tablet import apart

from tracker.store import lock
from tracker.store.errors import InUseError
from tracker.store.lock import FolderLock
from tracker.store.log import Log
from tracker.store.recovery.unfinished import RECOVERED, clear_the_way, finish_recovery
from tracker.work.facts import Noted

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
NAME = "a.db"


def record(path: Path, facts: int) -> Path:
    log = Log(path)
    log.append("saw", NOW, [Noted("a#1", "rail:1", f"{number}") for number in range(facts)])
    log.close()
    return path


def tree(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def facts(path: Path) -> int:
    log = Log(path)
    found = log.length
    log.close()
    return found


def test_without_a_recovered_record_nothing_is_done(tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(b"rust" * 50)
    finish_recovery(tmp_path / NAME, NOW)
    assert tree(tmp_path) == [NAME]


@pytest.mark.parametrize("damaged", [None, b"rust" * 50, b""])
def test_a_sound_recovered_record_takes_the_place_of_a_damaged_one(tmp_path: Path, damaged: bytes | None) -> None:
    path = tmp_path / NAME
    record(tmp_path / f"{NAME}{RECOVERED}", 3)
    if damaged is not None:
        path.write_bytes(damaged)
        (tmp_path / f"{NAME}-wal").write_bytes(b"old")
    finish_recovery(path, NOW)
    aside = [] if damaged is None else [f"damaged-260302-0800/{NAME}", f"damaged-260302-0800/{NAME}-wal"]
    assert tree(tmp_path) == sorted([NAME, *aside])
    assert facts(path) == 3


def test_a_sound_record_stays(tmp_path: Path) -> None:
    path = record(tmp_path / NAME, 2)
    record(tmp_path / f"{NAME}{RECOVERED}", 3)
    finish_recovery(path, NOW)
    assert tree(tmp_path) == [NAME, f"stray-260302-0800/{NAME}{RECOVERED}"]
    assert facts(path) == 2


@pytest.mark.parametrize("rubbish", [b"", b"rust" * 50])
def test_a_recovered_record_that_is_none_is_put_away(tmp_path: Path, rubbish: bytes) -> None:
    path = tmp_path / NAME
    (tmp_path / f"{NAME}{RECOVERED}").write_bytes(rubbish)
    path.write_bytes(b"rust")
    finish_recovery(path, NOW)
    assert tree(tmp_path) == [NAME, f"stray-260302-0800/{NAME}{RECOVERED}"]


@pytest.mark.parametrize("whole", [True, False])
def test_a_record_with_a_write_ahead_log_is_judged_before_it_is_opened(tmp_path: Path, whole: bool) -> None:
    live = Log(tmp_path / "live.db")
    live.append("saw", NOW, [Noted("a#1", "rail:1", "x")])
    path = tmp_path / "home" / NAME
    path.parent.mkdir()
    path.write_bytes((tmp_path / "live.db").read_bytes())
    wal = (tmp_path / "live.db-wal").read_bytes()
    live.close()
    path.with_name(f"{NAME}-wal").write_bytes(wal if whole else wal[:-9])
    record(path.with_name(f"{NAME}{RECOVERED}"), 3)
    finish_recovery(path, NOW)
    assert facts(path) == (1 if whole else 3)
    assert len(list(path.parent.glob("damaged-*"))) == (0 if whole else 1)


@pytest.mark.parametrize("suffix", [RECOVERED, ".unfinished", "-mark", "-mark.unfinished"])
def test_what_is_no_file_under_a_name_of_ours_is_moved_away(tmp_path: Path, suffix: str) -> None:
    (tmp_path / f"{NAME}{suffix}").mkdir()
    clear_the_way(tmp_path / NAME, NOW)
    assert [path.name for path in tmp_path.iterdir()] == ["stray-260302-0800"]


# -- the folder's lock -------------------------------------------------------------------------------------------------


def handles() -> int:
    return len(list(Path("/proc/self/fd").iterdir()))


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="counts the open files of this process")
def test_a_lock_leaves_no_file_open_whether_it_was_taken_or_not(tmp_path: Path) -> None:
    before = handles()
    held = FolderLock(tmp_path, 0)
    assert handles() == before + 1
    with pytest.raises(InUseError):
        FolderLock(tmp_path, 0)

    def elsewhere() -> None:
        lock._held.clear()
        mine = handles()
        with pytest.raises(InUseError):
            FolderLock(tmp_path, 0)
        assert handles() == mine

    assert apart(elsewhere) == ""
    held.release()
    held.release()
    assert handles() == before
    FolderLock(tmp_path, 0).release()
    assert oct((tmp_path / lock.NAME).stat().st_mode & 0o777) == "0o600"


def test_where_nothing_can_be_locked_nothing_is(tmp_path: Path) -> None:
    nowhere = FolderLock(tmp_path / "none", 0)
    FolderLock(tmp_path / "none", 0).release()
    nowhere.release()
    FolderLock(tmp_path / "none", 0).release()
