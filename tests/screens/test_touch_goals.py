"""The screen and the hand: intended taps hit, unintended contacts do nothing, and everything has its fixed place.

A short count of each; tests/bench/knuckle.py does the long ones.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from kit import boxes, hands
from kit.driver import Driver
from kit.story import Maker, StoryClock, new_app
from kivy.uix.widget import Widget

from tracker.measure import Reading
from tracker.screens.base import CardView
from tracker.screens.shell import ClockStack
from tracker.screens.toolkit.buttons import BigButton, SmallButton
from tracker.screens.toolkit.fraction import BigReading
from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.prompts import Panel
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.itinerary import itinerary
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

SEED = 20260302
BLOCKS = 7


def tour(look: Look, run_app: Callable[..., Driver], hand_time: HandTime, home: Path) -> tuple[Driver, Guide]:
    width, height, dpi = SCREEN_SIZES[look.screen]
    app = app_with(look, home / "kerfcard", StoryClock(hand_time))
    driver = run_app(app, (width, height), dpi)
    return driver, Guide(app, driver)


@pytest.mark.parametrize("look", [Look("1920x1200"), Look("1200x1920", hand="left")], ids=lambda look: look.screen)
def test_a_gloved_knuckle_hits_what_it_means(
    look: Look, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    driver, guide = tour(look, run_app, hand_time, tmp_path)
    wrong, seen = [], set()
    for name in itinerary(guide):
        driver.run_for(1.0, 0.2)
        guide.let_work()  # what is still being read would change its name under the knuckle
        driver.run_for(1.0, 0.2)  # and what came in, such as a message or a picture, moves the list
        with boxes.at_rest():
            places = {hands.aimed_at(driver, target): target for target in hands.while_working(driver.app.root)}
        fresh = ((place, target) for place, target in places.items() if place not in seen)
        aimed = [each for place, target in fresh for each in aimed_still(driver, target, place)]
        seen |= places.keys()
        taps = sum(each.taps for each in aimed)
        if taps and sum(each.hit for each in aimed) < 0.995 * taps:
            wrong.append(f"{name}: {[each for each in aimed if each.hit < 0.99 * each.taps]}")
        wrong += [f"{name}: {each}" for each in aimed if each.neighbour]
    assert not wrong, "\n".join(wrong)


def aimed_still(driver: Driver, target: Widget, place: tuple[Any, ...]) -> Iterator[hands.Aimed]:
    """Taps at a target. One that moved under them is aimed at again, if it is still in view; the last try counts."""
    for _ in range(3):
        found = hands.aim(driver, target, 40)
        if hands.aimed_at(driver, target) == place:
            break
        driver.run_for(1.0, 0.2)
        if target not in hands.while_working(driver.app.root):
            return
        place = hands.aimed_at(driver, target)
    yield found


def at_work(run_app: Callable[..., Driver], hand_time: HandTime, home: Path) -> Maker:
    maker = Maker(run_app(new_app(home, hand_time)))
    maker.open("Doorstep planter")
    maker.scan("side:1")
    return maker


def test_no_ghost_is_ever_stored(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> None:
    maker = at_work(run_app, hand_time, tmp_path)
    before, place = len(maker.app.shop.entries()), maker.app.root.current
    assert hands.rain(maker.driver, 600, random.Random(SEED)) >= 600
    maker.driver.run_for(0.5, 0.1)
    assert len(maker.app.shop.entries()) == before
    assert maker.app.root.current == place


def do_or_undo(maker: Maker) -> Callable[[], object]:
    """Tap the large button if it is ready, otherwise the undo button beside it: each tap makes one fact."""

    def button() -> object:
        big = maker.big_button()
        if not big.disabled and maker.card().action.intent is not None and not maker.card().undo:
            return big
        return next(
            each for each in maker.driver.find(SmallButton) if each.text.startswith("Undo") and not each.disabled
        )

    return button


def test_every_tap_is_stored_exactly_once(run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path) -> None:
    maker = at_work(run_app, hand_time, tmp_path)
    stored = hands.real_taps(
        maker.driver, do_or_undo(maker), lambda: len(maker.app.shop.entries()), taps=200, seed=SEED
    )
    assert stored.once == stored.taps


@pytest.mark.parametrize("hand", ["right", "left"])
def test_what_is_next_is_seen_at_a_glance(
    hand: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    """One headline of 14 mm, few blocks of words, and everything in the same place on every screen."""
    driver, guide = tour(Look("1920x1200", hand=hand), run_app, hand_time, tmp_path)

    def edge(box: boxes.Box) -> int:
        """The edge of a box on the side of the hand."""
        return round(box.right if hand == "right" else box.left)

    buttons, clocks, readings, backs, wrong = set(), set(), set(), set(), []
    for name in itinerary(guide):
        driver.run_for(1.0, 0.2)
        if not driver.app.root.said:  # a sentence that needs reading takes its room on top
            stacks = [box for box in map(boxes.box_of, driver.find(ClockStack)) if box.height > 1]
            clocks |= {(round(box.left), round(box.high)) for box in stacks}
        backs |= {
            (edge(box), round(box.high), round(box.width), round(box.height))
            for box in map(boxes.box_of, driver.find(SmallButton, text="Back"))
            if not driver.find(Panel)  # of a few choices in the middle of the screen it is the last
        }
        for view in () if driver.find(Overlay) else driver.find(CardView):
            if not boxes.in_view(view):
                continue
            blocks = [child for child in view.children if boxes.in_view(child) and boxes.words(child)]
            if len(blocks) > BLOCKS:
                wrong.append(f"{name}: {len(blocks)} blocks")
            large = [child for child in boxes.walk_all(view) if isinstance(child, BigButton) and boxes.in_view(child)]
            buttons |= {(edge(box), round(box.low)) for box in map(boxes.box_of, large)}
            numbers = [
                child
                for child in boxes.walk_all(view)
                if isinstance(child, BigReading) and isinstance(child.reading, Reading)
            ]
            readings |= {(type(view), round(box.left), round(box.high)) for box in map(boxes.box_of, numbers)}
            wrong += [f"{name}: {each.cap_mm} mm" for each in numbers if each.cap_mm < 14]
    assert not wrong, "\n".join(wrong)
    assert len(clocks) == 1, clocks
    assert len(buttons) == 1, buttons
    assert len(backs) == 1, f"the way back from a sheet: {backs}"
    for kind in {each[0] for each in readings}:
        places = {each for each in readings if each[0] is kind}
        assert len(places) <= 2, f"the number begins under a bar of one line and of two: {places}"
