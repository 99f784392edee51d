"""Kill the app at any moment of real tapping, and look at what the log kept.

    python tests/faults killed [COUNT] [SEED] [--careless]

works sample builds by touch in a process of its own and kills it (SIGKILL) at a random moment: while it starts, between
two taps or within one. Each fact that the app has shown as done was told through a pipe before; the log must still
have every one of them, word for word, and must open without a complaint. A home is killed up to five times before it
is looked at, so that the app itself also starts on what a killed one left. Exits 1 when anything was lost.
`--careless` shows that this can fail: there the log keeps its facts in memory alone.

One process imports Kivy and opens the app once; every process that is killed is forked from it.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

CARELESS = "--careless" in sys.argv
LONGEST_START = 0.4
"""Seconds in which an app that is killed while it starts is killed."""
MOST_TAPS = 24
LONGEST_TAP = 0.03
"""Seconds: one that is killed later is killed this long after a random one of its taps, at most; some three taps."""

FactKey = tuple[str, int]


@dataclass
class Home:
    """A folder that apps were killed in, and what they had shown as done."""

    folder: Path
    told: dict[FactKey, Any] = field(default_factory=dict)
    complaints: list[str] = field(default_factory=list)
    kills: int = 0
    finished: bool = False


def prepare() -> Callable[[Path], Any]:
    """Import everything and open the app once, on no pixels; returns what starts another app in a home folder."""
    os.environ["KERFCARD_TEST_DISPLAY"] = "null"  # layout, touches and the log are real, and it is quick
    from kit import display, nullwindow

    display.environment()
    display.open_display()
    nullwindow.install(display.CANVAS)
    from kit.driver import Driver
    from kit.story import new_app

    from tracker.screens.stage import HandTime, resize

    hand = HandTime()
    resize(1920, 1200, 224.0)

    def start(home: Path) -> Any:
        driver = Driver(new_app(home, hand), hand)
        driver.start()
        return driver

    with tempfile.TemporaryDirectory() as folder:
        start(Path(folder)).stop()
    return start


def work(start: Callable[[Path], Any], home: Path, say: Callable[[object], None], chance: random.Random) -> None:
    """Work one build after another by touch; `say` tells of each fact as soon as the app has shown it."""
    from kit.story import SCENARIOS, Maker

    from tracker.screens.lists import ListRow
    from tracker.work.facts import to_data

    driver = start(home)
    shop = driver.app.shop
    if CARELESS:
        shop._log._write = lambda rows, tails: setattr(shop._log, "_tails", tails)
    if shop.notice:
        say({"complaint": shop.notice})
    say("ready")
    said = 0

    def told(*_: str) -> None:
        nonlocal said
        entries = shop.entries()
        for entry in entries[said:]:
            say([entry.id, to_data(entry.fact)])
        said = len(entries)

    told()
    maker = Maker(driver, told)
    in_hand = [each for each in SCENARIOS if shop.run and each.name == shop.run.build.name]
    for scenario in [*in_hand, *chance.sample(SCENARIOS, len(SCENARIOS))]:
        if shop.run is None or scenario.name != shop.run.build.name:
            driver.app.go("builds")
            driver.run_for(0.4, 0.05)  # for a moment after a screen changes it is deaf
            driver.tap(next(row for row in driver.find(ListRow) if row.title == scenario.name))
            told()
        pieces = [item.key for item in shop.run.pieces]
        for key in [scenario.drilled, *chance.sample(pieces, len(pieces))]:
            maker.work(key)
        maker.glue_up(scenario.assembly)
    say("end")


def kill_one(start: Callable[[Path], Any], home: Home, chance: random.Random) -> None:
    """Fork an app on this home, and kill it at a random moment; its last words are taken down."""
    ear, mouth = os.pipe()
    seed, early = chance.random(), chance.random() < 0.2
    child = os.fork()
    if child == 0:
        os.close(ear)
        _child(start, home.folder, mouth, random.Random(seed))
    os.close(mouth)
    heard, lines = b"", 0 if early else 1 + chance.randrange(MOST_TAPS)
    while heard.count(b"\n") < lines and (more := os.read(ear, 65536)):
        heard += more
    time.sleep(chance.random() * (LONGEST_START if early else LONGEST_TAP))
    os.kill(child, signal.SIGKILL)
    while more := os.read(ear, 65536):
        heard += more
    os.close(ear)
    os.waitpid(child, 0)
    home.kills += 1
    _take_down(home, heard)


def _child(start: Callable[[Path], Any], folder: Path, mouth: int, chance: random.Random) -> None:
    def say(what: object) -> None:
        os.write(mouth, (json.dumps(what, ensure_ascii=False, default=str) + "\n").encode())

    try:
        work(start, folder, say, chance)
    except BaseException:  # its process ends here, past every handler of the one that it was forked from
        say({"complaint": traceback.format_exc()})
    os._exit(0)


def _take_down(home: Home, heard: bytes) -> None:
    for line in heard.splitlines(keepends=True):
        if not line.endswith(b"\n"):  # killed while it was saying it: nobody has heard it
            continue
        what = json.loads(line)
        if what == "end":
            home.finished = True
        elif isinstance(what, dict):
            home.complaints.append(what["complaint"])
        elif isinstance(what, list):
            (tablet, count), fact = what
            home.told[tablet, count] = fact


def look(home: Home) -> list[FactKey]:
    """Open the log that the killed apps left: the facts that were shown as done and aren't there as they were told."""
    from tracker.store.rescue import open_log
    from tracker.work.facts import to_data

    opened = open_log(home.folder, datetime.now(UTC))
    if opened.notice:
        home.complaints.append(opened.notice)
    kept = {entry.id: json.loads(json.dumps(to_data(entry.fact), default=str)) for entry in opened.log.entries()}
    opened.log.close()
    return [key for key, fact in home.told.items() if kept.get(key) != fact]


def main(words: list[str]) -> int:
    numbers = [int(each) for each in words if each != "--careless"]
    count, seed = (numbers + [100, 20260302][len(numbers) :])[:2]
    chance = random.Random(seed)
    start = prepare()
    kills = told = lost = reopened = 0
    complaints: list[str] = []
    began = time.monotonic()
    while kills < count:
        with tempfile.TemporaryDirectory() as folder:
            home = Home(Path(folder) / "home")
            for _ in range(min(chance.randint(1, 5), count - kills)):
                kill_one(start, home, chance)
                if home.finished:
                    break
            lost += len(look(home))
        kills, told, reopened = kills + home.kills, told + len(home.told), reopened + home.kills
        complaints += home.complaints
        if kills // 500 > (kills - home.kills) // 500:
            print(f"{kills} kills, {told} facts shown as done, {lost} lost, {len(complaints)} complaints", flush=True)
    print(f"{kills} kills in {time.monotonic() - began:.0f} s: {told} facts shown as done, {lost} lost;", end=" ")
    print(f"{reopened} logs opened again, {len(complaints)} not sound")
    for complaint in complaints[:10]:
        print(complaint)
    return 1 if lost or complaints else 0
