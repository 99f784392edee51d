"""Backups: made automatically, proven, and restored under a new name."""

from __future__ import annotations

from pathlib import Path

from store.tablet import Clock, opened, tap, tend

from tracker.shop import Shop
from tracker.store.log import Log
from tracker.work.decide.decide import Note

SHELF = """
[build]
name = "Shelf"
units = "in"

[woods.pine]
species = "eastern white pine"
section = "1x8"
lengths = ["6 ft"]

[[parts]]
id = "shelf"
name = "Shelf"
quantity = 2
wood = "pine"
length = 12
route = ["cut", "sand 120"]
"""


def test_a_backup_is_made_once_a_day_and_so_many_are_kept(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    shop.settings["backups kept"] = "3"
    for _ in range(6):
        tap(shop)
        tend(shop)
        clock.wait(3600)
        tap(shop)
        tend(shop)
        clock.wait(23 * 3600)
    backups = shop.backups()
    assert [f"{each.made:%d}" for each in backups] == ["07", "06", "05"]
    shop.close()


def test_no_backup_is_made_of_what_is_backed_up_already(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    tend(shop)
    clock.wait(86_400)
    tend(shop)
    assert len(shop.backups()) == 1
    shop.close()


def test_a_backup_is_made_when_a_build_is_finished(tmp_path: Path) -> None:
    shop = Shop(tmp_path, Clock())
    file = tmp_path / "shelf.toml"
    file.write_text(SHELF)
    shop.open(file)
    assert tap(shop) == ""
    tend(shop)
    for _ in range(3):
        assert [each.why for each in shop.backups()] == ["day"]
        assert tap(shop) == ""
        tend(shop)
    assert shop.do(Note("shelf:1", "to the customer")) is None
    tend(shop)
    assert sorted(each.why for each in shop.backups()) == ["day", "finished"]
    shop.close()


def test_restoring_takes_the_record_back_keeps_the_other_and_gives_the_tablet_a_new_name(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    tap(shop)
    tend(shop)
    then, name = shop.entries(), shop.tablet
    tap(shop)
    whole = shop.entries()
    heard: list[int] = []
    shop.listen(lambda: heard.append(len(shop.entries())))
    said = shop.restore(shop.backups()[0].path)
    assert said.startswith(f"Restored: {len(then)} facts.")
    assert shop.entries() == then
    assert heard == [len(then)]
    assert shop.tablet != name
    tap(shop)
    assert shop.entries()[-1].id == (shop.tablet, 1)
    shop.close()
    replaced = Log(next(tmp_path.glob("replaced-*")) / "kerfcard.db")
    assert tuple(replaced.entries()) == whole
    replaced.close()


def test_what_was_taken_back_by_restoring_does_not_return_with_a_recovery(tmp_path: Path) -> None:
    clock = Clock()
    shop = opened(tmp_path, clock)
    tap(shop)
    tend(shop)
    then = shop.entries()
    first = shop.backups()[0].path
    clock.wait(86_400)
    tap(shop)
    tend(shop)
    more = shop.entries()
    shop.restore(first)
    assert [each.why for each in shop.backups()] == ["restored", "day", "replaced"]
    shop.close()
    (tmp_path / "kerfcard.db").write_bytes(b"rust" * 5000)
    shop = Shop(tmp_path, clock)
    assert shop.entries() == then
    shop.restore(shop.backups()[-1].path)  # if it was the wrong one, the replaced record can be restored
    assert shop.entries() == more
    shop.close()


def test_a_damaged_backup_is_not_restored(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    tap(shop)
    tend(shop)
    kept, name, backup = shop.entries(), shop.tablet, shop.backups()[0].path
    data = bytearray(backup.read_bytes())
    data[data.index(b'"step"') + 3] ^= 4
    backup.write_bytes(data)
    assert "the backup is damaged" in shop.restore(backup)
    assert (shop.entries(), shop.tablet) == (kept, name)
    assert tap(shop) == ""
    shop.close()


def test_taps_go_on_while_a_backup_is_made(tmp_path: Path) -> None:
    shop = opened(tmp_path)
    for _ in range(5):
        tap(shop)
    shop.beat()
    for _ in range(10):
        assert tap(shop) == ""
    tend(shop)
    assert len(shop.backups()) == 1
    shop.close()
