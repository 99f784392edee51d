"""Kill the app at any moment during real taps, and check the log.

    python tests/faults killed [COUNT] [SEED] [--careless]

works on sample builds by touch in a separate process and kills it (SIGKILL) at a random moment: while it starts,
between two taps or within one. Each fact that the app has shown as done was reported through a pipe before; the log
must still have every one of them, word for word, and must open without a complaint. A home folder is used for up to
five kills before it is checked, so that the app also starts from what a killed one left. Exits 1 when anything was
lost. `--careless` shows that the test can fail: there the log keeps its facts only in memory.

One process imports Kivy and opens the app once; every process that is killed is forked from it.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from faults.shown import Shown, read_home
from faults.witness import Say, Witness, told

from tracker.store.recovery import TORN

CARELESS = "--careless" in sys.argv
LONGEST_START = 0.4
"""Seconds within which an app that is to be killed during its start is killed."""
MOST_TAPS = 24
LONGEST_TAP = 0.03
"""Seconds: an app killed later is killed at most this long after a random one of its taps; about three taps."""


@dataclass
class Home:
    """A folder in which apps were killed, and what they had shown as done."""

    folder: Path
    shown: Shown = field(default_factory=Shown)
    complaints: list[str] = field(default_factory=list)
    kills: int = 0
    torn: int = 0
    """How often a cut write was rightly reported: a mark that was never shown may be missing."""
    finished: bool = False

    def hear(self, notice: str) -> None:
        """The message at an opening: by an app that starts from what a killed one left, or when the log is read."""
        if notice == TORN:
            self.torn += 1
        elif notice:
            self.complaints.append(notice)


def prepare() -> Callable[[Path], Any]:
    """Import everything and open the app once, without pixels; returns a function that starts another app in a home
    folder."""
    os.environ["KERFCARD_TEST_DISPLAY"] = "null"  # layout, touches and the log are real, and it is fast
    from kit import display, nullwindow

    display.environment()
    display.open_display()
    nullwindow.install(display.CANVAS)
    from kit.driver import Driver
    from kit.story import new_app

    from tracker.tour.headless import HandTime, resize

    hand = HandTime()
    resize(1920, 1200, 224.0)

    def start(home: Path) -> Any:
        driver = Driver(new_app(home, hand), hand)
        driver.start()
        return driver

    with tempfile.TemporaryDirectory() as folder:
        start(Path(folder)).stop()
    return start


def work(start: Callable[[Path], Any], home: Path, say: Say, chance: random.Random) -> None:
    """Work on one build after another by touch; `say` reports each fact as soon as the app has shown it."""
    from kit.story import SCENARIOS, Maker

    driver = start(home)
    shop = driver.app.shop
    if CARELESS:
        shop._log._write = lambda rows, tails: setattr(shop._log, "_tails", tails)
    if shop.notice:
        say({"complaint": shop.notice})
    say("ready")
    said = 0

    def tell(*_: str) -> None:
        nonlocal said
        entries = shop.entries()
        for entry in entries[said:]:
            say(told(entry))
        said = len(entries)

    tell()
    maker = Maker(driver, tell)
    current = [each for each in SCENARIOS if shop.run and each.name == shop.run.build.name]
    for scenario in [*current, *chance.sample(SCENARIOS, len(SCENARIOS))]:
        if shop.run is None or scenario.name != shop.run.build.name:
            maker.open(scenario.name)
            tell()
        pieces = [item.key for item in shop.run.pieces]
        # What a killed app left may be in clamps; then the maker goes on to the next piece.
        for key in [scenario.drilled, *chance.sample(pieces, len(pieces)), scenario.assembly]:
            maker.scan(key)
            while maker.can_go_on():
                maker.do_next()
    say("end")


def kill_one(start: Callable[[Path], Any], home: Home, chance: random.Random) -> None:
    """Fork an app on this home folder, and kill it at a random moment; its last reports are recorded."""
    seed, early = chance.random(), chance.random() < 0.2
    app = Witness(lambda say: work(start, home.folder, say, random.Random(seed)))
    app.wait_for(0 if early else 1 + chance.randrange(MOST_TAPS))
    time.sleep(chance.random() * (LONGEST_START if early else LONGEST_TAP))
    app.kill()
    home.kills += 1
    home.shown.told.update(app.facts())
    for complaint in app.complaints():
        home.hear(complaint)
    home.finished = "end" in app.heard()


def look(home: Home) -> int:
    """Open the log that the killed apps left: how many facts that were shown as done are lost or changed."""
    entries, notice = read_home(home.folder)
    home.hear(notice)
    return len(home.shown.missing(entries))


def main(words: list[str]) -> int:
    numbers = [int(each) for each in words if each != "--careless"]
    count, seed = (numbers + [100, 20260302][len(numbers) :])[:2]
    chance = random.Random(seed)
    start = prepare()
    kills = told = lost = reopened = torn = 0
    complaints: list[str] = []
    began = time.monotonic()
    while kills < count:
        with tempfile.TemporaryDirectory() as folder:
            home = Home(Path(folder) / "home")
            for _ in range(min(chance.randint(1, 5), count - kills)):
                kill_one(start, home, chance)
                if home.finished:
                    break
            lost += look(home)
        kills, told, reopened = kills + home.kills, told + len(home.shown.told), reopened + home.kills
        complaints += home.complaints
        torn += home.torn
        if kills // 500 > (kills - home.kills) // 500:
            print(f"{kills} kills, {told} facts shown as done, {lost} lost, {len(complaints)} complaints", flush=True)
    print(f"{kills} kills in {time.monotonic() - began:.0f} s: {told} facts shown as done, {lost} lost;", end=" ")
    print(f"{reopened} logs opened again, {len(complaints)} not sound; {torn} said that a write was cut short")
    for complaint in complaints[:10]:
        print(complaint)
    return 1 if lost or complaints else 0
