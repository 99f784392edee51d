"""Backups on the screen: the contents of each, and a restore by a held button."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from kit import walk
from kit.story import Maker, new_app

if TYPE_CHECKING:
    from kit.driver import Driver

SCREEN_SIZES = {"wide": (1920, 1200, 224.0), "upright": (1200, 1920, 224.0)}


@pytest.fixture(params=SCREEN_SIZES)
def maker(
    run_app: Callable[..., Driver],
    hand_time: Any,
    tmp_path: Path,
    request: pytest.FixtureRequest,
    monkeypatch: pytest.MonkeyPatch,
) -> Maker:
    monkeypatch.setenv("HOME", str(tmp_path))  # paths read as in a person's own folder
    width, height, dpi = SCREEN_SIZES[request.param]
    app = new_app(tmp_path / "home", hand_time)
    maker = Maker(run_app(app, (width, height), dpi))
    maker.open("Doorstep planter")
    return maker


def to_backups(maker: Maker) -> None:
    maker.go("settings")
    maker.driver.run_for(0.5, 0.05)
    maker.driver.tap_text("Backups")
    maker.driver.run_for(0.5, 0.05)


def beat(maker: Maker) -> None:
    """Do a heartbeat of the shop, and finish the backup that it began."""
    maker.app.beat()
    maker.app.shop._record._wait()
    maker.app.beat()


def first_steps(maker: Maker, count: int) -> None:
    from tracker.work.decide.decide import Do

    for piece in tuple(maker.app.shop.run.pieces)[:count]:
        maker.app.act(Do(piece.key, piece.route[0].id))


def test_a_backup_is_put_back_by_holding_and_the_record_is_what_it_was(maker: Maker, shots: Path) -> None:
    from tracker.screens.toolkit.list_rows import ListRow
    from tracker.screens.toolkit.widgets import HoldButton

    app, driver = maker.app, maker.driver
    beat(maker)
    then = app.shop.entries()
    first_steps(maker, 3)
    to_backups(maker)
    assert driver.judge(*walk.ALL_RULES) == []
    row = driver.find(ListRow)[0]
    assert row.subtitle == "daily: 1 entry, 3 fewer than now"
    hold = driver.find(HoldButton)[0]
    assert hold.disabled
    driver.tap(row)
    driver.run_for(0.3, 0.05)
    assert not hold.disabled
    assert driver.judge(*walk.ALL_RULES) == []
    driver.save(shots / "restore.png")
    driver.tap(hold)  # a tap is not enough
    assert len(app.shop.entries()) > len(then)
    driver.hold(hold, 1.2)
    driver.run_for(0.3, 0.05)
    assert app.shop.entries() == then
    assert "kept in the folder replaced-" in app.root.said
    assert driver.judge(*walk.ALL_RULES) == []
    first_steps(maker, 1)
    assert app.shop.entries()[-1].id == (app.shop.tablet, 1)


def test_the_record_is_written_to_a_file(maker: Maker) -> None:
    to_backups(maker)
    maker.driver.tap_text("Export everything")
    (file,) = maker.app.shop.home.glob("kerfcard-*.jsonl")
    assert file.name in maker.app.root.said
    assert len(file.read_text().splitlines()) == 1 + len(maker.app.shop.entries())


def from_another_tablet(maker: Maker, tmp_path: Path) -> Path:
    """An export of a tablet that undid an entry of this one and added two, copied into the shop's folder."""
    from tracker.shop import Shop
    from tracker.work.facts import Done, Undone

    shop = maker.app.shop
    last = shop.entries()[-1]
    other = Shop(tmp_path / "other", shop._clock)
    shop.export_to(tmp_path / "to.jsonl")
    assert other.import_from(tmp_path / "to.jsonl").problems == ()
    at = last.at
    other._record.append(other.tablet, at, [Undone(*last.id)])
    for piece in tuple(shop.run.pieces)[3:5]:
        other._record.append(other.tablet, at, [Done(shop.run.name, piece.key, piece.route[0].id)])
    file = shop.home / "kerfcard-bench.jsonl"
    other.export_to(file)
    other.close()
    return file


def test_another_tablets_record_is_shown_before_it_is_taken_in(maker: Maker, tmp_path: Path, shots: Path) -> None:
    from tracker.screens.overlays.take_in import TakeInSheet
    from tracker.screens.toolkit.widgets import HoldButton

    app, driver = maker.app, maker.driver
    first_steps(maker, 3)
    to_backups(maker)
    driver.tap_text("Import a file")
    assert "into" in app.root.said
    file = from_another_tablet(maker, tmp_path)
    before = app.shop.entries()
    driver.run_for(0.5, 0.05)
    driver.tap_text("Import a file")
    driver.run_for(0.5, 0.05)
    assert driver.judge(*walk.ALL_RULES) == []
    driver.tap_text(file.name)
    driver.until_thread(lambda: bool(driver.find(TakeInSheet)), 20)
    driver.run_for(0.5, 0.05)
    (sheet,) = driver.find(TakeInSheet)
    assert sheet.card.undoes
    assert driver.judge(*walk.ALL_RULES) == []
    driver.save(shots / "take_in.png")
    assert app.shop.entries() == before
    driver.hold(next(each for each in driver.find(HoldButton) if each.text == "Import this file"), 1.2)
    driver.run_for(0.5, 0.05)
    assert len(app.shop.entries()) == len(before) + 3
    assert app.root.said.startswith("Imported: 3 entries.")
    assert app.shop.backups()[0].why == "import"


def test_a_file_that_is_no_record_is_said(maker: Maker) -> None:
    app, driver = maker.app, maker.driver
    (app.shop.home / "stranger.jsonl").write_text("[]\n")
    to_backups(maker)
    driver.tap_text("Import a file")
    driver.run_for(0.5, 0.05)
    driver.tap_text("stranger.jsonl")
    driver.until_thread(lambda: "can't be imported" in app.root.said, 20)
    assert "no record that Kerfcard exported" in app.root.said
