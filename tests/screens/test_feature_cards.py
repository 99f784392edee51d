"""The card of a step that cuts features: its drawing is to scale and as in the file; an own step with its picture, on a
piece and on an assembly. Real layout, real touches, and pixels."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from kit import boxes, walk
from kit.build_text import one_wood
from kit.driver import Driver
from kit.story import Maker, StoryClock
from PIL import Image

from tracker.screens.drawing.features import FeatureDrawing
from tracker.screens.drawing.step_picture import StepPictureView
from tracker.screens.overlays.own_step import OwnStepCover
from tracker.screens.toolkit.palette import PALETTES
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

BUILD = (
    one_wood("Frame", "mm", "oak", "white oak", "thickness = 22", "width = 60", 'lengths = ["3 m"]')
    + """\
[[parts]]
id = "stile"
name = "Stile"
wood = "oak"
length = 300
features = [
  { kind = "mortise", on = "near", from = { A = 20 }, length = 60, width = 8, depth = 30 },
  { kind = "bore", on = "top", from = { A = 200, near = 20 }, diameter = 10, depth = 8 },
]
[[parts]]
id = "rail"
name = "Rail"
wood = "oak"
length = 200
steps = [
  { do = "saw the curve", station = "saw", numbers = { radius = 250, tilt = "15 deg" }, picture = "curve.png" },
  { do = "LONG", numbers = { holes = "12 holes" } },
]
[[assemblies]]
id = "frame"
name = "Frame"
joins = { stile = 1, rail = 1 }
by = "screws"
steps = [{ do = "check the corner", before = "attach", numbers = { "out of square" = 0.5 }, picture = "gone.png" }]
"""
)
LONG = "fair both edges of the curve by eye with a {round} shave"
LYING, UPRIGHT, SMALL = Look("1920x1200"), Look("1200x1920", "shop", "left"), Look("800x480", "shop")
RED = (200, 40, 40)
Open = Callable[[Look], Maker]


@pytest.fixture
def open_frame(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Open:
    def start(look: Look) -> Maker:
        width, height, dpi = SCREEN_SIZES[look.screen]
        builds = tmp_path / "builds"
        builds.mkdir()
        (builds / "frame.toml").write_text(BUILD.replace("LONG", LONG))
        Image.new("RGB", (300, 100), RED).save(builds / "curve.png")
        app = app_with(look, tmp_path, StoryClock(hand_time), **{"first steps": "seen"})
        maker = Maker(run_app(app, (width, height), dpi))
        maker.open("Frame")
        return maker

    return start


def at(maker: Maker, key: str, step: str) -> Guide:
    guide = Guide(maker.app, maker.driver)
    guide.work(key, until=step)
    guide.open_item(key)
    guide.let_work()
    maker.driver.run_for(0.4, 0.1)
    return guide


def drawn(maker: Maker) -> Any:
    (drawing,) = (each for each in maker.driver.find(FeatureDrawing) if each.view is not None and boxes.in_view(each))
    return drawing


def numbers(drawing: Any) -> list[str]:
    return [each[0] for each in drawing.drawn_text]


@pytest.mark.parametrize("look", [LYING, UPRIGHT, SMALL], ids=lambda look: look.screen)
def test_the_side_that_is_worked_is_drawn_with_its_numbers(look: Look, open_frame: Open) -> None:
    maker = open_frame(look)
    at(maker, "stile:1", "mortise")
    said = " ".join(numbers(drawn(maker)))
    for number in ("20 mm", "60 mm", "7 mm", "8 mm"):
        assert number in said
    assert "near edge up" in said
    assert "end A" in said
    assert not maker.driver.judge(*walk.ALL_RULES)


@pytest.mark.pixels
def test_a_mortise_is_where_the_file_says_and_as_large(open_frame: Open) -> None:
    """20 from end A and 60 long, of a piece 22 thick: measured in the picture, by the colours of wood and chalk
    line."""
    maker = open_frame(LYING)
    at(maker, "stile:1", "mortise")
    drawing = drawn(maker)
    x, y = drawing.to_window(*drawing.pos)
    picture = np.asarray(maker.driver.picture()).astype(int)
    top = picture.shape[0] - round(y + drawing.height)
    part = picture[top : top + round(drawing.height), round(x) : round(x + drawing.width)]
    colour = PALETTES["day"]

    def where(name: str) -> tuple[int, int, int, int]:
        rgb = np.array([round(255 * each) for each in colour.colour(name)[:3]])
        ys, xs = np.nonzero((abs(part - rgb) < 12).all(axis=2))
        return xs.min(), xs.max(), ys.min(), ys.max()

    wood, cut = where("wood"), where("accent")
    edge, line = (
        0.5 * drawing.mm,
        0.7 * drawing.mm,
    )  # of the wood's outline, half of it within; of the cut's, half without
    scale = (wood[3] - wood[2] + edge) / 22
    assert (cut[1] - cut[0] - line) / scale == pytest.approx(60, abs=1.5)
    assert (cut[0] - wood[0] + line / 2 + edge / 2) / scale == pytest.approx(20, abs=1.5)
    assert (cut[3] - cut[2] - line) / scale == pytest.approx(8, abs=1.5)


def test_the_bore_is_drawn_on_the_face_that_it_goes_into(open_frame: Open) -> None:
    maker = open_frame(LYING)
    at(maker, "stile:1", "drill")
    view = drawn(maker).view
    assert view.title == "top face up"
    (cut,) = view.cuts
    assert cut.centre == pytest.approx((200, 20))
    assert cut.radius == pytest.approx(5)


@pytest.mark.parametrize("look", [LYING, UPRIGHT, SMALL], ids=lambda look: look.screen)
def test_the_button_of_an_own_step_says_what_to_do(look: Look, open_frame: Open) -> None:
    """It said only that the rail was done: of the step's words two were left on the card, under its mark."""
    maker = open_frame(look)
    at(maker, "rail:1", "own: saw the curve")
    assert maker.big_button().text == "Saw the curve: done"
    at(maker, "rail:1", f"own: {LONG}")
    assert maker.big_button().text == f"{LONG.capitalize()}: done"
    assert "12 holes" in maker.driver.texts()
    assert not maker.driver.judge(*walk.ALL_RULES)


@pytest.mark.pixels
def test_a_makers_own_picture_is_on_the_card_with_its_number(open_frame: Open) -> None:
    maker = open_frame(LYING)
    at(maker, "rail:1", "own: saw the curve")
    maker.driver.until_thread(lambda: any(each.children for each in maker.driver.find(StepPictureView)))
    maker.driver.run_for(0.4, 0.1)
    picture = np.asarray(maker.driver.picture()).astype(int)
    red = (abs(picture - np.array(RED)) < 10).all(axis=2)
    ys, xs = np.nonzero(red)
    assert len(xs) > 1_000
    assert (xs.max() - xs.min()) / (ys.max() - ys.min()) == pytest.approx(3, rel=0.05)  # not squeezed
    assert "250" in " ".join(maker.driver.texts())


def test_the_step_of_an_assembly_is_large_on_its_sheet_and_says_that_its_picture_is_gone(open_frame: Open) -> None:
    maker = open_frame(LYING)
    for key in ("stile:1", "rail:1"):
        Guide(maker.app, maker.driver).work(key)
    at(maker, "frame:1", "own: check the corner")
    maker.driver.tap_text("out of square")
    maker.driver.run_for(0.4, 0.1)
    (sheet,) = maker.driver.find(OwnStepCover)
    assert sheet.card.to_set.headline == "Out of square"
    maker.driver.until_thread(lambda: any("gone.png" in text for text in maker.driver.texts()))
    assert not maker.driver.judge(*walk.ALL_RULES)
