"""Taps: fingers count, chips and sleeves don't."""

from __future__ import annotations

import random
from typing import Any

import pytest
from kit.one_widget import app_of, lift, touch, touch_within_a_frame

SEED = 20260302


@pytest.fixture
def bench(run_app):
    """Two buttons side by side, and the list of taps."""
    from kivy.uix.boxlayout import BoxLayout

    from tracker.screens.toolkit.widgets import BigButton

    tapped: list[str] = []

    def make() -> Any:
        layout = BoxLayout(spacing=40, padding=40)
        for name in ("cut", "drill"):
            button = BigButton(text=name)
            button.bind(on_tap=lambda each: tapped.append(each.text), on_refused=lambda each: tapped.append("refused"))
            layout.add_widget(button)
        return layout

    driver = run_app(app_of(make))
    return driver, tapped


def test_a_tap_acts_once_at_release_and_shows_at_thetouch(bench):
    driver, tapped = bench
    button = driver.find_text("cut")
    finger = driver.press(button)
    assert button.pressed, "seen in the frame of the touch"
    assert tuple(button.plate) == button.palette.colour("pressed")
    assert tapped == [], "nothing yet: the finger may still slide off"
    driver.run_for(0.08)
    driver.release(finger)
    assert tapped == ["cut"]
    driver.run_for(0.2)
    assert not button.pressed


def test_sliding_off_takes_it_back(bench):
    driver, tapped = bench
    finger = driver.press(driver.find_text("cut"))
    driver.move(finger, driver.find_text("drill"))
    driver.run_for(0.1)
    driver.release(finger)
    assert tapped == []


def test_a_second_tap_within_the_lock_is_the_same_tap(bench):
    driver, tapped = bench
    button = driver.find_text("cut")
    for pause in (0.05, 0.05, 0.40):
        finger = driver.press(button)
        driver.run_for(0.05)
        driver.release(finger)
        driver.run_for(pause)
    assert tapped == ["cut"]
    driver.tap(button)
    assert tapped == ["cut", "cut"]


def test_a_grey_button_says_that_it_was_tapped(bench):
    driver, tapped = bench
    button = driver.find_text("cut")
    button.disabled = True
    driver.tap(button)
    assert tapped == ["refused"]


def test_nothing_counts_right_after_a_screen_change(bench):
    driver, tapped = bench
    driver.app.guard.screen_changed()
    button = driver.find_text("cut")
    finger = driver.press(button)
    driver.run_for(0.4)
    driver.release(finger)
    assert tapped == []
    driver.tap(button)
    assert tapped == ["cut"]


def test_a_palm_is_no_finger(bench):
    driver, tapped = bench
    button = driver.find_text("cut")
    fingers = [driver.press((button.center_x + 40 * n, button.center_y)) for n in (-1, 0, 1)]
    driver.run_for(0.2)
    for finger in fingers:
        driver.release(finger)
    driver.run_for(0.5)
    assert tapped == []


def test_two_hands_are_two_taps(bench):
    driver, tapped = bench
    fingers = [driver.press(driver.find_text(name)) for name in ("cut", "drill")]
    driver.run_for(0.1)
    for finger in fingers:
        driver.release(finger)
    assert sorted(tapped) == ["cut", "drill"]


def test_ghosts_are_never_stored_and_real_taps_always_once(bench):
    """A sample of the goal: ghosts of 5 to 25 ms, 1 to 10 at once, and taps of 40 to 300 ms that drift up to 3 mm."""
    from kivy.core.window import Window

    driver, tapped = bench
    chance = random.Random(SEED)
    button = driver.find_text("cut")
    per_mm = driver.app.theme.mm
    for _ in range(120):
        places = [(chance.uniform(0, Window.width - 1), chance.uniform(0, Window.height - 1)) for _ in range(10)]
        fingers = [touch(driver, place) for place in places[: chance.choice((1, 1, 2, 3, 10))]]
        driver.frames(1, chance.uniform(0.005, 0.025))
        for finger in fingers:
            lift(driver, finger)
        driver.frames(1, 0.05)
    assert tapped == []
    for count in range(1, 121):
        place = (button.center_x + chance.uniform(-30, 30), button.center_y)
        finger = driver.press(place)
        driver.move(finger, (place[0] + chance.uniform(-2, 2) * per_mm, place[1] + chance.uniform(-2, 2) * per_mm))
        driver.frames(1, chance.uniform(0.02, 0.26))
        driver.release(finger)
        assert len(tapped) == count
        driver.frames(1, 0.31)


@pytest.mark.parametrize("lasts", [0.031, 0.08, 0.12, 0.3])
def test_a_tap_that_comes_and_goes_between_two_frames_counts(bench, lasts):
    """On a slow display press and release wait for the same frame; the time that the finger was down counts."""
    driver, tapped = bench
    touch_within_a_frame(driver, driver.find_text("cut"), lasts)
    assert tapped == ["cut"]
    assert driver.find_text("cut").pressed, "it is seen all the same"
    driver.run_for(0.4, 0.05)
    assert not driver.find_text("cut").pressed


def test_ghosts_that_come_and_go_between_two_frames_do_not(bench):
    driver, tapped = bench
    chance = random.Random(SEED)
    button = driver.find_text("cut")
    for _ in range(300):
        touch_within_a_frame(driver, button, chance.uniform(0.0, 0.0299))
        driver.frames(1, 0.35)
    for _ in range(20):
        fingers = [touch(driver, (button.center_x + 40 * n, button.center_y)) for n in (-1, 0, 1)]
        for finger in fingers:
            finger.time_end = finger.time_start + 0.1
            driver._hand.queue.append(("end", finger))
        driver.frames(1, 0.3)
    assert tapped == [], "neither short ones nor a palm"


def test_in_a_list_such_a_tap_chooses_its_row(run_app):
    from tracker.screens.toolkit.widgets import QueueList, RowView

    chosen: list[Any] = []

    def make() -> Any:
        queue = QueueList(rows=[RowView(title=f"Leg {n}", tone="ready", key=n) for n in range(1, 4)])
        queue.bind(on_choose=lambda _queue, key: chosen.append(key))
        return queue

    driver = run_app(app_of(make))
    touch_within_a_frame(driver, driver.find_text("Leg 2").parent.parent, 0.01)
    driver.run_for(0.6, 0.05)
    assert chosen == []
    touch_within_a_frame(driver, driver.find_text("Leg 2").parent.parent, 0.09)
    driver.run_for(0.6, 0.05)
    assert chosen == [2]


def test_what_landed_before_the_new_screen_was_drawn_was_meant_for_the_last_one(bench):
    """The input system reports how long the contact waited for its frame, and this time counts as part of its age."""
    from tracker.screens.toolkit.touch import WAITED

    driver, tapped = bench
    driver.app.guard.screen_changed()
    driver.frames(1, 0.1)  # drawn: from here on a quarter of a second
    driver.frames(1, 0.4)
    finger = touch(driver, driver.find_text("cut").center)
    finger.ud[WAITED] = 0.3
    driver.frames(1)
    driver.run_for(0.1)
    driver.release(finger)
    assert tapped == []
    driver.tap(driver.find_text("cut"))
    assert tapped == ["cut"]
