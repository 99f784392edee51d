"""The shell: the rail, the places behind More, the settings, the first steps, and the lock while the screen is
wiped."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from kit import boxes, walk
from kit.driver import Driver
from kit.story import Maker, StoryClock, new_app

from tracker.cards.help import HELP
from tracker.screens.overlays.first_steps import SIGHTS, FirstSteps
from tracker.screens.overlays.wipe import WipeLock
from tracker.screens.places.more import TILES, Tile
from tracker.screens.start import app_on
from tracker.screens.toolkit.buttons import BigButton, HoldButton, RailButton
from tracker.screens.toolkit.fraction import BigReading
from tracker.screens.toolkit.list_rows import ListRow
from tracker.screens.toolkit.prompts import Panel
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES


@pytest.fixture
def maker(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> Maker:
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    maker.open("Doorstep planter")
    maker.driver.run_for(0.4, 0.1)
    return maker


def set_to(maker: Maker, title: str, word: str) -> None:
    """Change a setting by touch."""
    maker.go("settings")
    maker.driver.run_for(0.4, 0.1)
    maker.app.root.screen.ids.list.show(
        next(row.key for row in maker.app.root.screen.ids.list.rows if row.title == title)
    )
    maker.driver.run_for(0.4, 0.1)
    maker.driver.tap(next(row for row in maker.driver.find(ListRow) if row.title == title))
    maker.driver.run_for(0.4, 0.1)
    panel = maker.driver.find(Panel)[0]
    maker.driver.tap(
        next(button for button in panel.walk() if isinstance(button, BigButton) and button.text.lower() == word.lower())
    )
    maker.driver.run_for(0.4, 0.1)


def test_each_place_is_at_most_two_taps_away_and_the_rail_shows_where_it_was_found(maker: Maker) -> None:
    for name in [name for name, _, _ in TILES if name in maker.app.places]:
        maker.go(name)
        assert maker.app.root.current == name
        assert [button.place for button in maker.driver.find(RailButton) if button.chosen] == ["more"]


def test_behind_more_stands_the_help_for_the_screen_one_came_from(maker: Maker) -> None:
    for place in ("glueup", "scan", "station"):
        maker.go(place)
        maker.go("more")
        assert HELP[place] in maker.driver.texts()


@pytest.mark.parametrize("size", ["1920x1200", "1200x1920"])
def test_for_a_left_hand_all_stands_on_the_other_side(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    width, height, dpi = SCREEN_SIZES[size]
    maker = Maker(run_app(new_app(tmp_path, hand_time), (width, height), dpi))
    maker.open("Doorstep planter")
    maker.driver.run_for(0.5, 0.1)
    before = places(maker)
    set_to(maker, "Hand", "left hand")
    maker.go("station")
    maker.driver.run_for(0.5, 0.1)
    after = places(maker)
    if size == "1920x1200":
        assert before["rail"][0] < before["bar"][0] < before["button"][0]
        assert after["rail"][0] > after["button"][1]
        for name in ("rail", "bar", "button"):
            assert after[name][0] == pytest.approx(width - before[name][1], abs=2), name
    else:
        assert before["rail"][2] < before["button"][2] < before["bar"][2], "upright: rail, card, strip, from the foot"


def places(maker: Maker) -> dict[str, tuple[float, float, float]]:
    """Left, right and foot of the rail, the bar with the strip, and the large button (points)."""
    widgets = {
        "rail": maker.app.root.ids.rail,
        "bar": maker.app.root.screen.batch,
        "button": maker.big_button(),
    }
    return {name: (box.left, box.right, box.low) for name, box in ((n, boxes.box_of(w)) for n, w in widgets.items())}


def test_lengths_are_read_in_the_units_that_are_set(maker: Maker) -> None:
    maker.scan("side:1")
    assert maker.card().to_set.reading.plain == '9 3/4"'
    set_to(maker, "Units", "millimetres")
    maker.scan("side:1")
    # Worked by hand: across 16 in of a hexagon is a side of 16 tan 30° = 9.2376 in, and half an inch more is 247.3 mm.
    assert maker.card().to_set.reading.plain == "247 mm"
    set_to(maker, "Metric tape", "0.5 mm")
    maker.scan("side:1")
    assert maker.card().to_set.reading.plain == "247.5 mm"


def test_settings_are_kept_over_a_restart(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> None:
    maker = Maker(run_app(new_app(tmp_path, hand_time)))
    maker.open("Kitchen stool")
    set_to(maker, "Screen light", "dark shop")
    set_to(maker, "Hand", "left hand")
    maker.driver.stop()
    again = Maker(run_app(new_app(tmp_path, hand_time)))
    assert (again.app.theme.name, again.app.theme.handedness) == ("shop", "left")


def test_while_the_screen_is_wiped_no_tap_does_anything_until_the_button_is_held(maker: Maker) -> None:
    maker.go("more")
    maker.driver.tap(next(tile for tile in maker.driver.find(Tile) if tile.name == "wipe"))
    maker.driver.run_for(0.5, 0.1)
    before = len(maker.app.shop.entries())
    width, height = maker.app.root.size
    for across in range(1, 12):
        for up in range(1, 12):
            maker.driver.tap((width * across / 12, height * up / 12))
    assert maker.app.root.current == "more"
    assert len(maker.app.shop.entries()) == before
    go_on = maker.driver.find(HoldButton)[0]
    maker.driver.tap(go_on)
    assert maker.driver.find(WipeLock), "a tap is what a rag does"
    maker.driver.hold(go_on, 1.3)
    assert not maker.driver.find(WipeLock)


@pytest.mark.parametrize("size", ["1920x1200", "1200x1920", "800x480"])
def test_whoever_is_new_here_is_shown_a_sample_and_three_things(
    size: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    width, height, dpi = SCREEN_SIZES[size]
    driver = run_app(app_on(tmp_path, clock=StoryClock(hand_time)), (width, height), dpi)
    driver.until_thread(lambda: driver.find(FirstSteps))
    driver.run_for(0.5, 0.1)
    assert driver.app.shop.run is not None
    for sight in SIGHTS:
        steps = driver.find(FirstSteps)[0]
        assert steps.said == sight.said
        x, y, wide, high = steps.frame
        framed = boxes.Box(x, y, x + wide, y + high)
        assert framed == framed.meet(boxes.Box(-1, -1, width + 1, height + 1))
        bubble = boxes.box_of(steps.children[0])
        assert bubble.gap(framed) > 0, "what is pointed at is not covered"
        assert not driver.judge(*walk.ALL_RULES)
        driver.tap(next(button for button in steps.walk() if isinstance(button, BigButton)))
        driver.run_for(0.3, 0.1)
    assert not driver.find(FirstSteps)
    assert driver._count <= 3, "taps from the first start to the first cut"
    assert next(r for r in driver.find(BigReading)).reading is not None
    driver.stop()
    again = run_app(app_on(tmp_path, clock=StoryClock(hand_time)), (width, height), dpi)
    assert not again.find(FirstSteps), "once is enough"
    assert next(r for r in again.find(BigReading)).reading is not None, "from any other start, no tap at all"
