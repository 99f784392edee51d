"""The outline on the card of the step that saws it, and its template made by touch, corrected for the printer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, StoryClock, shown_picture

from tracker.assets import asset_dir
from tracker.screens.drawing.outline import OutlineOnPanel
from tracker.screens.overlays.outline import OutlineCover
from tracker.screens.toolkit.buttons import BigButton, SmallButton
from tracker.screens.toolkit.keypad import Key
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

LOOKS = (Look("1920x1200"), Look("1200x1920", "shop", "left"), Look("800x480", "shop"))
Open = Callable[[Look], Maker]


@pytest.fixture
def open_stool(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Open:
    def start(look: Look) -> Maker:
        width, height, dpi = SCREEN_SIZES[look.screen]
        app = app_with(look, tmp_path / "kerfcard", StoryClock(hand_time), **{"first steps": "seen"})
        maker = Maker(run_app(app, (width, height), dpi))
        maker.open("Kitchen stool")
        return maker

    return start


def until_sawn(maker: Maker) -> None:
    """The seat, glued, trimmed and cured; sawing its outline is next."""
    guide = Guide(maker.app, maker.driver)
    guide.work("seat:1", until="shape")
    maker.driver.jump(4 * 24 * 3600)
    maker.driver.run_for(2, 0.5)
    maker.answer_alarm()
    guide.open_item("seat:1")
    guide.let_work()


def cover(maker: Maker) -> OutlineCover:
    maker.driver.run_for(0.4, 0.1)
    Guide(maker.app, maker.driver).let_work()
    (found,) = maker.driver.find(OutlineCover)
    return found


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.screen)
def test_the_card_of_the_sawing_step_shows_the_outline(look: Look, open_stool: Open) -> None:
    maker = open_stool(look)
    until_sawn(maker)
    (drawn,) = (each for each in maker.driver.find(OutlineOnPanel) if each.drawing is not None)
    assert len(drawn.drawing.loops) == 2
    assert len(drawn.drawing.seams) == 2
    maker.driver.tap(shown_picture(maker))
    sheet = cover(maker)
    assert not maker.driver.judge(*walk.ALL_RULES)
    assert "336 mm × 296 mm" in sheet.facts
    assert "Largest blade that fits: 6 mm" in sheet.facts


def test_a_template_is_made_and_made_again_true(open_stool: Open) -> None:
    maker = open_stool(LOOKS[0])
    until_sawn(maker)
    maker.driver.tap(shown_picture(maker))
    sheet = cover(maker)
    maker.driver.tap_text("Make template")
    maker.driver.until_thread(lambda: sheet.made is not None)
    first = pypdfium2.PdfDocument(sheet.made.path)
    assert "100 mm" in first[0].get_textpage().get_text_range()
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap(next(each for each in maker.driver.find(SmallButton) if each.text == "What the rule measured"))
    maker.driver.run_for(0.4, 0.1)
    for key in ("9", "9", "+3/5"):
        maker.driver.tap(next(each for each in maker.driver.find(Key) if each.key == key))
    maker.driver.tap(next(each for each in maker.driver.find(BigButton) if each.text.startswith("Save")))
    maker.driver.run_for(0.4, 0.1)
    assert sheet.scale == pytest.approx(100 / 99.6)
    assert "0.40 % larger" in sheet.said
    maker.driver.tap_text("Make template")
    maker.driver.until_thread(lambda: sheet.made is not None)
    assert pypdfium2.PdfDocument(sheet.made.path)[0].get_width() == pytest.approx(210 / 25.4 * 72, abs=0.01)


def test_labels_offer_the_templates(open_stool: Open) -> None:
    maker = open_stool(LOOKS[0])
    maker.go("labels")
    maker.driver.tap_text("Other labels")
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap_text("A template")
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap_text("Leg")
    sheet = cover(maker)
    assert sheet.title == "Leg"
    assert sheet.drawing is not None


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.screen)
def test_a_piece_with_an_outline_shows_it(look: Look, open_stool: Open) -> None:
    maker = open_stool(look)
    folder = maker.app.shop.library.folder
    text = (asset_dir("sample_projects") / "stool.toml").read_text("utf-8").replace("Kitchen stool", "Bowed stool")
    text = text.replace(
        'id = "stretcher"', 'id = "stretcher"\nroute = ["cut", "trim", "shape", "drill", "sand 120", "sand 180"]'
    )
    bow = '[[outlines]]\nid = "bow"\nof = "stretcher"\ncorners = [[0, 0], [140, 0], [140, 50, 30], [0, 50, 30]]\n'
    (folder / "bowed.toml").write_text(text + bow, "utf-8")
    maker.open("Bowed stool")
    Guide(maker.app, maker.driver).work("stretcher:1", until="shape")
    maker.scan("stretcher:1")
    maker.driver.tap(next(each for each in maker.driver.find(SmallButton) if each.text == "This piece"))
    maker.driver.run_for(0.4, 0.1)
    assert not maker.driver.judge(*walk.ALL_RULES)
    maker.driver.tap_text("Outline")
    sheet = cover(maker)
    assert sheet.title == "Stretcher: bow"
    assert sheet.drawing is not None
