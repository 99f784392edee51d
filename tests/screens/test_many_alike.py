"""Twenty-four slats: one row with a count in the list and above the card, one tap per slat, one hold for all that
remain, and each slat still a piece of its own to undo, to scan and to look up."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from cards.test_queue import SLATS
from kit import boxes, walk
from kit.driver import Driver
from kit.story import Maker, StoryClock

from tracker.screens.toolkit.list_rows import HoldPlate, StripCell
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

Open = Callable[[Look], Maker]
LYING, UPRIGHT, SMALL = Look("1920x1200"), Look("1200x1920", "shop", "left"), Look("800x480", "shop")


@pytest.fixture
def open_cot(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Open:
    def start(look: Look) -> Maker:
        width, height, dpi = SCREEN_SIZES[look.screen]
        (tmp_path / "builds").mkdir()
        (tmp_path / "builds" / "cot.toml").write_text(SLATS)
        app = app_with(look, tmp_path, StoryClock(hand_time), **{"first steps": "seen"})
        maker = Maker(run_app(app, (width, height), dpi))
        maker.open("Cot")
        maker.app.show_item("slat:1", "cut")
        settle(maker)
        return maker

    return start


def settle(maker: Maker) -> None:
    maker.driver.run_for(0.5, 0.1)


def cut(maker: Maker, many: int) -> None:
    for _ in range(many):
        maker.driver.tap(maker.big_button())
        settle(maker)


def done(maker: Maker) -> list[int]:
    shop = maker.app.shop
    return [item.number for item in shop.run.pieces if item.id == "slat" and shop.state.is_done(shop.run, item, "cut")]


@pytest.mark.parametrize("look", [LYING, SMALL], ids=lambda look: look.screen)
def test_they_are_one_row_that_counts(look: Look, open_cot: Open) -> None:
    maker = open_cot(look)
    cut(maker, 3)
    assert done(maker) == [1, 2, 3]
    (cell,) = (each for each in maker.driver.find(StripCell) if each.key and each.key[0].startswith("slat"))
    assert cell.text == "3 of 24 done"
    assert not maker.driver.judge(*walk.ALL_RULES)
    assert maker.big_button().sub_text == "3 of 24 done, next: Slat 5"


def test_one_hold_claims_all_that_are_left_and_an_undo_is_of_one_hold(open_cot: Open) -> None:
    maker = open_cot(LYING)
    cut(maker, 2)
    (held,) = (each for each in maker.driver.find(HoldPlate) if boxes.in_view(each))
    assert held.title == "These 22 slats are cut"
    maker.driver.hold(held)
    settle(maker)
    assert len(done(maker)) == 24
    facts = [entry.fact for entry in maker.app.shop.entries()]
    assert len([fact for fact in facts if getattr(fact, "item", "").startswith("slat:")]) == 24  # a fact each
    maker.driver.tap_text(next(text for text in maker.driver.texts() if text.startswith("Undo")))
    settle(maker)
    assert done(maker) == [1, 2]


def test_upright_the_count_is_above_the_card(open_cot: Open) -> None:
    maker = open_cot(UPRIGHT)
    cut(maker, 3)
    (cell,) = (each for each in maker.driver.find(StripCell) if boxes.in_view(each))
    assert cell.text == "3 of 24 done"
    assert not maker.driver.judge(*walk.ALL_RULES)


def test_a_scan_brings_up_the_one_that_was_scanned_and_it_can_be_undone(open_cot: Open) -> None:
    maker = open_cot(LYING)
    cut(maker, 4)
    maker.driver.scan(maker.app.shop.run.codes["slat:2"])
    settle(maker)
    assert maker.app.item_key == "slat:2"
    assert "Slat 2 of 24" in maker.driver.texts()
