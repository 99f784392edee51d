"""Every screen of the tour, on both glasses and in both themes: nothing cut off, nothing overlaps, nothing too small.

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

from tracker.screens.app import KerfcardApp
from tracker.screens.fraction import BigReading
from tracker.screens.stage import HandTime
from tracker.screens.tour import GLASSES, Guide, itinerary
from tracker.shop import Shop


@pytest.mark.parametrize("theme", ["day", "shop"])
@pytest.mark.parametrize("glass", GLASSES)
def test_every_screen_of_the_tour(
    glass: str,
    theme: str,
    run_app: Callable[..., Driver],
    hand_time: HandTime,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))  # paths read as in a person's own folder
    width, height, dpi = GLASSES[glass]
    shop = Shop(tmp_path / "kerfcard", StoryClock(hand_time))
    shop.settings["theme"] = theme
    app = KerfcardApp(shop)
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
