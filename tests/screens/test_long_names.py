"""Every screen of the tour with names as long as people write them: no word is left out or cut off, so that two parts
whose names differ only in their last words can be told apart everywhere."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from kit import boxes, glance, walk
from kit.driver import Driver
from kit.long_names import BUILDS, long_name, write_long_builds
from kit.story import StoryClock

from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.itinerary import itinerary
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

LOOKS = [Look("1920x1200"), Look("1200x1920", "shop", "left")]
if os.environ.get("KERFCARD_GLANCE") == "all":
    LOOKS += [Look(size, "shop", "left") for size in ("1280x800", "2560x1600", "800x480", "800x1280")]


OF_A_TEST = ("/tmp/", "Your own build files", "put PNG or JPEG picture")
"""Sentences with a path that is longer than a person's."""


class LongGuide(Guide):
    """Opens the builds with long names."""

    def open(self, name: str) -> None:
        name = long_name(name) if name in BUILDS.values() else name
        self.go("builds")
        self.let_work()
        rows = self.app.root.screen.ids.list
        rows.show(next(row.key for row in rows.rows if row.title == name))
        self.stage.run_for(0.4, 0.1)
        super().open(name)


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name.replace(" ", "-"))
def test_no_screen_shortens_a_name(
    look: Look, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    width, height, dpi = SCREEN_SIZES[look.screen]
    app = app_with(look, tmp_path / "kerfcard", StoryClock(hand_time))
    driver = run_app(app, (width, height), dpi)
    write_long_builds(app.shop.library.folder)
    wrong: dict[str, str] = {}
    for name in itinerary(LongGuide(app, driver)):
        driver.run_for(1.0, 0.2)
        with boxes.at_rest():
            for fault in (*glance.left_out(app.root), *walk.truncated(app.root)):
                if not any(own in fault for own in OF_A_TEST):
                    wrong.setdefault(fault, name)
    assert not wrong, "\n".join(f"{name}: {fault}" for fault, name in wrong.items())
