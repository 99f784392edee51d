"""Every screen of the tour, on every screen size, in both lights, for both hands, in both units: nothing cut off,
nothing overlaps, nothing too small.

The sizes are those of the project's touch goals: targets of 22 mm while working, 15 mm for all else, text of at least
3.5 mm of capital height, the one number to cut to at least 14 mm.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from kit import walk
from kit.driver import Driver
from kit.story import StoryClock

from tracker.screens.toolkit.fraction import BigReading
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.itinerary import itinerary
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

LOOKS = (
    Look("1920x1200"),
    Look("1920x1200", "shop", "left"),
    Look("1280x800", "shop", units="in"),
    Look("2560x1600", "day", "left", "mm"),
    Look("800x480", units="in"),
    Look("800x480", "shop", "left", "mm"),
    Look("1200x1920", units="in"),
    Look("800x1280", "shop", "left", "mm"),
    *(Look(size, hand=hand) for size in ("160 dpi", "240 dpi", "320 dpi") for hand in ("right", "left")),
)


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name.replace(" ", "-"))
def test_every_screen_of_the_tour(
    look: Look,
    run_app: Callable[..., Driver],
    hand_time: HandTime,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))  # paths read as in a person's own folder
    width, height, dpi = SCREEN_SIZES[look.screen]
    app = app_with(look, tmp_path / "kerfcard", StoryClock(hand_time))
    driver = run_app(app, (width, height), dpi)
    guide = Guide(app, driver)
    wrong = []
    for name in itinerary(guide):
        driver.run_for(1.0, 0.2)
        wrong += [f"{name}: {violation}" for violation in driver.judge(*walk.ALL_RULES)]
        wrong += [
            f"{name}: the number is {reading.cap_mm} mm high"
            for reading in driver.find(BigReading)
            if reading.reading and reading.cap_mm < 14 and type(reading.reading).__name__ == "Reading"
        ]
    assert not wrong, "\n".join(wrong)
    errors = tmp_path / "kerfcard" / "errors.log"
    assert not errors.exists(), errors.read_text()
