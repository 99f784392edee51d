"""The pictures of the tour: the real app driven by touches, every screen saved. Needs no display."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from pathlib import Path

from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime, Stage
from tracker.tour.itinerary import itinerary
from tracker.tour.looks import LOOKS, SCREEN_SIZES, Look, app_with
from tracker.work.clocks.elapsed import Now

MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def take_tour(folder: Path, looks: Iterable[Look] = LOOKS) -> Iterator[Path]:
    """Save every screen in every look; yields the paths. Kivy must not have been imported before `prepare`."""
    folder.mkdir(parents=True, exist_ok=True)
    time = HandTime()
    for look in looks:
        width, height, dpi = SCREEN_SIZES[look.screen]
        with tempfile.TemporaryDirectory() as home:
            os.environ["HOME"] = home  # so that paths on the screens look like a person's: ~/kerfcard/labels
            app = app_with(look, Path(home) / "kerfcard", TourClock(time))
            stage = Stage(app, time)
            stage.start()
            stage.resize(width, height, dpi)
            guide = Guide(app, stage)
            for name in itinerary(guide):
                stage.run_for(1.0, 0.1)
                guide.let_work()  # drawings of furniture and outlines are made beside the screen
                yield stage.save(folder / f"{name} {look.name}.png".replace(" ", "-"))
            stage.stop()
    time.forget()


class TourClock:
    """The shop's clock on the tour: it starts in the morning and follows the stage's time."""

    def __init__(self, time: HandTime) -> None:
        self._time, self._start = time, time.boot

    def __call__(self) -> Now:
        passed = self._time.boot - self._start
        return Now(datetime.fromtimestamp(MORNING.timestamp() + passed, UTC), "tour", self._time.boot)
