"""A handheld scanner at a glue-up, on any screen, and with another keyboard layout."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, new_app
from PIL import Image

from tracker.paper.qr import symbol_image
from tracker.screens.overlays.checklist import PartsCover
from tracker.screens.toolkit.list_rows import ListRow
from tracker.screens.toolkit.prompts import Panel
from tracker.shop import read_build
from tracker.tour.headless import HandTime
from tracker.work.codes import code_for
from tracker.work.run import start_run

FRAME, OTHER_FRAME = "frame:1", "frame:2"
MEMBERS = ("leg:1", "leg:2", "rail:1")


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    maker.open("Kitchen stool")
    assert maker.app.shop.run.items[FRAME].members == MEMBERS
    return maker


def said(maker: Maker) -> tuple[str, str]:
    return maker.app.root.said, maker.app.root.said_tone


def in_cover(widget: object) -> bool:
    """Whether a widget is on the sheet over the screen."""
    while widget is not None and not isinstance(widget, PartsCover):
        parent = getattr(widget, "parent", None)
        widget = None if parent is widget else parent
    return widget is not None


def shows_the_frame(maker: Maker) -> bool:
    return maker.app.root.ids.rail.current == "glueup" and maker.card().key == FRAME


def at_the_glue_up(maker: Maker, ready: tuple[str, ...] = MEMBERS) -> None:
    for key in ready:
        maker.work(key)
    maker.scan(FRAME)
    assert shows_the_frame(maker)


def test_pieces_are_checked_in_one_by_one(maker: Maker) -> None:
    at_the_glue_up(maker)
    maker.scan("leg:2")
    assert said(maker) == ("Leg 2 is in: 1 of 3 scanned. Still to come: Leg 1 and Rail 1.", "done")
    maker.scan("leg:2")
    assert said(maker) == ("Leg 2 was already in: 1 of 3 scanned. Still to come: Leg 1 and Rail 1.", "done")
    assert not maker.driver.judge(*walk.ALL_RULES)
    maker.scan("rail:1")
    maker.driver.tap_text("parts here")
    rows = {row.title: row.subtitle for row in maker.driver.find(ListRow) if in_cover(row)}
    assert rows == {
        "Leg 1 of 4": "ready: tap once it is here",
        "Leg 2 of 4": "in",
        "Rail 1 of 2": "in",
    }
    assert not maker.driver.judge(*walk.ALL_RULES)
    maker.driver.tap_text("Back")
    maker.go("clocks")
    maker.go("glueup")
    maker.scan("leg:1")
    assert said(maker) == ("Leg 1 is in: all 3 scanned.", "done")
    assert shows_the_frame(maker)


def test_a_piece_of_another_frame_is_refused_and_so_is_one_that_is_not_ready(maker: Maker) -> None:
    at_the_glue_up(maker, ready=("leg:1",))
    maker.scan("leg:3")
    assert said(maker) == ("Leg 3 isn't part of Leg frame 1. It goes into Leg frame 2.", "caution")
    maker.scan("leg:2")
    assert said(maker) == ("Leg 2 isn't ready: not cut yet. It was not counted.", "caution")
    maker.scan("leg:1")
    assert said(maker)[0].startswith("Leg 1 is in: 1 of 3 scanned")
    assert shows_the_frame(maker)


def test_another_frame_s_label_brings_up_its_card_and_so_does_a_piece_once_it_is_in_clamps(maker: Maker) -> None:
    at_the_glue_up(maker)
    maker.scan(OTHER_FRAME)
    assert maker.card().key == OTHER_FRAME
    maker.glue_up(FRAME)
    maker.scan("leg:1")
    assert maker.card().key == "leg:1"


def test_elsewhere_a_scan_brings_up_the_card(maker: Maker) -> None:
    maker.scan("leg:3")
    assert (maker.card().key, maker.app.root.ids.rail.current) == ("leg:3", "station")


def swapped(code: str) -> str:
    return code.translate(str.maketrans("YZ", "ZY"))


def test_another_keyboard_layout_is_folded_and_said(maker: Maker) -> None:
    run = maker.app.shop.run
    key = next(key for key, code in run.codes.items() if key in run.items and swapped(code) != code)
    maker.driver.scan(swapped(run.codes[key]))
    assert maker.card().key == key
    assert "this tablet is set to German" in maker.app.root.said


def test_a_french_row_of_digits_is_read_too(maker: Maker) -> None:
    french = str.maketrans("aqzwm1234567890", "qawz,&é\"'(-è_çà")
    maker.driver.scan(maker.app.shop.run.codes["leg:2"].lower().translate(french))
    assert maker.card().key == "leg:2"
    assert "this tablet is set to French" in maker.app.root.said


def test_a_lost_key_and_a_wrong_label_are_told_apart(maker: Maker) -> None:
    maker.driver.scan(maker.app.shop.run.codes["leg:2"][:-2])
    maker.driver.run_for(0.2)
    assert "Keys were lost" in maker.app.root.said
    maker.driver.scan("4006381333931")
    maker.driver.run_for(0.2)
    assert maker.app.root.said.startswith("Not a Kerfcard label.")


def test_a_picture_that_can_t_be_told_is_asked_about(maker: Maker, tmp_path: Path) -> None:
    (tmp_path / "pictures").mkdir()
    picture = tmp_path / "pictures" / "dirty.png"
    dirty_label(maker.app.shop.run.codes["leg:3"]).save(picture)
    maker.go("scan")
    maker.driver.tap_text("From a picture")
    maker.driver.tap_text("dirty.png")
    maker.driver.until_thread(lambda: maker.driver.find(Panel), 60)
    (panel,) = maker.driver.find(Panel)
    assert panel.title == "Can't tell: which one is it?"
    assert len(panel.options) == 2
    assert not maker.driver.judge(*walk.ALL_RULES)
    chosen = panel.options[0]
    maker.driver.tap_text(chosen.text)
    assert maker.app.shop.run.codes[maker.card().key] == chosen.key


def dirty_label(code: str) -> Image.Image:
    """A label on which one in fourteen of the modules that distinguish codes is visible; its corner marks are clean."""
    label = np.full((300, 400), 235, np.uint8)
    symbol = np.asarray(symbol_image(code, 5).convert("L"))
    label[60 : 60 + symbol.shape[0], 100 : 100 + symbol.shape[1]] = symbol
    chance = np.random.default_rng(1)
    for row in range(21):
        for column in range(21):
            mark = (row < 9 or row > 11) and (column < 9 or column > 11) and (row < 9 or column < 9)
            if not mark and chance.random() < 13 / 14:
                top, left = 60 + 5 * (4 + row), 100 + 5 * (4 + column)
                label[top : top + 5, left : left + 5] = 130
    return Image.fromarray(label)


def of_another_build(maker: Maker, file: str, key: str) -> str:
    """The code of an item or board of a build that isn't open."""
    path = next(path for path in maker.app.shop.library.paths() if path.name == file)
    build = read_build(path).build
    assert build is not None
    return start_run(build).codes[key]


@pytest.mark.parametrize("key", ["foot:3", "rack/F2"])
def test_a_label_of_another_build_offers_to_open_it_and_then_does_what_it_asks_for(maker: Maker, key: str) -> None:
    app = maker.app
    for _ in range(2):  # the files' codes are read off the screen's thread, the second time they are known
        code = of_another_build(maker, "planter.toml", key)
        maker.driver.scan(code)
        maker.driver.until_thread(lambda: bool(maker.driver.find(Panel)))
        assert app.shop.run.build.name == "Kitchen stool"
        panel = maker.driver.find(Panel)[0]
        assert panel.title == "That label is from another build."
        maker.driver.tap(maker.driver.find_text("Open it"))
        maker.driver.run_for(0.4, 0.05)
        assert app.shop.run.build.name == "Doorstep planter"
        if key in app.shop.run.items:
            assert app.item_key == key
        else:
            assert said(maker)[0].startswith("Board F2 on the rack: ")
        maker.open("Kitchen stool")


def test_a_good_code_that_no_build_has_is_said(maker: Maker) -> None:
    maker.driver.scan(code_for("somebody's build", "leg:1"))
    maker.driver.until_thread(lambda: "of no build on this tablet" in said(maker)[0])
    assert not maker.driver.find(Panel)
