"""Driving screws by touch: the tile of the glue-up lists them, and the button says what was done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, new_app

from tests.cards.test_screw_cards import SHELF
from tracker.screens.places.glueup_tiles import CardTile
from tracker.screens.toolkit.list_rows import ListRow
from tracker.tour.headless import HandTime
from tracker.work.decide.decide import Do


@pytest.mark.parametrize("size", [(1280, 800, 149.0), (800, 1280, 149.0)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_screws_are_listed_and_claimed(
    size: tuple[int, int, float], run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    (tmp_path / "builds").mkdir()
    (tmp_path / "builds" / "shelf.toml").write_text(SHELF.format(species="white oak"), encoding="utf-8")
    maker = Maker(run_app(new_app(tmp_path, hand_time), size[:2], size[2]))
    maker.open("Shelf")
    maker.driver.run_for(0.4, 0.1)
    for piece in maker.app.shop.run.pieces:
        for step in piece.route:
            assert maker.app.shop.do(Do(piece.key, step.id)) is None
    maker.app.open_item("board:1")
    maker.driver.run_for(0.4, 0.1)
    assert not maker.driver.judge(*walk.ALL_RULES)
    for step in ("dry fit", "spread", "clamp"):
        maker.app.act(Do("shelf:1", step, "Tested: ready"))
    maker.app.open_item("shelf:1")
    maker.driver.run_for(0.4, 0.1)
    assert not maker.driver.judge(*walk.ALL_RULES)
    assert maker.card().action.text == "Screws are in Shelf"
    assert "Board: 4 pocket screws 1\u20091⁄4″ No. 8" in maker.card().facts_words
    maker.app.act(Do("shelf:1", "drive screws", "Tested: ready"))
    for step in ("unclamp", ""):
        maker.driver.jump(3 * 86_400)
        maker.driver.run_for(2, 0.5)
        maker.answer_alarm()
        if step:
            maker.app.act(Do("shelf:1", step, "Tested: ready"))
            maker.driver.run_for(0.4, 0.1)
    assert maker.card().action.text == "Screws are out of Shelf"
    (tile,) = [tile for tile in maker.driver.find(CardTile) if tile.said == "which screws"]
    maker.driver.tap(tile)
    maker.driver.run_for(0.4, 0.1)
    assert not maker.driver.judge(*walk.ALL_RULES)
    rows = [row.title for row in maker.driver.find(ListRow)]
    assert rows == ["Board: 4 pocket screws"], "of the screws only those that come out again"
