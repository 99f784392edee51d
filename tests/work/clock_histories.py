"""Random histories of sleeps, restarts, changed wall clocks and heartbeats, with the true time.

Run `python -m tests.work.clock_histories 20000`; the suite runs a few hundred (`test_clock_histories.py`). In every
history one wait is started, and checked after everything that happens:

- an "at least" wait is never over before its time has truly passed;
- an "at most" wait never fails to warn once its time has truly passed;
- the true time is between the least and the most that can have passed, and within one boot both are equal to it.

The wall clock is often wrong already when the wait is started. The person gets the tablet's questions and answers them
truly: both times are right to the minute, or they aren't. Now and then only the present time is confirmed, as earlier
versions asked, and often nobody answers.
"""

from __future__ import annotations

import math
import random
import sys
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from tracker.work.clocks.elapsed import Beat, Now, is_over, passed
from tracker.work.facts import Done, Entry, Wait
from tracker.work.operations import WaitKind
from tracker.work.run import Item
from tracker.work.state.state import RunningWait

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
BEAT = 10.0
MINUTE = 60.0
ROUNDING = 1e-3
"""Seconds: a wall clock is kept to the microsecond, and its differences are floats."""
FRAME = Item(key="frame:1", kind="assembly", id="frame", number=1, of=1, name="Frame", route=())


@dataclass
class Tablet:
    """A tablet with a true time that it doesn't know."""

    chance: random.Random
    true: float = 0.0
    booted: float = -100.0
    boot: int = 1
    off_by: float = 0.0
    """Seconds by which its wall clock is wrong."""
    beats: dict[str, Beat] = field(default_factory=dict)
    confirmed: dict[str, Beat] = field(default_factory=dict)

    @property
    def here(self) -> Beat:
        wall = START + timedelta(seconds=self.true + self.off_by)
        return Beat(f"boot {self.boot}", self.true - self.booted, wall)

    @property
    def now(self) -> Now:
        here = self.here
        return Now(here.wall, here.boot_id, here.boot, tuple(self.beats.values()), tuple(self.confirmed.values()))

    def beat(self) -> None:
        self.beats.pop(self.here.boot_id, None)
        self.beats[self.here.boot_id] = self.here

    def up(self, seconds: float) -> None:
        """Awake with the app open: a heartbeat every ten seconds."""
        rest = seconds % BEAT
        if seconds >= BEAT:
            self.true += seconds - rest
            self.beat()
        self.true += rest

    def without_the_app(self, seconds: float) -> None:
        """Asleep, or awake with the app closed: the boot clock counts, without heartbeats."""
        self.true += seconds

    def restart(self, off: float) -> None:
        self.true += off
        self.boot += 1
        self.booted = self.true
        if self.chance.random() < 0.3:  # a clock without a battery, or set by hand or by the network
            self.off_by = self.wrong()
        elif self.chance.random() < 0.3:
            self.off_by = 0.0

    def wrong(self) -> float:
        return self.chance.choice((-1, 1)) * self.chance.choice((5, 50, 90, 3600, 86_400, 40 * 365 * 86_400))

    def right(self, off_by: float) -> bool:
        """The answer of a person who compares the minutes with those of a good clock."""
        return abs(off_by) < MINUTE

    def asked(self, start: Beat, off_at_start: float) -> str:
        """Ask a person whether the start and the present time are right."""
        if self.right(off_at_start) and self.right(self.off_by):
            self.confirmed |= {start.boot_id: start, self.here.boot_id: self.here}
            return "confirmed: both"
        if self.right(self.off_by) and self.chance.random() < 0.5:
            self.confirmed[self.here.boot_id] = self.here
            return "confirmed: only now"
        return "not confirmed: now" if self.right(off_at_start) else "not confirmed: the start"

    def something(self) -> str:
        """Let one thing happen; returns its name."""
        what = self.chance.choice(
            ("up", "up", "up", "sleep", "app closed", "restart", "wall clock changed", "put right")
        )
        for_seconds = self.chance.expovariate(1 / self.chance.choice((5, 60, 900, 20_000)))
        if what == "up":
            self.up(for_seconds)
        elif what in ("sleep", "app closed"):
            self.without_the_app(for_seconds)
        elif what == "restart":
            self.restart(for_seconds)
        else:
            self.off_by = 0.0 if what == "put right" else self.wrong()
        return what


def history(seed: int, seen: Counter[str]) -> None:
    """Run one history. Raises AssertionError if a wait is wrong."""
    chance = random.Random(seed)
    tablet = Tablet(chance)
    for _ in range(chance.randrange(4)):
        tablet.something()
    kind: WaitKind = chance.choice(("clamp", "open"))
    seconds = chance.choice((8, 60, 480, 2700, 86_400))
    if chance.random() < 0.4:
        tablet.off_by = tablet.wrong()
    begun, off_at_start, start = tablet.true, tablet.off_by, tablet.here
    wait = Wait(kind, seconds, tablet.here.boot_id, tablet.here.boot)
    entry = Entry("saw", 1, {}, tablet.here.wall, Done("screen#1", "frame:1", kind, wait=wait))
    running = RunningWait(FRAME, wait, entry)
    first_boot = tablet.boot
    for _ in range(chance.randrange(3, 25)):
        seen[tablet.something()] += 1
        if passed(running, tablet.now).unsure and chance.random() < 0.4:
            seen[tablet.asked(start, off_at_start)] += 1
        truth, now = tablet.true - begun, tablet.now
        gone, over = passed(running, now), is_over(running, now)
        seen["looks"] += 1
        seen[f"{kind}: {'over' if over else 'runs'}"] += 1
        assert gone.least <= truth + ROUNDING, f"{seed}: at least {gone.least}, truly {truth}"
        assert gone.most >= truth - ROUNDING, f"{seed}: at most {gone.most}, truly {truth}"
        if tablet.boot == first_boot:
            assert math.isclose(gone.seconds, truth, abs_tol=ROUNDING), f"{seed}: {gone.seconds}, truly {truth}"
            assert gone.least == gone.most
        if kind == "clamp":
            assert not over or truth >= seconds - ROUNDING, f"{seed}: over {seconds - truth} s early"
            seen["clamp: past and not yet sure"] += truth > seconds and not over
        else:
            assert over or truth <= seconds + ROUNDING, f"{seed}: warns {truth - seconds} s late"
            seen["open: warned before it was sure"] += over and truth < seconds


def run(count: int) -> Counter[str]:
    """Run `count` histories; returns how often each thing was seen."""
    seen: Counter[str] = Counter()
    for seed in range(count):
        history(seed, seen)
    return seen


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    counts = run(wanted)
    print(f"{wanted:,} histories: no wait ended early, no warning came late, no error within one boot.")
    for name, times in counts.most_common():
        print(f"  {name:32} {times:9,}")
