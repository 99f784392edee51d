"""The sheets of a glue-up by touch: the checklist, the label's times, the shop's air, plugs and proofs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, new_app

from tests.cards.test_glueup import BUILD
from tracker.screens.overlays.checklist import ChecklistCover, CheckTile
from tracker.screens.overlays.cover import Cover
from tracker.screens.places.glueup_tiles import CardTile
from tracker.screens.toolkit.keypad import Key
from tracker.screens.toolkit.list_rows import ListRow
from tracker.tour.headless import HandTime
from tracker.work.decide.decide import Do
from tracker.work.decide.intents import SetAir

STAND = "stand:1"
SCREEN_SIZES = ((1280, 800, 149.0), (1200, 1920, 224.0))


both_screens = pytest.mark.parametrize("maker", SCREEN_SIZES, indirect=True, ids=lambda size: f"{size[0]}x{size[1]}")


@pytest.fixture
def maker(request: pytest.FixtureRequest, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    """A coat stand of two posts, cut and drilled; its assembly is the current item."""
    build = BUILD.format(units="mm", glue="PVA, interior (white)", finish="Danish oil", within="2 mm")
    (tmp_path / "builds").mkdir()
    (tmp_path / "builds" / "stand.toml").write_text(build, encoding="utf-8")
    width, height, dpi = getattr(request, "param", SCREEN_SIZES[0])
    maker = Maker(run_app(new_app(tmp_path, hand_time), (width, height), dpi))
    maker.open("Coat stand")
    for piece in maker.app.shop.run.pieces:
        for step in piece.route:
            assert maker.app.shop.do(Do(piece.key, step.id)) is None
    maker.app.act(Do(STAND, "dry fit"))
    maker.app.open_item(STAND)
    maker.driver.run_for(0.4, 0.1)
    return maker


def until(maker: Maker, *steps: str) -> None:
    for step in steps:
        maker.app.act(Do(STAND, step, "Tested: ready"))
    maker.driver.run_for(0.4, 0.1)


def on_top(maker: Maker) -> Any:
    top = maker.app.root.children[0]
    assert not maker.driver.judge(*walk.ALL_RULES)
    return top


def tap(maker: Maker, text: str) -> None:
    maker.driver.tap_text(text)
    maker.driver.run_for(0.3, 0.1)


def keys(maker: Maker, signs: str) -> None:
    for sign in signs:
        maker.driver.tap(maker.driver.find(Key, key=sign)[-1])


def time_said(maker: Maker) -> tuple[str, str]:
    (tile,) = [tile for tile in maker.card().tiles if tile.sheet == "times"]
    return tile.text, tile.said


def test_a_line_of_the_checklist_is_ticked_and_taken_back(maker: Maker) -> None:
    tap(maker, "checklist")
    assert isinstance(on_top(maker), ChecklistCover)
    tile = next(tile for tile in maker.driver.find(CheckTile) if tile.line.check == "pads")
    for tone in ("done", "ready"):
        maker.driver.tap(tile)
        assert tile.line.tone == tone
    maker.scan("post:2")
    parts = next(tile for tile in maker.driver.find(CheckTile) if tile.line.check == "parts")
    assert parts.line.said == "1 of 2 here: scan each, or tap when all are", "a scan is seen at once, on the sheet too"
    maker.scan(STAND)
    assert not [child for child in maker.app.root.children if isinstance(child, Cover)], (
        "another card: no sheet over it"
    )


def test_what_was_checked_comes_back_after_a_restart(
    run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path, maker: Maker
) -> None:
    maker.scan("post:1")
    tap(maker, "checklist")
    maker.driver.tap(next(tile for tile in maker.driver.find(CheckTile) if tile.line.check == "paper"))
    maker.driver.stop()
    again = Maker(run_app(new_app(tmp_path, hand_time), (1280, 800), 149.0))
    assert {tile.sheet: tile.text for tile in again.card().tiles} == {
        "parts": "1 of 2",
        "checks": "1 of 7",
        "times": "8 min",
    }


@both_screens
def test_the_label_overrules_a_default_and_the_card_says_so(maker: Maker) -> None:
    assert time_said(maker) == ("8 min", "open time: default")
    tap(maker, "open time: default")
    on_top(maker)
    tap(maker, "Open time 8 min")
    keys(maker, "12")
    maker.driver.tap_text("min")
    on_top(maker)
    tap(maker, "Use 12 min (label)")
    tap(maker, "Back")
    assert time_said(maker) == ("12 min", "open time: label")
    until(maker, "spread")
    assert maker.card().clock.text.startswith("12:0") or maker.card().clock.text.startswith("11:5")
    assert "label" in maker.card().clock.source


def test_a_nought_too_many_must_be_held(maker: Maker) -> None:
    tap(maker, "open time: default")
    tap(maker, "Open time 8 min")
    keys(maker, "80")
    maker.driver.tap_text("min")
    button = maker.driver.find_text("Use 1 h 20 min (label)")
    on_top(maker)
    maker.driver.tap(button)
    assert maker.app.shop.state.overruled(maker.app.shop.run, maker.app.shop.run.items[STAND]) == {}
    maker.driver.hold(button)
    kept = maker.app.shop.state.overruled(maker.app.shop.run, maker.app.shop.run.items[STAND])
    assert kept["open"].fact.seconds == 80 * 60


@both_screens
def test_too_cold_a_shop_is_entered_and_stands_in_the_way(maker: Maker) -> None:
    maker.driver.tap(next(tile for tile in maker.driver.find(CardTile) if tile.sheet == "times"))
    maker.driver.run_for(0.3, 0.1)
    tap(maker, "Shop temperature and humidity")
    keys(maker, "7")
    tap(maker, "relative humidity")
    keys(maker, "62")
    on_top(maker)
    tap(maker, "Save")
    air = maker.app.shop.state.air.fact
    assert (air.celsius, air.humidity) == (7.0, 62.0)
    on_top(maker)
    tap(maker, "Back")
    assert not maker.card().action.ready
    assert "PVA, interior (white)" in maker.card().action.why
    maker.app.act(SetAir(19.0, 50.0))
    assert "PVA, interior (white)" not in maker.card().action.why, "only what is still to be checked"
    maker.driver.run_for(0.4, 0.1)
    maker.spread_by_the_checklist()
    assert maker.app.shop.state.is_done(maker.app.shop.run, maker.app.shop.run.items[STAND], "spread")


def test_plugs_say_which_holes_and_what_wood(maker: Maker) -> None:
    until(maker, "spread", "clamp", "unclamp")
    maker.driver.jump(30 * 86_400)
    maker.driver.run_for(2, 0.5)
    maker.answer_alarm()
    tap(maker, "which holes")
    on_top(maker)
    (row,) = [row for row in maker.driver.find(ListRow) if "Post" in row.title]
    assert "White oak, its grain along the piece" in row.subtitle


@both_screens
def test_diagonals_are_typed_from_the_tape_and_judged(maker: Maker) -> None:
    until(maker, "spread", "clamp", "unclamp", "plug", "finish 1", "finish 2")
    for _ in range(2):
        maker.driver.jump(60 * 86_400)
        maker.driver.run_for(2, 0.5)
        maker.answer_alarm()
    maker.driver.tap(maker.big_button())
    maker.driver.run_for(0.3, 0.1)
    on_top(maker)
    tap(maker, "Diagonals within 2 mm")
    for sides in ("700", "703"):
        tap(maker, "Measure")
        keys(maker, sides)
        on_top(maker)
        tap(maker, f"Save {sides} mm")
    top = on_top(maker)
    assert (top.result, top.advice) == ("700 mm and 703 mm: 3 mm apart", "more than what is asked")
    tap(maker, "Fail")
    on_top(maker)
    kept = maker.app.shop.state.proofs(maker.app.shop.run, maker.app.shop.run.items[STAND])["diagonals within 2 mm"]
    assert (kept.fact.passed, kept.fact.result) == (False, "700 mm and 703 mm: 3 mm apart")
