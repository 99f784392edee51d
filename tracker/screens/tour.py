"""The tour: the real app driven by touches through sample builds, with a picture of every screen. Needs no display."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tracker.assets import asset_dir
from tracker.screens.app import KerfcardApp
from tracker.screens.stage import HandTime, Stage
from tracker.shop import Shop
from tracker.work.clocks import Now
from tracker.work.decide import Do, next_step

GLASSES = {"1920x1200": (1920, 1200, 224.0), "1280x800": (1280, 800, 149.0)}
"""Name, points and density of the tablets that the pictures are taken on: the same glass of 218 × 136 mm."""
MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Stop:
    """One picture of the tour: its name, and what is done to get there."""

    name: str
    go: Callable[[Guide], None]


class Guide:
    """Drives the app by its own widgets."""

    def __init__(self, app: KerfcardApp, stage: Stage) -> None:
        self.app, self.stage = app, stage

    def go(self, place: str) -> None:
        """To a place of the rail, by a tap."""
        rail = self.app.root.ids.rail
        self.stage.tap(next(button for button in rail.children if button.place == place))

    def open(self, sample: str) -> None:
        """A sample build, from the list of builds."""
        self.go("builds")
        rows = self.app.root.screen.ids.list
        rows.dispatch("on_choose", str(asset_dir("sample_projects") / f"{sample}.toml"))
        self.stage.frames(3)

    def stand_at(self, station: str) -> None:
        """Take the tablet to a station."""
        self.app._stand_at(station)
        self.stage.frames(3)

    def hold(self, key: str) -> None:
        """A piece or an assembly into the hand."""
        self.app.take(key)
        self.stage.frames(3)

    def work(self, key: str, until: str = "") -> None:
        """Do an item's steps, and first those of all that goes into it, up to but without `until`."""
        floor = self.app.floor()
        for member in floor.item(key).members:
            self.work(member)
        while (step := next_step(floor.run, self.app.shop.state, floor.item(key))) and step.id != until:
            self.app.act(Do(key, step.id, "Tested: ready"))

    def wait(self, seconds: float) -> None:
        """Time goes by."""
        self.stage.jump(seconds)
        self.stage.run_for(2.0, 0.5)


STOPS = (
    Stop("01 builds", lambda g: g.go("builds")),
    Stop("02 queue and card at the saw", lambda g: g.open("planter")),
    Stop("03 trimming a leaning side", lambda g: (g.app.act(Do("side:1", "cut")), g.hold("side:1"))),
    Stop("04 choosing a station", lambda g: g.app.choose_station()),
    Stop("05 what waits for what", lambda g: (g.app.root.children[0].dismiss(), g.hold("ring:1"))),
    Stop("06 going ahead anyway", lambda g: g.app.offer_anyway(g.app.root.screen.card.action)),
    Stop("07 glue spread", lambda g: (g.app.root.children[0].dismiss(), g.work("ring:1", "clamp"), g.wait(95))),
    Stop("08 in clamps", lambda g: (g.app.act(Do("ring:1", "clamp")), g.wait(1300))),
    Stop("09 clocks", lambda g: g.go("clocks")),
    Stop("10 labels", lambda g: (g.go("labels"), g.app.root.screen.make_all())),
    Stop("11 scan", lambda g: g.go("scan")),
    Stop("12 a code that is not ours", lambda g: g.app.scanned("ABCDE12345")),
    Stop("13 stool leg", lambda g: (g.open("stool"), g.app.act(Do("leg:1", "cut")), g.hold("leg:1"))),
    Stop("14 hall bench at the saw", lambda g: g.open("hall_bench")),
    Stop("15 finishing", lambda g: g.stand_at("finishing")),
)


def take_tour(folder: Path, theme: str = "day") -> Iterator[Path]:
    """Save every picture in every size; yields their paths. Kivy must not have been imported before `prepare`."""
    folder.mkdir(parents=True, exist_ok=True)
    time = HandTime()
    for glass, (width, height, dpi) in GLASSES.items():
        with tempfile.TemporaryDirectory() as home:
            os.environ["HOME"] = home  # so that paths on the screens are a person's: ~/kerfcard/labels
            shop = Shop(Path(home) / "kerfcard", Watch(time))
            shop.settings["theme"] = theme
            app = KerfcardApp(shop)
            stage = Stage(app, time)
            stage.start()
            stage.resize(width, height, dpi)
            guide = Guide(app, stage)
            for stop in STOPS:
                stop.go(guide)
                stage.run_for(1.0, 0.1)
                yield stage.save(folder / f"{stop.name} {glass}.png".replace(" ", "-"))
            stage.stop()
    time.forget()


class Watch:
    """The shop's clock on the tour: the morning of a day, and then as the stage's time goes."""

    def __init__(self, time: HandTime) -> None:
        self._time, self._start = time, time.boot

    def __call__(self) -> Now:
        passed = self._time.boot - self._start
        return Now(datetime.fromtimestamp(MORNING.timestamp() + passed, UTC), "tour", self._time.boot)
