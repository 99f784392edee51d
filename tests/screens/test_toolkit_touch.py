"""What counts as a tap: fingers do, chips and sleeves don't."""

from __future__ import annotations

import random
from typing import Any

import pytest

SEED = 20260302


def app_of(make: Any) -> Any:
    """An app that shows what `make()` returns, behind the ghost guard."""
    from kivy.app import App

    from tracker.screens.toolkit.theme import Theme
    from tracker.screens.toolkit.touch import GhostGuard
    from tracker.screens.toolkit.widgets import load_toolkit

    class One(App):
        def __init__(self) -> None:
            super().__init__()
            self.theme = Theme()
            self.guard = GhostGuard()

        def load_config(self) -> None:
            return None

        def load_kv(self, filename: str | None = None) -> bool:
            return False

        def build(self) -> Any:
            load_toolkit()
            return make()

        def on_start(self) -> None:
            self.guard.attach()

        def on_stop(self) -> None:
            self.guard.detach()

    return One()


@pytest.fixture
def bench(run_app):
    """Two buttons side by side, and what was tapped."""
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


def test_a_tap_acts_once_at_release_and_shows_at_the_touch(bench):
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
        fingers = [_touch(driver, place) for place in places[: chance.choice((1, 1, 2, 3, 10))]]
        driver.frames(1, chance.uniform(0.005, 0.025))
        for finger in fingers:
            _lift(driver, finger)
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
    """On a slow display press and release wait for the same frame; what counts is how long the finger was down."""
    driver, tapped = bench
    _touch_within_a_frame(driver, driver.find_text("cut"), lasts)
    assert tapped == ["cut"]
    assert driver.find_text("cut").pressed, "it is seen all the same"
    driver.run_for(0.4, 0.05)
    assert not driver.find_text("cut").pressed


def test_ghosts_that_come_and_go_between_two_frames_do_not(bench):
    driver, tapped = bench
    chance = random.Random(SEED)
    button = driver.find_text("cut")
    for _ in range(300):
        _touch_within_a_frame(driver, button, chance.uniform(0.0, 0.0299))
        driver.frames(1, 0.35)
    for _ in range(20):
        fingers = [_touch(driver, (button.center_x + 40 * n, button.center_y)) for n in (-1, 0, 1)]
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
    _touch_within_a_frame(driver, driver.find_text("Leg 2").parent.parent, 0.01)
    driver.run_for(0.6, 0.05)
    assert chosen == []
    _touch_within_a_frame(driver, driver.find_text("Leg 2").parent.parent, 0.09)
    driver.run_for(0.6, 0.05)
    assert chosen == [2]


def test_what_landed_before_the_new_screen_was_drawn_was_meant_for_the_last_one(bench):
    """The input says that the contact waited for its frame: it is as old as its finger."""
    from tracker.screens.toolkit.touch import WAITED

    driver, tapped = bench
    driver.app.guard.screen_changed()
    driver.frames(1, 0.1)  # drawn: from here on a quarter of a second
    driver.frames(1, 0.4)
    finger = _touch(driver, driver.find_text("cut").center)
    finger.ud[WAITED] = 0.3
    driver.frames(1)
    driver.run_for(0.1)
    driver.release(finger)
    assert tapped == []
    driver.tap(driver.find_text("cut"))
    assert tapped == ["cut"]


def _touch_within_a_frame(driver: Any, target: Any, lasts: float) -> None:
    """A contact of so many seconds, by its own time stamps, whose begin and end are taken in one frame."""
    driver.frames(2)
    finger = _touch(driver, target.to_window(*target.center))
    finger.time_end = finger.time_start + lasts
    driver._hand.queue.append(("end", finger))
    driver.frames(1, max(0.05, lasts))


def _touch(driver: Any, place: tuple[float, float]) -> Any:
    """A contact that begins in the next frame, with others."""
    from tracker.tour.headless import Finger

    driver._count += 1
    finger = Finger(driver._count, driver._place(place), driver.time.wall)
    driver._hand.queue.append(("begin", finger))
    return finger


def _lift(driver: Any, finger: Any) -> None:
    finger.time_end = driver.time.wall
    driver._hand.queue.append(("end", finger))


def test_what_destroys_must_be_held(run_app):
    from tracker.screens.toolkit.widgets import HoldButton

    held: list[str] = []

    def make() -> Any:
        button = HoldButton(text="Take this build off the bench")
        button.bind(on_held=lambda _: held.append("gone"), on_tap=lambda _: held.append("tapped"))
        return button

    driver = run_app(app_of(make))
    button = driver.app.root
    finger = driver.press(button)
    driver.run_for(0.5)
    assert 0.4 < button.progress < 0.6, "the ring fills"
    driver.release(finger)
    assert button.progress == 0
    assert held == ["tapped"], "a short touch only asks for a hint"
    driver.run_for(0.5)

    finger = driver.press(button)
    driver.run_for(0.5)
    driver.move(finger, (button.center_x, button.top + 200))
    driver.run_for(0.8)
    driver.release(finger)
    assert held == ["tapped"], "sliding off cancels"

    driver.hold(button, 1.1)
    assert held == ["tapped", "gone"]


def test_a_row_shows_the_touch_within_a_tenth_of_a_second_and_is_chosen(run_app):
    from tracker.screens.toolkit.widgets import QueueList, RowView

    chosen: list[Any] = []

    def make() -> Any:
        queue = QueueList(
            rows=[RowView(title=f"Leg {n} of 40", subtitle="600 mm", tone="ready", key=n) for n in range(1, 41)]
        )
        queue.bind(on_choose=lambda _queue, key: chosen.append(key))
        return queue

    driver = run_app(app_of(make))
    row = driver.find_text("Leg 2 of 40").parent.parent
    finger = driver.press(row)
    driver.run_for(0.1)
    assert row.pressed
    driver.release(finger)
    driver.run_for(0.4)
    assert chosen == [2]

    driver.swipe((600, 300), (600, 800))
    assert chosen == [2], "a swipe scrolls and chooses nothing"
    assert driver.app.root.ids.view.scroll_y < 0.99
    driver.app.root.show(1)
    driver.frames(3)
    assert driver.app.root.ids.view.scroll_y > 0.9
    driver.tap_text("Down")
    assert driver.find_text("Up").disabled is False
    driver.app.root.show(40)
    driver.frames(3)
    assert driver.find(title="Leg 40 of 40")


def test_a_row_that_turns_into_another_under_the_finger_chooses_nothing(run_app):
    from tracker.screens.toolkit.widgets import QueueList, RowView

    chosen: list[Any] = []
    rows = [RowView(title=f"Leg {n}", tone="ready", key=n) for n in (1, 2)]

    def make() -> Any:
        queue = QueueList(rows=rows)
        queue.bind(on_choose=lambda _queue, key: chosen.append(key))
        return queue

    driver = run_app(app_of(make))
    finger = driver.press(driver.find_text("Leg 1").parent.parent)
    driver.run_for(0.1)
    driver.app.root.rows = rows[::-1]
    driver.run_for(0.1)
    driver.release(finger)
    driver.run_for(0.4)
    assert chosen == []
    driver.tap(driver.find_text("Leg 1").parent.parent)
    assert chosen == [1]


def test_two_quick_taps_on_a_key_are_two_letters(run_app):
    from tracker.screens.toolkit.widgets import CodeKeypad

    entered: list[str] = []

    def make() -> Any:
        keypad = CodeKeypad()
        keypad.bind(on_entered=lambda _keypad, code: entered.append(code))
        return keypad

    driver = run_app(app_of(make))
    for _ in range(2):
        finger = driver.press(driver.find_text("7"))
        driver.run_for(0.05)
        driver.release(finger)
    driver.run_for(0.1)
    assert driver.app.root.code == "77"
    driver.tap_text("Erase")
    for sign in "BCDEFGHJK":
        driver.tap_text(sign)
    assert entered == ["7BCDEFGHJK"]


def test_a_sheet_lies_over_everything(run_app):
    from kivy.uix.floatlayout import FloatLayout

    from tracker.screens.toolkit.widgets import BigButton, Option, Panel

    log: list[Any] = []

    def make() -> Any:
        root = FloatLayout()
        below = BigButton(text="below", size_hint=(1, 1))
        below.bind(on_tap=lambda _: log.append("below"))
        root.add_widget(below)
        return root

    driver = run_app(app_of(make))
    panel = Panel(title="Where are you?", options=[Option(key="saw", text="Saw"), Option(key="drill", text="Drill")])
    panel.bind(on_choose=lambda _panel, key: log.append(key), on_cancel=lambda _: log.append("cancelled"))
    panel.open_on(driver.app.root)
    driver.frames(3)
    driver.tap((30, 30))
    assert log == [], "a touch beside the sheet does nothing"
    driver.tap_text("Drill")
    assert log == ["drill"]
    assert panel.parent is None
    panel.open_on(driver.app.root)
    driver.tap_text("Back")
    assert log == ["drill", "cancelled"]


@pytest.mark.parametrize(("size", "first_row"), [((1920, 1200), "QWERTYUIOP"), ((1200, 1920), "ABCDE")])
def test_letters_are_laid_out_as_on_a_keyboard_where_ten_have_room(run_app, size, first_row):
    """Keys of at least 19 mm, 3 mm apart, in reading order."""
    from tracker.screens.toolkit.keypad import LETTER, Key, Letters

    typed: list[str] = []

    def make() -> Any:
        letters = Letters()
        letters.bind(on_key=lambda _letters, key: typed.append(key))
        return letters

    driver = run_app(app_of(make), size, 224)
    keys = sorted(driver.find(Key), key=lambda key: (-round(key.to_window(*key.center)[1]), key.to_window(*key.pos)[0]))
    assert "".join(key.key for key in keys).startswith(first_row)
    assert len(keys) == 26
    mm = keys[0].mm
    assert min(min(key.size) for key in keys) >= (LETTER if len(first_row) == 10 else 15) * mm - 0.1
    for key in keys[:3]:
        driver.tap(key)
    assert "".join(typed) == first_row[:3]
