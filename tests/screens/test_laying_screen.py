"""Laying a glue-up down part by part, by touch: this part is lit, those before it are wood, the next are outlines."""

from __future__ import annotations

import numpy as np
import pytest
from kit.driver import Driver
from kit.story import shown_picture

from tests.screens.test_furniture_screen import (
    Open,
    assert_blue_where_it_is,
    blue,
    cover,
    open_build,
    veiled,
)
from tracker.plan.place import Placer
from tracker.screens.drawing.furniture_tile import FurnitureTile
from tracker.tour.guide import Guide
from tracker.tour.looks import Look

__all__ = ["Driver", "open_build"]
SMALL = (Look("800x480", "shop"), Look("800x1280", hand="left"))


@pytest.mark.pixels
@pytest.mark.parametrize("look", SMALL, ids=lambda look: look.name.replace(" ", "-"))
def test_a_ring_is_laid_down_part_by_part(look: Look, open_build: Open) -> None:
    maker = open_build(look, "Doorstep planter")
    maker.app.open_item("ring:1")
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap(shown_picture(maker))
    shown = cover(maker)
    assert not blue(maker).any()
    placed = Placer(maker.app.shop.run.build).placed("ring")
    maker.driver.tap_text("Part by part")
    shown = cover(maker)
    assert shown.title == "Ring: part 1 of 6"
    assert shown.said.startswith("In two halves, anticlockwise as seen from above. First half. Side 1: far edge up")
    for _ in range(3):
        maker.driver.tap_text("Next part")
        shown = cover(maker)
    assert shown.title == "Ring: part 4 of 6"
    assert shown.said.startswith("Second half. Side 4: far edge up, top face outward; its end A to end B of Side 3")
    maker.driver.tap_text("Turn left")
    shown = cover(maker)
    assert_blue_where_it_is(blue(maker), placed, ("side", 4), 54)
    for _ in range(3):
        maker.driver.tap_text("Part before")
        shown = cover(maker)
    maker.driver.tap_text("All parts")
    shown = cover(maker)
    assert shown.laid == 0
    assert not blue(maker).any()


@pytest.mark.pixels
@pytest.mark.parametrize("look", SMALL, ids=lambda look: look.name.replace(" ", "-"))
def test_the_builds_show_the_furniture_as_far_as_it_is(look: Look, open_build: Open) -> None:
    maker = open_build(look, "Kitchen stool")
    guide = Guide(maker.app, maker.driver)
    for key in ("leg:1", "rail:1"):
        guide.work(key)
    maker.app.open_item("stretcher:1")
    maker.app.go("builds")
    for _ in range(2):
        maker.driver.run_for(0.4, 0.1)
        guide.let_work()
    (tile,) = maker.driver.find(FurnitureTile)
    assert tile.title == "Stool: 2 of 11 pieces made"
    assert min(tile.size) >= 22 * tile.mm - 1
    assert len(np.unique(np.array(maker.driver.picture()).reshape(-1, 3), axis=0)) > 50
    maker.driver.tap(tile)
    shown = cover(maker)
    assert shown.said.startswith("Blue is the piece in hand. Outlined, still to make: Leg 2, Leg 3, Leg 4, Rail 2")
    placed = Placer(maker.app.shop.run.build).placed("stool")
    found = blue(maker)
    hidden = veiled(placed, [piece.key for piece in placed].index(("stretcher", 1)), 24, found.shape)
    assert found.any()
    assert found[~hidden].mean() < 0.002
