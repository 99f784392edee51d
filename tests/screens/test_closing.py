"""Closing the window: at once if no wait runs; otherwise the app first says that no alarm will sound, and asks for a
held button."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kit import walk
from kit.driver import Driver
from kit.story import Maker, new_app
from kivy.base import EventLoop
from kivy.core.window import Window

from tracker.screens.overlays.closing import ClosingSheet
from tracker.screens.toolkit.buttons import HoldButton
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES
from tracker.work.decide.intents import Do


@pytest.fixture(params=["1280x800", "1200x1920", "800x480"])
def maker(
    request: pytest.FixtureRequest, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> Iterator[Maker]:
    width, height, dpi = SCREEN_SIZES[request.param]
    maker = Maker(run_app(new_app(tmp_path, hand_time), (width, height), dpi))
    maker.open("Kitchen stool")
    yield maker
    EventLoop.quit = False


def put_in_clamps(maker: Maker) -> None:
    for step in ("dry fit", "spread", "clamp"):
        maker.app.act(Do("frame:1", step, "Tested: ready"))
    maker.driver.run_for(0.5, 0.1)


def ask_to_close() -> bool:
    """Do what Kivy does when the window manager asks; returns whether the window stays open."""
    return bool(Window.dispatch("on_request_close"))


def sheets(maker: Maker) -> list[ClosingSheet]:
    return maker.driver.find(ClosingSheet)


def test_nothing_runs_and_nothing_is_asked(maker: Maker) -> None:
    assert not ask_to_close()
    assert not sheets(maker)


def test_while_a_wait_runs_it_says_that_nothing_will_call(maker: Maker) -> None:
    put_in_clamps(maker)
    entries = len(maker.app.shop.entries())
    assert ask_to_close()
    maker.driver.run_for(0.5, 0.1)
    (sheet,) = sheets(maker)
    assert not maker.driver.judge(*walk.ALL_RULES)
    assert "clamp time" in sheet.card.title
    assert "can't call you" in sheet.card.said
    assert ask_to_close(), "asked twice, it is still open"
    assert len(sheets(maker)) == 1

    hold = next(button for button in maker.driver.find(HoldButton) if button.text == "Close Kerfcard")
    maker.driver.tap(hold)
    assert sheets(maker), "a tap closes nothing"
    assert not EventLoop.quit
    maker.driver.tap_text("Keep it open")
    assert not sheets(maker)
    assert len(maker.app.shop.entries()) == entries


def test_held_it_closes_and_the_wait_goes_on(maker: Maker) -> None:
    put_in_clamps(maker)
    assert ask_to_close()
    maker.driver.run_for(0.5, 0.1)
    ended = []
    maker.app.stop = lambda: ended.append(True)
    maker.driver.hold(next(button for button in maker.driver.find(HoldButton) if button.text == "Close Kerfcard"))
    del maker.app.stop
    assert ended == [True]


def test_a_wait_that_is_over_and_was_not_answered_is_named(maker: Maker) -> None:
    put_in_clamps(maker)
    maker.driver.jump(24 * 3600)
    maker.driver.run_for(1.0, 0.5)
    assert ask_to_close()
    assert "The clamps can come off" in sheets(maker)[0].card.title
