"""The real app for measuring scripts: no pixels, simulated touches, explicit time."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any


def screen_without_pixels(points: tuple[int, int] = (1920, 1200), dpi: float = 224.0) -> Callable[[Any], Any]:
    """Import Kivy without pixels; returns a function that starts an app on such a screen and gives its Driver. Once for
    the process."""
    os.environ["KERFCARD_TEST_DISPLAY"] = "null"
    from kit import display

    display.environment()
    display.open_window()
    from kit.driver import Driver
    from tracker.tour.headless import HandTime, resize

    time = HandTime()

    def start(make: Callable[[Any], Any]) -> Driver:
        resize(*points, dpi)
        driver = Driver(make(time), time)
        driver.start()
        return driver

    return start


def maker_at_the_saw(start: Callable[[Any], Any], home: Path) -> Any:
    """A Maker with the first piece of a sample build on the card."""
    from kit.story import Maker, new_app

    maker = Maker(start(lambda time: new_app(home, time)))
    maker.open("Doorstep planter")
    maker.scan("side:1")
    return maker
