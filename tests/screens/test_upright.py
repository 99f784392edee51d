"""In portrait a place behind More has its title on top, then its list or form with all the height that the rest
leaves."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from kit import boxes, walk
from kit.driver import Driver
from kit.long_names import long_name, write_long_builds
from kit.story import NOT_NEW, Maker, StoryClock

from tracker.screens.drawing.furniture_tile import FurnitureTile
from tracker.screens.toolkit.list_rows import ListRow
from tracker.screens.toolkit.lists import QueueList
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

TITLES = {
    "builds": "Builds",
    "labels": "Labels",
    "scan": "Scan",
    "shopping": "Shopping",
    "clocks": "Timers",
    "history": "History",
    "settings": "Settings",
    "together": "Together",
    "restore": "Backups",
}
PORTRAIT = ("1200x1920", "800x1280")


def maker_on(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path, *, long: bool = False
) -> Maker:  # fmt: skip
    width, height, dpi = SCREEN_SIZES[size]
    app = app_with(Look(size, "shop", "left"), tmp_path / "kerfcard", StoryClock(hand_time), **NOT_NEW)
    driver = run_app(app, (width, height), dpi)
    if long:
        write_long_builds(app.shop.library.folder)
    maker = Maker(driver)
    maker.go("builds")
    driver.run_for(0.5, 0.1)
    rows = app.root.screen.ids.list
    name = long_name("Hall bench") if long else "Hall bench"
    driver.until_thread(lambda: any(row.title == name for row in rows.rows))
    maker.app.open_build(Path(next(row.key for row in rows.rows if row.title == name)))
    driver.run_for(0.5, 0.1)
    return maker


def whole_rows(maker: Maker) -> int:
    """How many rows of the list on the screen have all their words in view."""
    rows = [row for row in maker.driver.find(ListRow) if row.get_root_window() and row.opacity]
    return sum(len(boxes.words(row)) == 1 + bool(row.subtitle) for row in rows)


@pytest.mark.parametrize("size", ["1920x1200", "800x480", *PORTRAIT])
def test_each_place_has_its_title_once_and_nothing_overlaps(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))  # paths read as in a person's own folder
    maker = maker_on(size, run_app, hand_time, tmp_path)
    for place, title in TITLES.items():
        maker.app.go(place)
        maker.driver.run_for(0.5, 0.1)
        said = [each for each in boxes.words(maker.app.root.ids.shown) if each.text == title and each.cap > 6.9]
        assert len(said) == 1, place
        if size in PORTRAIT:
            others = [each for each in boxes.words(maker.app.root.ids.place) if each.text != title]
            assert said[0].ink.low > max(each.ink.high for each in others), f"{place}: it is above everything"
        assert maker.driver.judge(*walk.ALL_RULES) == [], place


@pytest.mark.parametrize("size", PORTRAIT)
def test_a_list_has_the_whole_width_and_the_height_that_is_left(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = maker_on(size, run_app, hand_time, tmp_path)
    for place, least in {"builds": 3, "settings": 4}.items():
        maker.app.go(place)
        maker.driver.run_for(0.5, 0.1)
        (queue,) = maker.driver.find(QueueList)
        assert whole_rows(maker) >= least, place
        assert queue.ids.view.width == pytest.approx(maker.app.root.ids.place.width), place


@pytest.mark.parametrize("size", PORTRAIT)
def test_with_long_names_the_builds_can_still_be_chosen_from(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    maker = maker_on(size, run_app, hand_time, tmp_path, long=True)
    maker.go("builds")
    maker.driver.run_for(0.5, 0.1)
    (tile,) = maker.driver.find(FurnitureTile)
    maker.driver.until_thread(lambda: tile.there)
    maker.driver.run_for(0.5, 0.1)
    assert whole_rows(maker) >= 3
    assert tile.opacity == 1


@pytest.mark.parametrize("size", PORTRAIT)
def test_the_picture_has_the_room_that_a_short_list_leaves(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = maker_on(size, run_app, hand_time, tmp_path)
    maker.go("builds")
    maker.driver.run_for(0.5, 0.1)
    (tile,) = maker.driver.find(FurnitureTile)
    low = tile.height
    (queue,) = maker.driver.find(QueueList)
    queue.rows = queue.rows[:2]
    maker.driver.run_for(0.5, 0.1)
    assert not queue.overflows
    assert tile.height > 1.3 * low
    assert queue.height == pytest.approx(queue.rows_height, abs=2), "no empty space below the rows"
