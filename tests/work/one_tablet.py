"""A small build for the tests of the work: a frame of two rails, glued and finished in two coats."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from tracker.design.load import load_build
from tracker.floor.floor import Floor
from tracker.work.checklist import checklist
from tracker.work.clocks.elapsed import Beat, Now, passed
from tracker.work.decide.decide import Check, ConfirmClock, Do, Intent, Refusal, decide
from tracker.work.facts import Entry, Fact
from tracker.work.operations import PASSES
from tracker.work.run import Run, start_run
from tracker.work.state.replay import Replay
from tracker.work.state.state import State, running_waits

BUILD = """
[build]
name = "Towel frame"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 20
width = 60
lengths = [2000]
[[parts]]
id = "rail"
name = "Rail"
quantity = 2
wood = "ash"
length = 500
allowance = 20
[[parts]]
id = "peg"
name = "Peg"
left = 1
right = 1
wood = "ash"
length = 120
holes = [{ kind = "through", end = "A", from_edge = 30, from_end = 20, diameter = 6 }]
[[assemblies]]
id = "frame"
name = "Frame"
joins = { rail = 2, peg = 2 }
by = "glue"
glue = "Test glue"
open_time = "8 min"
clamp_time = "45 min"
cure_time = "24 h"
finish = { kind = "Test oil", coats = 2, recoat = "12 h", cure = "7 days" }
"""
START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def towel_frame() -> Run:
    loaded = load_build(BUILD)
    assert loaded.build is not None, loaded.problems
    return start_run(loaded.build)


class Bench:
    """One tablet without a disk: decides, stores its entries and folds them."""

    def __init__(self, run: Run, tablet: str = "saw") -> None:
        self.run, self.tablet = run, tablet
        self.replay = Replay()
        self.time = 0.0
        self.wall_shift = 0.0
        self.boot_id = "first boot"
        self.booted = -1000.0
        """When this boot began, in seconds of `time`."""
        self.beats: list[Beat] = []

    @property
    def entries(self) -> list[Entry]:
        return list(self.replay.entries)

    @property
    def state(self) -> State:
        return self.replay.state

    @property
    def now(self) -> Now:
        return Now(
            self.wall, self.boot_id, self.time - self.booted, tuple(self.beats), tuple(self.state.confirmed.values())
        )

    @property
    def wall(self) -> datetime:
        return START + timedelta(seconds=self.time + self.wall_shift)

    def beat(self) -> None:
        """A heartbeat, as the shop writes one every ten seconds."""
        self.beats = [beat for beat in self.beats if beat.boot_id != self.boot_id]
        self.beats.append(Beat(self.boot_id, self.time - self.booted, self.wall))

    def restart(self, off: float = 0.0, boot_id: str = "second boot") -> None:
        """Turn the tablet off for `off` seconds, then on again."""
        self.time += off
        self.boot_id, self.booted = boot_id, self.time

    def do(self, intent: Intent) -> Refusal | None:
        answer = decide(self.run, self.state, intent, self.now)
        if isinstance(answer, Refusal):
            return answer
        for fact in answer:
            self.write(fact)
        return None

    def write(self, fact: Fact) -> Entry:
        seen: dict[str, int] = {}
        for entry in self.entries:
            seen[entry.tablet] = max(seen.get(entry.tablet, 0), entry.count)
        entry = Entry(self.tablet, seen.get(self.tablet, 0) + 1, seen, self.wall, fact)
        self.take_in([entry])
        return entry

    def take_in(self, entries: list[Entry]) -> None:
        self.replay.take_in(entries)

    def confirm(self) -> None:
        """Confirm that the tablet's time is right now, and was right when each uncertain clock was started."""
        doubtful = (each for each in running_waits(self.run, self.state) if passed(each, self.now).unsure)
        self.must(ConfirmClock(tuple(each.entry.id for each in doubtful)))

    def tick(self, key: str, *steps: str) -> None:
        """Do steps one after the other: a trim at both ends, and before the glue every line of the checklist."""
        for step in steps:
            if step == "spread":
                self.check_all(key)
            for each in PASSES.get(step, (step,)):
                self.must(Do(key, each))

    def check_all(self, key: str) -> None:
        """Tick every open line of a glue-up's checklist."""
        for line in checklist(self.run, self.state, self.run.items[key]):
            if line.state == "open":
                self.must(Check(key, line.id))

    def must(self, intent: Intent) -> None:
        refusal = self.do(intent)
        assert refusal is None, refusal


def floor(bench: Bench) -> Floor:
    """The shop floor of this tablet at its present time."""
    return Floor(bench.run, bench.state, bench.now)
