"""The tour: the real app driven by touches through sample builds, with a picture of every screen. Needs no display."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime
from itertools import product
from pathlib import Path
from typing import Any

from msgspec import Struct

from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.start import app_on
from tracker.tour.boards import boards
from tracker.tour.glueup import finish_and_prove, glue_up, outline_stops
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime, Stage
from tracker.tour.piece import piece_stops
from tracker.tour.shell import behind_more, first_minute, odd_files, scan_stops
from tracker.tour.wood import rough_wood
from tracker.work.clocks.elapsed import Now

SCREEN_SIZES = {
    "1920x1200": (1920, 1200, 224.0),
    "1280x800": (1280, 800, 149.0),
    "2560x1600": (2560, 1600, 299.0),
    "800x480": (800, 480, 133.0),
    "1200x1920": (1200, 1920, 224.0),
    "800x1280": (800, 1280, 149.0),
    **{f"{dpi} dpi": (round(217.6 / 25.4 * dpi), round(136 / 25.4 * dpi), float(dpi)) for dpi in (160, 240, 320)},
}
"""Name, points and density of the tablets that the pictures are taken on: all but one of the same screen of
218 × 136 mm, lying or standing upright; the one of 800 × 480 points measures 153 × 92 mm, and all on it is smaller."""


class Look(Struct, frozen=True):
    """How the tablet is looked at: its screen, its light, the hand that works it, and the units it reads lengths in."""

    screen: str
    theme: str = "day"
    hand: str = "right"
    units: str = ""

    @property
    def name(self) -> str:
        """`1920x1200 day right`."""
        return f"{self.screen} {self.theme} {self.hand}{f' {self.units}' if self.units else ''}"


LOOKS = (
    *(Look(*each) for each in product(("1920x1200", "1200x1920"), ("day", "shop"), ("right", "left"))),
    Look("1280x800"),
    Look("800x1280", "shop", "left"),
    Look("2560x1600", "shop"),
    Look("800x480"),
    Look("800x480", "shop", "left", "mm"),
    Look("1280x800", units="in"),
    Look("1200x1920", units="mm"),
)
"""Both lights, both hands, lying and upright; then the other screens, and lengths in other units than the file's."""
FEW = (Look("1920x1200"), Look("1200x1920", "shop", "left"))
MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def itinerary(guide: Guide) -> Iterator[str]:
    """Through every screen; yields the name of what is on the screen now."""
    app = guide.app  # as long as the way is: a line a tap, a line a picture
    yield from first_minute(guide)
    guide.go("builds")
    yield "01 builds"
    guide.open("Doorstep planter")
    yield "02 queue and card at the saw"
    guide.hold("side:1")
    guide.tap_button()
    yield "02a on to the next of the same setting"
    guide.hold("side:1")
    yield "03 trimming a leaning side"
    guide.show_lay()
    yield "04 how it lies on the saw"
    guide.leave_panel()
    guide.go("station")
    yield "05 choosing a station"
    guide.leave_panel()
    guide.hold("ring:1")
    yield "06 what waits for what"
    guide.tap_button()
    yield "07 going ahead anyway"
    guide.leave_panel()
    yield from glue_up(guide)
    guide.go("labels")
    yield "11 labels"
    guide.tap_button()
    guide.let_work()
    yield "11a labels to print"
    guide.tap_words("Other labels")
    yield "11b other labels"
    guide.leave_panel()
    guide.go("scan")
    yield "12 scan"
    yield from scan_stops(guide)
    app.scanned("ABCDE12345")
    yield "13 a code that is not ours"
    guide.open("Kitchen stool")
    guide.tap_button()
    guide.hold("leg:1")
    yield "14 stool leg"
    yield from piece_stops(guide)
    yield from outline_stops(guide)
    yield from finish_and_prove(guide)
    guide.open("Hall bench")
    yield "15 hall bench at the saw"
    yield from boards(guide)
    yield from rough_wood(guide)
    guide.open("Hall bench")
    guide.stand_at("Finishing")
    yield "16 nothing ready here"
    yield from behind_more(guide)
    yield from odd_files(guide)


def take_tour(folder: Path, looks: Iterable[Look] = LOOKS) -> Iterator[Path]:
    """Save every screen in every look; yields the paths. Kivy must not have been imported before `prepare`."""
    folder.mkdir(parents=True, exist_ok=True)
    time = HandTime()
    for look in looks:
        width, height, dpi = SCREEN_SIZES[look.screen]
        with tempfile.TemporaryDirectory() as home:
            os.environ["HOME"] = home  # so that paths on the screens are a person's: ~/kerfcard/labels
            app = app_with(look, Path(home) / "kerfcard", TourClock(time))
            stage = Stage(app, time)
            stage.start()
            stage.resize(width, height, dpi)
            guide = Guide(app, stage)
            for name in itinerary(guide):
                stage.run_for(1.0, 0.1)
                yield stage.save(folder / f"{name} {look.name}.png".replace(" ", "-"))
            stage.stop()
    time.forget()


def app_with(look: Look, home: Path, clock: Callable[[], Now], **settings: str) -> Any:
    """The app as `kerfcard` starts it, on a new shop in `home`. The tablet is set as the look and `settings` say; its
    screen was measured."""
    screen = ThisScreen(home, environment={})
    screen.keep_card(SCREEN_SIZES[look.screen][2])
    settings = {"theme": look.theme, "handed": look.hand, "units": look.units, **settings}
    return app_on(home, screen=screen, clock=clock, settings=settings)


class TourClock:
    """The shop's clock on the tour: the morning of a day, and then as the stage's time goes."""

    def __init__(self, time: HandTime) -> None:
        self._time, self._start = time, time.boot

    def __call__(self) -> Now:
        passed = self._time.boot - self._start
        return Now(datetime.fromtimestamp(MORNING.timestamp() + passed, UTC), "tour", self._time.boot)
