"""The files of a record: new folders, what is moved out of the way, permissions, and the reserve."""

from __future__ import annotations

import os
import stat
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from tracker.store import files, reserve
from tracker.store.file_identity import Place

NOW = datetime(2026, 3, 2, 8, 5, tzinfo=UTC)
ALL = ("", "-wal", "-shm", "-journal", "-mark")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def database(folder: Path) -> Path:
    for suffix in ALL:
        (folder / f"a.db{suffix}").write_text(f"words{suffix}")
    return folder / "a.db"


def test_new_folders_of_one_minute_are_numbered_up_to_a_thousand(tmp_path: Path) -> None:
    names = [files.new_folder(tmp_path, "damaged", NOW).name for _ in range(3)]
    assert names == ["damaged-260302-0805", "damaged-260302-0805-2", "damaged-260302-0805-3"]
    assert {mode(path) for path in tmp_path.iterdir()} == {0o700}
    for number in range(4, 999):
        (tmp_path / f"damaged-260302-0805-{number}").mkdir()
    assert files.new_folder(tmp_path, "damaged", NOW).name == "damaged-260302-0805-999"
    with pytest.raises(FileExistsError, match="there are a thousand folders damaged-260302-0805"):
        files.new_folder(tmp_path, "damaged", NOW)


def test_a_database_moves_with_all_its_files(tmp_path: Path) -> None:
    aside = tmp_path / "aside"
    aside.mkdir()
    files.move(database(tmp_path), aside)
    assert [path.name for path in tmp_path.iterdir()] == ["aside"]
    assert {path.name: path.read_text() for path in aside.iterdir()} == {f"a.db{each}": f"words{each}" for each in ALL}


@pytest.mark.parametrize("links", [True, False])
def test_a_copy_aside_leaves_the_database_in_place(
    tmp_path: Path, links: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise OSError("a file system without hard links")

    if not links:
        monkeypatch.setattr(os, "link", no_links)
    path = database(tmp_path)
    aside = files.copy_aside(path, tmp_path, "replaced", NOW)
    assert aside.name == "replaced-260302-0805"
    assert [each.name for each in tmp_path.iterdir() if each.is_file()] == ["a.db"]
    assert {each.name for each in aside.iterdir()} == {f"a.db{suffix}" for suffix in ALL}
    assert (path.read_text(), (aside / "a.db").read_text()) == ("words", "words")
    assert path.samefile(aside / "a.db") is links
    assert links or mode(aside / "a.db") == 0o600
    assert list(files.copy_aside(tmp_path / "none.db", tmp_path, "replaced", NOW).iterdir()) == []


def test_an_unfinished_database_is_removed_with_all_its_files(tmp_path: Path) -> None:
    files.remove_database(database(tmp_path))
    assert list(tmp_path.iterdir()) == []
    files.remove_database(tmp_path / "a.db")


def test_a_file_stays_and_anything_else_is_moved_out_of_the_way(tmp_path: Path) -> None:
    path = tmp_path / "a.db"
    files.clear_the_way(path, NOW)
    assert list(tmp_path.iterdir()) == []
    path.write_text("words")
    files.clear_the_way(path, NOW)
    assert path.read_text() == "words"
    path.unlink()
    for make in (path.mkdir, lambda: path.symlink_to(tmp_path / "none"), lambda: os.mkfifo(path)):
        make()
        files.clear_the_way(path, NOW)
        assert not os.path.lexists(path)
    strays = ["stray-260302-0805", "stray-260302-0805-2", "stray-260302-0805-3"]
    assert sorted(each.name for each in tmp_path.iterdir()) == strays
    assert all(os.path.lexists(tmp_path / each / "a.db") for each in strays)


@pytest.mark.parametrize(
    ("before", "after"),
    [(0o644, 0o600), (0o755, 0o700), (0o777, 0o700), (0o640, 0o600), (0o601, 0o600), (0o400, 0o400)],
)
def test_only_the_others_rights_are_taken_away(tmp_path: Path, before: int, after: int) -> None:
    path = tmp_path / "a.db"
    path.touch()
    path.chmod(before)
    files.make_private(path)
    assert mode(path) == after
    files.make_private(tmp_path / "none")


def test_a_file_is_read_up_to_a_length_and_a_missing_one_is_empty(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"0123456789")
    assert files.read(tmp_path / "a") == b"0123456789"
    assert files.read(tmp_path / "a", 4) == b"0123"
    assert files.read(tmp_path / "none") == b""
    with pytest.raises(IsADirectoryError):
        files.read(tmp_path)


def test_a_name_without_a_file_has_no_inode(tmp_path: Path) -> None:
    (tmp_path / "a").touch()
    found = (tmp_path / "a").stat()
    assert files.inode_of(tmp_path / "a") == (found.st_dev, found.st_ino)
    assert files.inode_of(tmp_path / "none") is None
    assert files.inode_of(tmp_path / "a" / "b") is None


# -- the place of an open database -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["a.db", "a.db-wal"])
def test_a_database_is_in_its_place_while_both_its_files_are(tmp_path: Path, name: str) -> None:
    path = database(tmp_path)
    place = Place(path)
    assert place.is_kept()
    (tmp_path / name).rename(tmp_path / "away")
    assert not place.is_kept()
    (tmp_path / name).touch()
    assert not place.is_kept(), "another file of the same name"
    (tmp_path / "away").replace(tmp_path / name)
    assert place.is_kept()


def test_without_a_log_at_the_opening_none_is_missed(tmp_path: Path) -> None:
    (tmp_path / "a.db").touch()
    place = Place(tmp_path / "a.db")
    (tmp_path / "a.db-wal").write_text("later")
    assert place.is_kept()
    with place.others_wal_aside():
        assert (tmp_path / "a.db-wal").exists(), "it may be ours"


def test_another_ones_log_is_away_while_ours_is_closed(tmp_path: Path) -> None:
    place = Place(database(tmp_path))
    with place.others_wal_aside():
        assert (tmp_path / "a.db-wal").read_text() == "words-wal"
    (tmp_path / "another").write_text("another one's")
    (tmp_path / "a.db-wal").rename(tmp_path / "ours")  # its inode isn't given to another file
    with place.others_wal_aside():
        assert not (tmp_path / "a.db-wal").exists()
    (tmp_path / "another").rename(tmp_path / "a.db-wal")
    with place.others_wal_aside():
        assert not (tmp_path / "a.db-wal").exists()
    assert (tmp_path / "a.db-wal").read_text() == "another one's"
    assert not (tmp_path / "a.db-wal.aside").exists()


# -- the reserve -------------------------------------------------------------------------------------------------------


def test_the_reserve_is_as_large_as_it_says_and_made_again_where_it_is_not(tmp_path: Path) -> None:
    path = tmp_path / reserve.NAME
    for size in (8192, 4096):
        assert reserve.make(tmp_path, size)
        assert path.stat().st_size == size
        assert path.stat().st_blocks * 512 >= size, "it takes the room that it is to give back"
    assert mode(path) == 0o600
    inode = path.stat().st_ino
    assert reserve.make(tmp_path, 4096)
    assert path.stat().st_ino == inode
    assert reserve.give_back(tmp_path)
    assert not path.exists()
    assert not reserve.give_back(tmp_path)
    assert not reserve.make(tmp_path / "none", 4096)


def test_a_file_system_that_cannot_promise_room_gets_bytes_that_do_not_compress(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr(os, "posix_fallocate", raising=False)
    assert reserve.make(tmp_path, 4096)
    data = (tmp_path / reserve.NAME).read_bytes()
    assert len(data) == 4096
    assert len(set(data)) > 200


# -- what is on the disk when ------------------------------------------------------------------------------------------


@pytest.fixture
def order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is synced and renamed, in order: `sync a.db`, `name a.db`. A power cut may come between any two."""
    done: list[str] = []

    def named(path: Path) -> str:
        return "the folder" if path == tmp_path else path.name

    def fsync(handle: int) -> None:
        done.append(f"sync {named(Path(f'/proc/self/fd/{handle}').resolve())}")

    monkeypatch.setattr(os, "fsync", fsync)
    for how in ("rename", "replace"):
        really = getattr(Path, how)

        def renamed(self: Path, to: Path, really: Any = really) -> Path:
            done.append(f"name {to.name}")
            return really(self, to)  # type: ignore[no-any-return]

        monkeypatch.setattr(Path, how, renamed)
    return done


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="asks the system for the names of open files")
def test_a_file_is_on_the_disk_before_it_gets_its_name_and_the_name_after(tmp_path: Path, order: list[str]) -> None:
    (tmp_path / "a.unfinished").write_text("new")
    files.put_in_place(tmp_path / "a.unfinished", tmp_path / "a.db")
    assert order == ["sync a.unfinished", "name a.db", "sync the folder"]
    order.clear()
    files.copy_database(tmp_path / "a.db", tmp_path / "copy.db")
    assert order == ["sync copy.db"]
    order.clear()
    (tmp_path / "a.db-wal").touch()
    (tmp_path / "aside").mkdir()
    files.move(tmp_path / "a.db", tmp_path / "aside")
    assert order == ["name a.db", "name a.db-wal", "sync aside", "sync the folder"]
    order.clear()
    (tmp_path / "b.db").touch()
    (tmp_path / "b.db-mark").touch()
    aside = files.copy_aside(tmp_path / "b.db", tmp_path, "replaced", NOW)
    assert order == ["name b.db-mark", f"sync {aside.name}", "sync the folder"]
