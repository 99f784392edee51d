"""Finished builds in the log: their cost for the replay, the first check of the clocks, and each second after it.

    python -m tests.bench.finished_builds 125 250 500 1000 [--facts 1000]

Every build has its glue-ups and coats, all ended or answered; one of all still has a clock that runs. Prints seconds,
the ratio to the smallest of the run, and the memory that the state takes; it fails on no clock.
"""

from __future__ import annotations

import argparse
import gc
import resource
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tracker.cards.clocks.alarm import alarm_card
from tracker.cards.clocks.clocks import clocks_card
from tracker.floor.floor import Floor
from tracker.shop.known_runs import KnownRuns
from tracker.shop.library import Library
from tracker.work.clocks.elapsed import Now
from tracker.work.facts import Answered, Done, Entry, Fact, Noted, Opened, Wait
from tracker.work.state.replay import Replay
from tracker.work.state.state import State

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
BOOT = "boot"
GLUE_UP = (("dry fit", ""), ("spread", "open"), ("clamp", "clamp"), ("unclamp", "cure"), ("finish 1", "recoat"))


def facts_of(run: str, count: int, running: bool) -> Iterator[Fact]:
    """This many facts of a build: pieces cut and drilled, glue-ups whose clocks ended, and notes to make up the
    number."""
    yield Opened(run, run, f"{run}.toml")
    made = 1
    for number in range(1, max(2, count // 20)):
        for step in ("cut", "drill"):
            yield Done(run, f"rail:{number}", step)
            made += 1
    for number in range(1, max(2, count // 40)):
        for step, kind in GLUE_UP:
            wait = Wait(kind, 3600, BOOT, 0.0) if kind else None  # type: ignore[arg-type]
            yield Done(run, f"frame:{number}", step, wait=wait)
            made += 1
        made += 2
        yield Answered("saw", -1)  # of the cure, and of the coat: `log` assigns their counts
        yield Answered("saw", -1) if not (running and number == 1) else Noted(run, f"frame:{number}", "still drying")
    for number in range(count - made):
        yield Noted(run, f"rail:{1 + number % 7}", "a knot")


def log(builds: int, facts: int) -> Iterator[Entry]:
    """The log of one tablet."""
    count, waits = 0, list[int]()
    for build in range(builds):
        for fact in facts_of(f"Build {build}#1", facts, running=build == builds // 2):
            count += 1
            if isinstance(fact, Done) and fact.wait and fact.wait.kind in ("cure", "recoat"):
                waits.append(count)
            if isinstance(fact, Answered):
                fact = Answered("saw", waits.pop(0))
            elif isinstance(fact, Noted) and fact.text == "still drying":
                waits.pop(0)
            yield Entry("saw", count, {"saw": count - 1}, START + timedelta(seconds=count), fact)


def look(known: KnownRuns, state: State, now: Now) -> int:
    """The check that the app makes once a second: which runs have a clock, whether one has ended, and what each
    shows."""
    floors = [Floor(known.run(name), state, now) for name in known.with_clocks()]
    if floors:
        alarm_card(floors)
    return len(clocks_card(*floors).clocks)


def measure(builds: int, facts: int, folder: Path) -> tuple[float, float, float, float]:
    """Seconds of replay, of the first check and of one second's check, and the megabytes of the state."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    entries = list(log(builds, facts))
    gc.collect()
    began = time.process_time()
    replayed = Replay(entries)
    replay = time.process_time() - began
    memory = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    known = KnownRuns(Library(folder, {}), lambda: replayed.state)
    now = Now(START + timedelta(days=1), BOOT, 1800.0)
    began = time.process_time()
    clocks = look(known, replayed.state, now)
    first = time.process_time() - began
    assert clocks == 1, clocks
    seconds = []
    for _ in range(20):
        began = time.process_time()
        look(known, replayed.state, now)
        seconds.append(time.process_time() - began)
    return replay, first, sorted(seconds)[len(seconds) // 2], memory


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("builds", type=int, nargs="+")
    parser.add_argument("--facts", type=int, default=1000, help="of each build")
    options = parser.parse_args()
    least: tuple[float, ...] = ()
    with tempfile.TemporaryDirectory() as folder:
        for builds in sorted(options.builds):
            replay, first, second, memory = measure(builds, options.facts, Path(folder))
            least = least or (replay, first, second)
            ratios = " ".join(
                f"{each / small:5.1f}x" for each, small in zip((replay, first, second), least, strict=True)
            )
            print(
                f"{builds:6,} builds, {builds * options.facts:9,} facts: replay {replay:6.2f} s, first look "
                f"{first * 1e3:7.1f} ms, a second {second * 1e3:6.2f} ms ({ratios}); entries and state {memory:6.0f} MB"
            )


if __name__ == "__main__":
    main()
