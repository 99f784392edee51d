"""The tour: the real app driven by touches through sample builds, with a picture of every screen. Needs no display."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime
from itertools import product
from pathlib import Path
from typing import Any

from kivy.uix.widget import Widget
from msgspec import Struct

from tracker.screens.device.this_screen import ThisScreen
from tracker.screens.places.more import Tile
from tracker.screens.start import app_on
from tracker.screens.toolkit.buttons import BigButton, Plate, SmallButton
from tracker.screens.toolkit.keypad import Key
from tracker.screens.toolkit.lists import ListRow
from tracker.tour.boards import boards
from tracker.tour.glueup import finish_and_prove, glue_up
from tracker.tour.headless import HandTime, Stage
from tracker.tour.piece import piece_stops
from tracker.tour.shell import behind_more, first_minute, odd_files, scan_stops
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Do, next_step

GLASSES = {
    "1920x1200": (1920, 1200, 224.0),
    "1280x800": (1280, 800, 149.0),
    "2560x1600": (2560, 1600, 299.0),
    "800x480": (800, 480, 133.0),
    "1200x1920": (1200, 1920, 224.0),
    "800x1280": (800, 1280, 149.0),
    **{f"{dpi} dpi": (round(217.6 / 25.4 * dpi), round(136 / 25.4 * dpi), float(dpi)) for dpi in (160, 240, 320)},
}
"""Name, points and density of the tablets that the pictures are taken on: all but one of the same glass of
218 × 136 mm, lying or standing upright; the one of 800 × 480 points measures 153 × 92 mm, and all on it is smaller."""


class Look(Struct, frozen=True):
    """How the tablet is looked at: its glass, its light, the hand that works it, and the units it reads lengths in."""

    glass: str
    theme: str = "day"
    hand: str = "right"
    units: str = ""

    @property
    def name(self) -> str:
        """`1920x1200 day right`."""
        return f"{self.glass} {self.theme} {self.hand}{f' {self.units}' if self.units else ''}"


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
"""Both lights, both hands, lying and upright; then the other glasses, and lengths in other units than the file's."""
FEW = (Look("1920x1200"), Look("1200x1920", "shop", "left"))
MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


class Guide:
    """Drives the app by its own widgets, as a finger would."""

    def __init__(self, app: Any, stage: Stage) -> None:
        self.app, self.stage = app, stage

    @property
    def run(self) -> str:
        """The name of the run in hand."""
        return self.app.floor().run.name

    def go(self, place: str) -> None:
        """To a place, by taps: of the rail, or behind its `more`."""
        self.stage.run_for(0.4, 0.1)  # for a moment after a screen changed the glass is deaf
        for button in self.app.root.ids.rail.children:
            if button.place == place:
                self.stage.tap(button)
                return
        self.choose_tile(place)

    def choose_tile(self, name: str) -> None:
        """A tile behind `more`."""
        self.go("more")
        self._tap(self.app.root.screen, Tile, name=name)

    def choose_row(self, title: str) -> None:
        """A row of the list that is shown."""
        self._tap(self.app.root.screen, ListRow, title=title)

    def open(self, name: str) -> None:
        """A sample build, from the list of builds."""
        self.go("builds")
        self.let_work()  # files are read in the background
        self._tap(self.app.root.screen, ListRow, title=name)

    def stand_at(self, station: str) -> None:
        """Take the tablet to a station."""
        self.go("station")
        self.go("station")
        self._tap(self.app.root, BigButton, text=station)

    def tap_button(self) -> None:
        """The large button of the card, ready or not."""
        self._tap(self.app.root.screen, BigButton)

    def leave_panel(self) -> None:
        """Back from whatever lies over the screen."""
        self._tap(self.app.root.children[0], SmallButton, text="back")

    def tap_kind(self, kind: type[Widget], at: int = 0, **values: str) -> None:
        """The widget of a kind that is `at` in the order of what lies on top, as a finger would."""
        self.stage.run_for(0.4, 0.1)
        top = self.app.root.children[0] if len(self.app.root.children) > 1 else self.app.root.screen
        found = [each for each in top.walk() if isinstance(each, kind)]
        self.stage.tap([each for each in found if all(getattr(each, n) == v for n, v in values.items())][at])

    def _tap(self, under: Widget, kind: type[Widget], **values: str) -> None:
        for widget in under.walk():
            if isinstance(widget, kind) and all(getattr(widget, name, "") == value for name, value in values.items()):
                self.stage.tap(widget)
                return
        raise LookupError(f"there is no {kind.__name__} {values} on the screen")

    def hold(self, key: str) -> None:
        """A piece or an assembly into the hand."""
        self.app.take(key)
        self.stage.run_for(0.4, 0.1)  # for a moment after a screen changed the glass is deaf

    def show_lay(self) -> None:
        """How the piece lies on the saw."""
        self.this_piece("How it lies")

    def this_piece(self, option: str = "") -> None:
        """What else can be done with the piece in hand, and one of it."""
        self._tap(self.app.root.screen, SmallButton, text="this piece")
        if option:
            self.choose(option)

    def choose(self, option: str) -> None:
        """An option of the panel that lies over the screen."""
        self._tap(self.app.root.children[0], BigButton, text=option)

    def tap_words(self, words: str) -> None:
        """A button of whatever lies over the screen."""
        self._tap(self.app.root.children[0], Plate, text=words)

    def press_key(self, key: str) -> None:
        """A key of whatever lies over the screen."""
        self._tap(self.app.root.children[0], Key, key=key)

    def work(self, key: str, until: str = "") -> None:
        """Do an item's steps, and first those of all that goes into it, up to but without `until`."""
        floor = self.app.floor()
        for member in floor.item(key).members:
            self.work(member)
        while (step := next_step(floor.run, self.app.shop.state, floor.item(key))) and step.id != until:
            self.app.act(Do(key, step.id, "Tested: ready", run=self.run))

    def let_work(self) -> None:
        """Until the worker has done all that it was given, and the screen shows it."""
        self.app.worker.submit(lambda: None, lambda _: None).result()
        self.stage.frames(2)

    def wait(self, seconds: float) -> None:
        """Time goes by."""
        self.stage.jump(seconds)
        self.stage.run_for(2.0, 0.5)


def itinerary(guide: Guide) -> Iterator[str]:
    """Through every screen; yields the name of what is on the glass now."""
    app = guide.app
    yield from first_minute(guide)
    guide.go("builds")
    yield "01 builds"
    guide.open("Doorstep planter")
    yield "02 queue and card at the saw"
    guide.hold("side:1")
    guide.tap_button()
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
    guide.tap_words("other labels")
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
    yield from finish_and_prove(guide)
    guide.open("Hall bench")
    yield "15 hall bench at the saw"
    yield from boards(guide)
    guide.stand_at("Finishing")
    yield "16 nothing ready here"
    yield from behind_more(guide)
    yield from odd_files(guide)


def take_tour(folder: Path, looks: Iterable[Look] = LOOKS) -> Iterator[Path]:
    """Save every screen in every look; yields the paths. Kivy must not have been imported before `prepare`."""
    folder.mkdir(parents=True, exist_ok=True)
    time = HandTime()
    for look in looks:
        width, height, dpi = GLASSES[look.glass]
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
    screen.keep_card(GLASSES[look.glass][2])
    settings = {"theme": look.theme, "handed": look.hand, "units": look.units, **settings}
    return app_on(home, screen=screen, clock=clock, settings=settings)


class TourClock:
    """The shop's clock on the tour: the morning of a day, and then as the stage's time goes."""

    def __init__(self, time: HandTime) -> None:
        self._time, self._start = time, time.boot

    def __call__(self) -> Now:
        passed = self._time.boot - self._start
        return Now(datetime.fromtimestamp(MORNING.timestamp() + passed, UTC), "tour", self._time.boot)
