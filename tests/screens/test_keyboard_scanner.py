"""A handheld scanner that types, on a tablet with slow frames, and with the characters that scanners put around a
code."""

from __future__ import annotations

import random

import pytest
from kit.driver import Driver

from tracker.scan.typed import Typed, read_keys
from tracker.work.codes import code_for

CODES = [code_for("stool", f"leg:{number}") for number in range(40)]
FRAME = 1 / 60


@pytest.fixture
def scanner(run_app):
    from kit.one_widget import app_of
    from kivy.uix.widget import Widget

    from tracker.screens.device.keyboard_scanner import KeyboardScanner

    answers: list[Typed] = []
    driver = run_app(app_of(Widget))
    device = KeyboardScanner(lambda text: read_keys(text, CODES), answers.append)
    device.attach()
    yield driver, answers
    device.detach()


def deliver(driver: Driver, *polls: tuple[str, float]) -> None:
    """Each poll hands over the keys since the last one; then a frame of the given seconds passes."""
    for keys, seconds in polls:
        for key in keys:
            driver.key({"\n": "enter", "\t": "tab"}.get(key, key))
        driver.frames(1, seconds)


def settle(driver: Driver) -> None:
    driver.run_for(0.5)


@pytest.mark.parametrize("seconds", [0.1, 0.25, 1.0, 3.0])
@pytest.mark.parametrize("cut", range(11))
def test_a_frame_that_stalls_anywhere_in_a_burst_loses_nothing(scanner, cut: int, seconds: float):
    driver, answers = scanner
    keys = f"{CODES[cut]}\n"
    deliver(driver, (keys[:cut], seconds), (keys[cut:], FRAME))
    settle(driver)
    assert answers == [Typed(CODES[cut])]


def test_bursts_at_random_over_random_frames_all_arrive(scanner):
    driver, answers = scanner
    chance = random.Random(1)
    for code in CODES:
        keys, polls = f"{code}\n", []
        while keys:
            count = chance.choice((0, 1, 1, 2, 5, 11))
            polls.append((keys[:count], chance.choice((0.005, FRAME, FRAME, 0.03, 0.1, 0.4))))
            keys = keys[count:]
        deliver(driver, *polls)
        settle(driver)
    assert [answer.code for answer in answers] == CODES
    assert not any(answer.trouble for answer in answers)


def test_a_scanner_that_sends_no_enter_is_read_when_the_keys_stop(scanner):
    driver, answers = scanner
    driver.scan_keys(CODES[3])
    settle(driver)
    assert answers == [Typed(CODES[3])]


AROUND = [
    *(("]Q1", "\n"), ("]q1", "\t"), ("", "\n\n"), ("\t", "\n"), ("KC", "\n"), ("", "01\n")),
    *(("ST\t", "\tEX\n"), ("]Q1", "")),
]


@pytest.mark.parametrize(("before", "after"), AROUND)
def test_what_scanners_put_around_a_code_is_taken_off(scanner, before: str, after: str):
    driver, answers = scanner
    for code in CODES[:4]:
        driver.scan_keys(f"{before}{code}{after}")
        settle(driver)
    assert [answer.code for answer in answers] == CODES[:4]
    assert not any(answer.trouble for answer in answers)


def test_control_keys_around_a_code_are_none_of_its_characters(scanner):
    """STX and ETX come as Ctrl+B and Ctrl+C (ISO/IEC 646: control characters 2 and 3)."""
    driver, answers = scanner
    driver.chord("ctrl", "b")
    driver.scan_keys(CODES[5])
    driver.chord("ctrl", "c")
    settle(driver)
    assert answers == [Typed(CODES[5])]


def test_a_burst_that_holds_no_code_is_said_once(scanner):
    driver, answers = scanner
    for keys in ("https://example.org/x\n", "4006381333931\n", f"{CODES[0][:6]}\n", CODES[0][:5], f"X{CODES[0][1:]}\n"):
        answers.clear()
        driver.scan_keys(keys)
        settle(driver)
        assert [answer.code for answer in answers] == [None], keys
        assert answers[0].trouble


def test_two_labels_in_one_burst_are_never_guessed_between(scanner):
    driver, answers = scanner
    driver.scan_keys(f"{CODES[0]}{CODES[1]}\n")
    settle(driver)
    assert [answer.code for answer in answers] == [None]
    assert "one at a time" in answers[0].trouble


def test_two_scans_one_after_the_other_are_two(scanner):
    driver, answers = scanner
    driver.scan_keys(f"{CODES[0]}\n{CODES[1]}\n")
    settle(driver)
    assert [answer.code for answer in answers] == CODES[:2]


def test_a_person_who_types_is_no_scanner(scanner):
    driver, answers = scanner
    driver.type("boards\n", gap=0.13)
    driver.type(f"{CODES[0]}\n", gap=0.15)
    driver.scan_keys("abc\n")
    settle(driver)
    assert answers == []


def test_the_enter_of_a_scan_is_swallowed_and_a_persons_is_not(scanner):
    from kivy.core.window import Window

    driver, _ = scanner
    seen: list[int] = []

    def keyboard(_window: object, key: int, *_rest: object) -> None:
        seen.append(key)

    Window.bind(on_keyboard=keyboard)
    driver.scan_keys(f"{CODES[0]}\n")
    settle(driver)
    assert 13 not in seen
    driver.key("enter")
    Window.unbind(on_keyboard=keyboard)
    assert 13 in seen
