"""The drill: a used shop is backed up and completely lost, and continues on a new tablet; both tablets' later logs
join."""

from __future__ import annotations

import shutil
from pathlib import Path

from faults.day import SAMPLES, HandClock, acts
from faults.witness import as_data

from tracker.shop import Shop
from tracker.work.decide.decide import Do
from tracker.work.run import Item


def lived(home: Path, most: int = 9) -> Shop:
    shop = Shop(home, HandClock())
    for act in acts(shop, most):
        act()
    return shop


def carry(source: Shop, to: Shop, file: Path) -> None:
    """Carry the whole log of one tablet to another, as a file."""
    source.export_to(file)
    assert to.import_from(file).problems == ()


def work_on(shop: Shop, kind: str) -> list[str]:
    """Do the next step of every piece of a part; returns the keys of the pieces for which that worked."""
    assert shop.run is not None

    def next_step(item: Item) -> str | None:
        assert shop.run is not None
        return next((step.id for step in item.route if not shop.state.is_done(shop.run, item, step.id)), None)

    pieces = [item for item in shop.run.pieces if item.id == kind]
    return [item.key for item in pieces if (step := next_step(item)) and shop.do(Do(item.key, step)) is None]


def test_a_shop_that_is_lost_goes_on_on_a_new_tablet_and_both_logs_join(tmp_path: Path) -> None:
    saw = lived(tmp_path / "saw")
    bench = Shop(tmp_path / "bench", HandClock())
    carry(saw, bench, tmp_path / "first.jsonl")
    bench.open(SAMPLES / "planter.toml")
    backup = saw.back_up()
    kept, then, name = saw.entries(), saw.state, saw.tablet

    # After the backup both continue; what the saw did then has reached the bench, but is in no backup.
    assert saw.run is not None
    kinds = [part.id for part in saw.run.build.parts]
    assert work_on(saw, kinds[0])
    carry(saw, bench, tmp_path / "second.jsonl")
    since = [as_data(entry) for entry in saw.entries()[len(kept) :]]
    assert since
    saw.close()
    shutil.copy(backup, tmp_path / "stick.db")
    shutil.rmtree(tmp_path / "saw")

    # A new tablet restores the backup: the same state, under its own name.
    new = Shop(tmp_path / "new", HandClock())
    assert new.restore(tmp_path / "stick.db").startswith(f"Restored: {len(kept)} facts.")
    assert new.entries() == kept
    assert new.state == then
    assert new.tablet not in (name, bench.tablet)
    new.open(SAMPLES / "planter.toml")
    assert work_on(new, kinds[-1])
    assert work_on(bench, kinds[-2])

    # The logs join: what only the bench knew comes back, nothing is there twice, and both have the same state.
    carry(bench, new, tmp_path / "third.jsonl")
    carry(new, bench, tmp_path / "fourth.jsonl")
    carry(bench, new, tmp_path / "third.jsonl")
    assert {entry.id for entry in new.entries()} == {entry.id for entry in bench.entries()}
    assert len({entry.id for entry in new.entries()}) == len(new.entries())
    assert [data for data in map(as_data, new.entries()) if data in since] == since
    assert new.state == bench.state
    assert new.refold()
    assert bench.refold()
    new.close()
    bench.close()


def test_a_restored_tablet_opens_again_as_it_was_left(tmp_path: Path) -> None:
    old = lived(tmp_path / "old")
    backup = old.back_up()
    old.close()
    new = Shop(tmp_path / "new", HandClock())
    new.restore(backup)
    new.open(SAMPLES / "planter.toml")
    name, entries = new.tablet, new.entries()
    new.close()
    again = Shop(tmp_path / "new", HandClock())
    assert (again.notice, again.tablet, again.entries()) == ("", name, entries)
    again.close()


def test_a_clock_that_was_set_neither_lets_the_latest_backup_go_nor_hides_it(tmp_path: Path) -> None:
    shop = lived(tmp_path / "shop")
    clock = shop._clock
    assert isinstance(clock, HandClock)
    shop.settings["backups kept"] = "2"
    for minutes in (0, 5_000_000, -30_000_000, 200):  # today, ten years on, long ago, today
        clock.minutes = minutes
        latest = shop.back_up()
        assert shop.backups()[0].path == latest
    assert len(shop.backups()) == 2
    shop.close()
