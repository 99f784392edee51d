"""The reactions of held buttons, list rows, keypads and panels to a finger."""

from __future__ import annotations

from typing import Any

import pytest
from kit.one_widget import app_of


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
