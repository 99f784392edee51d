"""Kill the app at any moment of real tapping, and look at what the log kept.

    python tests/faults/killed.py [COUNT]

works the story of the sample builds in a process of its own, COUNT times for each build; that process is killed
(SIGKILL) as soon as it has shown a random tap as done, while it goes on with the next. Then the log is opened again:
every tap that was shown as done must be there, and the log must be sound. Prints a line a build, and exits 1 when
anything was lost.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

TESTS = Path(__file__).resolve().parent.parent
SAMPLES = ("planter", "stool", "hall_bench")


@dataclass(frozen=True, slots=True)
class Kill:
    """One killed story: the taps that were shown as done, and those of them that the log has lost."""

    shown: tuple[tuple[str, str], ...]
    lost: tuple[tuple[str, str], ...]
    notice: str


def work_and_report(sample: str, home: Path) -> None:
    """The story, in the process that is going to be killed: one line on standard output for each tap shown as done."""
    sys.path[:0] = [str(TESTS), str(TESTS.parent)]
    os.environ["KERFCARD_TEST_DISPLAY"] = "null"  # no pixels: layout, touches and the log are real, and it is quick
    from kit import display, nullwindow

    display.environment()
    display.open_display()
    nullwindow.install(display.CANVAS)
    from kit.driver import Driver
    from kit.story import SCENARIOS, Maker, new_app

    from tracker.screens.stage import HandTime, resize

    scenario = next(each for each in SCENARIOS if each.sample == sample)
    hand = HandTime()
    resize(1920, 1200, 224.0)
    driver = Driver(new_app(home, hand), hand)
    driver.start()
    maker = Maker(driver, told=lambda item, step: print(item, step, sep="\t", flush=True))
    maker.open(scenario.name)
    maker.work(scenario.drilled)
    for member in driver.app.shop.run.items[scenario.assembly].members:
        maker.work(member)
    maker.glue_up(scenario.assembly)
    print("end", flush=True)


def kill_after(sample: str, taps: int, delay: float) -> Kill:
    """Start the story, and kill it `delay` seconds after its tap number `taps` was shown as done (or at its end)."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "home"
        command = [sys.executable, str(Path(__file__)), "--work", sample, str(home)]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        shown: list[tuple[str, str]] = []
        while len(shown) < taps:
            line = process.stdout.readline()
            if not line or line == "end\n":
                break
            item, step = line.rstrip("\n").split("\t")
            shown.append((item, step))
        try:
            process.wait(delay)
        except subprocess.TimeoutExpired:
            process.send_signal(signal.SIGKILL)
        rest = process.stdout.read().splitlines()
        process.wait()
        shown += [(item, step) for item, _, step in (line.partition("\t") for line in rest) if step]
        return _look(home, tuple(shown))


def _look(home: Path, shown: tuple[tuple[str, str], ...]) -> Kill:
    from tracker.store.rescue import open_log
    from tracker.work.facts import Done

    opened = open_log(home, datetime.now(UTC))
    kept = {(entry.fact.item, entry.fact.step) for entry in opened.log.entries() if isinstance(entry.fact, Done)}
    opened.log.close()
    return Kill(shown, tuple(tap for tap in shown if tap not in kept), opened.notice)


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    chance = random.Random(20260302)
    wrong = 0
    for sample in SAMPLES:
        kills = [kill_after(sample, chance.randint(0, 16), chance.random() * 0.1) for _ in range(count)]
        lost = sum(len(kill.lost) for kill in kills)
        damaged = sum(bool(kill.notice) for kill in kills)
        shown = sum(len(kill.shown) for kill in kills)
        print(f"{sample}: {count} kills, {shown} taps shown as done, {lost} lost, {damaged} logs damaged")
        wrong += lost + damaged
    return 1 if wrong else 0


if __name__ == "__main__":
    if sys.argv[1:2] == ["--work"]:
        work_and_report(sys.argv[2], Path(sys.argv[3]))
    else:
        sys.exit(main())
