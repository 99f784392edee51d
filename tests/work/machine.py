"""A random tester that taps on two tablets, in a build of 60 pieces and 8 assemblies.

Run `python -m tests.work.machine 100000` for that many intents; the suite runs a few thousand (`test_machine.py`).
After every intent nothing illegal is recorded, and an undo restores the identical state; at the end the log replayed in
any order gives the live state, and both tablets' logs give the same state, merged either way.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

sys.path.insert(0, str(Path(__file__).parent.parent))
from work.one_tablet import Bench

from tracker.design.load import load_build
from tracker.work.decide import decide as d
from tracker.work.decide.prerequisites import next_step
from tracker.work.facts import PlannedBoard, PlannedCut, Undone
from tracker.work.run import Run, start_run
from tracker.work.state.replay import replay
from tracker.work.state.state import State, running_waits

FRAME = """
[[assemblies]]
id = "frame-{n}"
name = "Frame {n}"
joins = {{ rail-{n} = 4, stile-{n} = 4 }}
by = "glue"
glue = "{glue}"
clamps = 4
route = ["dry fit", "glue", "plug", "sand 120"]
"""
PARTS = """
[[parts]]
id = "rail-{n}"
name = "Rail {n}"
left = 2
right = 2
wood = "ash"
length = 500
allowance = 20
holes = [{{ kind = "pocket", end = "A", from_edge = 30, face = "bottom" }}]
[[parts]]
id = "stile-{n}"
name = "Stile {n}"
quantity = 4
wood = "ash"
length = 300
"""
HEAD = """
[build]
name = "Screen"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 20
width = 60
lengths = [2000]
[[parts]]
id = "post"
name = "Post"
quantity = 4
wood = "ash"
length = 900
"""
WHOLE = """
[[assemblies]]
id = "screen"
name = "Screen"
joins = { frame-1 = 1, frame-2 = 1, frame-3 = 1, frame-4 = 1, frame-5 = 1, frame-6 = 1, frame-7 = 1, post = 4 }
by = "screws"
route = ["dry fit", "attach", "finish", "prove"]
finish = { kind = "Wiping varnish", coats = 3, sand_between = 320 }
prove = ["stands flat", "diagonals alike"]
"""
GLUES = ("PVA, cross-linking", "Epoxy, two-part", "Hide, hot", "PVA, interior (white)")


def screen() -> Run:
    """60 pieces (7 × 8 and 4 posts) and 8 assemblies, of which seven go into the eighth."""
    numbers = range(1, 8)
    parts = "".join(PARTS.format(n=n) for n in numbers)
    frames = "".join(FRAME.format(n=n, glue=GLUES[n % len(GLUES)]) for n in numbers)
    loaded = load_build(f"{HEAD}{parts}{frames}{WHOLE}")
    assert loaded.build is not None, loaded.problems
    return start_run(loaded.build)


RUN = screen()
KEYS = sorted(RUN.items)
PIECES = [item.key for item in RUN.pieces]
ASSEMBLIES = [item.key for item in RUN.assemblies]
assert (len(PIECES), len(ASSEMBLIES)) == (60, 8)

intents: Counter[str] = Counter()
"""The intents that were tapped, over all machines of this process, and how many of them were refused."""
ITEM = st.sampled_from([*KEYS, *ASSEMBLIES * 6])
PIECE = st.sampled_from(PIECES)
ASSEMBLY = st.sampled_from(ASSEMBLIES)
WHY = st.sampled_from(["", "split", "knot"])
TABLET = st.integers(0, 1)
CHECK = st.sampled_from(["parts", "clamps", "pads", "paper", "fresh", "warm", "care", "squeeze-out", "moon"])
KIND = st.sampled_from(["open", "clamp", "cure", "recoat", "dry"])
STEP = st.sampled_from(sorted({step.id for item in RUN.items.values() for step in (*item.route, *item.extra)}))


class Machine(RuleBasedStateMachine):
    """Two tablets in one shop."""

    def __init__(self) -> None:
        super().__init__()
        self.benches = (Bench(RUN, "saw"), Bench(RUN, "bench"))
        self.benches[0].must(d.OpenBuild("screen.toml"))

    def tap(self, tablet: int, intent: d.Intent) -> None:
        """Do an intent, undo it and do it again: the undo must leave no trace."""
        bench = self.benches[tablet]
        before, known = bench.state, len(bench.replay)
        intents[type(intent).__name__] += 1
        refusal = bench.do(intent)
        if refusal is not None:
            intents["refused"] += 1
            assert refusal.reason
            assert len(bench.replay) == known, "a refusal writes nothing"
            return
        new = bench.entries[known:]
        if isinstance(intent, d.OpenBuild) or any(isinstance(entry.fact, Undone) for entry in new):
            return
        for entry in reversed(new):
            answer = bench.do(d.UndoEntry(entry.id))
            assert answer is None or "went with" in answer.reason or "undone already" in answer.reason, answer
        assert bench.state == before, "undo gives the identical state"
        bench.must(intent)

    @rule(tablet=TABLET, key=ITEM, anyway=st.sampled_from(["", "", "", "My own risk"]))
    def go_on(self, tablet: int, key: str, anyway: str) -> None:
        bench = self.benches[tablet]
        step = next_step(RUN, bench.state, RUN.items[key])
        if step is not None:
            self.tap(tablet, d.Do(key, step.id, anyway))

    @rule(tablet=TABLET, key=ASSEMBLY)
    def work_through(self, tablet: int, key: str) -> None:
        """Do the steps of the pieces of one assembly, as far as allowed."""
        for member in self.benches[tablet].state.members(RUN, RUN.items[key]):
            self.go_on(tablet, member, "")

    @rule(tablet=TABLET, key=ITEM, step=STEP, anyway=st.sampled_from(["", "Done before"]))
    def any_step(self, tablet: int, key: str, step: str, anyway: str) -> None:
        self.tap(tablet, d.Do(key, step, anyway, board="rack/1" if step == "cut" else "", at=3200))

    @rule(tablet=TABLET, keys=st.lists(PIECE, min_size=1, max_size=5), step=STEP, alike=st.booleans())
    def together(self, tablet: int, keys: list[str], step: str, alike: bool) -> None:
        """Do a step of several pieces by one hold: the first pieces of a part, or any."""
        part = [key for key in PIECES if RUN.items[key].id == RUN.items[keys[0]].id]
        self.tap(tablet, d.DoTogether(tuple(part[: len(keys)] if alike else keys), step))

    @rule(tablet=TABLET, key=ITEM)
    def undo(self, tablet: int, key: str) -> None:
        self.tap(tablet, d.UndoLast(key))

    @rule(tablet=TABLET, share=st.floats(0, 1))
    def undo_any(self, tablet: int, share: float) -> None:
        ids = [entry.id for entry in self.benches[tablet].replay.entries] or [("saw", 999)]
        self.tap(tablet, d.UndoEntry(ids[int(share * (len(ids) - 1))]))

    @rule(tablet=TABLET, key=ITEM, why=WHY)
    def spoil(self, tablet: int, key: str, why: str) -> None:
        self.tap(tablet, d.Spoil(key, why))

    @rule(tablet=TABLET, key=ITEM, why=WHY, up=st.booleans())
    def aside(self, tablet: int, key: str, why: str, up: bool) -> None:
        self.tap(tablet, d.Resume(key) if up else d.PutAside(key, why))

    @rule(tablet=TABLET, one=PIECE, other=PIECE, near=st.booleans())
    def swap(self, tablet: int, one: str, other: str, near: bool) -> None:
        self.tap(tablet, d.Swap(one, f"{RUN.items[one].id}:{1 + PIECES.index(other) % 4}" if near else other))

    @rule(tablet=TABLET, key=ITEM, actual=st.sampled_from([0, 159_990, 160_000, 96_010]))
    def measure(self, tablet: int, key: str, actual: int) -> None:
        self.tap(tablet, d.Measure(key, "length", 160_000, actual))

    @rule(tablet=TABLET, key=ITEM, text=st.sampled_from(["", "knot near end B"]))
    def note(self, tablet: int, key: str, text: str) -> None:
        self.tap(tablet, d.Note(key, text))

    @rule(tablet=TABLET, key=ITEM, check=CHECK)
    def check(self, tablet: int, key: str, check: str) -> None:
        self.tap(tablet, d.Check(key, check))

    @rule(tablet=TABLET, key=ASSEMBLY, piece=PIECE, right=st.booleans())
    def check_in(self, tablet: int, key: str, piece: str, right: bool) -> None:
        members = self.benches[tablet].state.members(RUN, RUN.items[key])
        self.tap(tablet, d.CheckIn(key, members[PIECES.index(piece) % len(members)] if right else piece))

    @rule(tablet=TABLET, celsius=st.sampled_from([-40.0, 4.0, 16.0, 28.0]), humidity=st.sampled_from([45.0, 80.0]))
    def air(self, tablet: int, celsius: float, humidity: float) -> None:
        self.tap(tablet, d.SetAir(celsius, humidity))

    @rule(tablet=TABLET, key=ITEM, kind=KIND, seconds=st.sampled_from([0, 60, 3600, 10**8]))
    def overrule(self, tablet: int, key: str, kind: Any, seconds: int) -> None:
        self.tap(tablet, d.Overrule(key, kind, seconds, "the bottle"))

    @rule(tablet=TABLET, key=st.sampled_from(["screen:1", "frame-1:1"]), passed=st.booleans(), which=st.integers(0, 2))
    def prove(self, tablet: int, key: str, passed: bool, which: int) -> None:
        check = ("stands flat", "diagonals alike", "sings")[which]
        self.tap(tablet, d.Prove(key, check, passed, "2 mm", "me"))

    @rule(tablet=TABLET)
    def answer(self, tablet: int) -> None:
        for running in running_waits(RUN, self.benches[tablet].state)[:2]:
            self.tap(tablet, d.Answer(running.entry.id))

    @rule(tablet=TABLET, keys=st.lists(ITEM, max_size=3), back=st.booleans())
    def label(self, tablet: int, keys: list[str], back: bool) -> None:
        self.tap(tablet, d.UndoLabels() if back else d.Label(tuple(keys)))

    @rule(tablet=TABLET, keys=st.lists(PIECE, max_size=3), name=st.sampled_from(["", "K1", "K2"]))
    def boards(self, tablet: int, keys: list[str], name: str) -> None:
        cuts = tuple(PlannedCut(key, 200_000 * at, 160_000) for at, key in enumerate(keys))
        board = PlannedBoard(f"rack/{name}" if name else "ash/1", "ash", "dealer", 640_000, cuts)
        self.tap(tablet, d.KeepBoards((board,) if keys else ()))
        self.tap(tablet, d.Rack(name, "ash", 64_000, "ash/1"))

    @rule(tablet=TABLET)
    def open_and_believe(self, tablet: int) -> None:
        self.tap(tablet, d.OpenBuild("screen.toml"))
        self.tap(tablet, d.ConfirmClock())

    @rule(seconds=st.sampled_from([1, 400, 4000, 100_000, 700_000]), off=st.booleans())
    def time_goes_on(self, seconds: int, off: bool) -> None:
        for bench in self.benches:
            bench.time += seconds
            bench.beat()
            if off:
                bench.restart(off=100, boot_id=f"boot at {bench.time}")

    @rule(to=TABLET)
    def exchange(self, to: int) -> None:
        self.benches[to].take_in(self.benches[1 - to].entries)

    @invariant()
    def nothing_illegal_stands(self) -> None:
        for bench in self.benches:
            legal(bench.state)

    def teardown(self) -> None:
        chance = random.Random(len(self.benches[0].replay))
        for bench in self.benches:
            entries = bench.entries
            chance.shuffle(entries)
            assert replay(entries) == bench.state, "the log in any order is the live state"
            step_by_step = Bench(RUN)
            for entry in entries:
                step_by_step.take_in([entry])
            assert step_by_step.state == bench.state, "and so it is when it comes in entry by entry"
        saw, other = self.benches
        mine = saw.entries
        saw.take_in(other.entries)
        other.take_in(mine)
        assert saw.state == other.state, "two tablets' logs merged either way agree"


def legal(state: State) -> None:
    """Check the rules that hold after any taps. Every assertion is a rule of the shop."""
    whole = state.whole(RUN)
    assert sorted(whole.place_of) == sorted(whole.place_of.values()), "swapped pieces share out the same places"
    for item in RUN.items.values():
        here = state.item(RUN, item)
        steps = [tick.step for tick in here.ticks]
        assert len(steps) == len(set(steps)), "a step is done once"
        known = [item.step(step) for step in steps]
        assert all(known), "only steps of the build are done"
        for tick in here.ticks:
            done = tick.done
            assert bool(done.anyway) == bool(done.against), "a reason goes with what it went against"
            assert done.early == 0 or done.anyway, "too early only with a reason"
        for key in (*here.measures, *here.checks):
            assert item.kind == "assembly" or key in ("length", "width", "thickness")
        assert not (here.measures and item.kind == "assembly"), "an assembly isn't measured like a piece"
        if item.kind == "assembly":
            members = state.members(RUN, item)
            assert len(members) == len(set(members)) == len(item.members), "every place is filled once"
            for mine, place in zip(members, item.members, strict=True):
                assert (RUN.items[mine].id, RUN.items[mine].hand) == (RUN.items[place].id, RUN.items[place].hand)
                assert state.into(RUN, RUN.items[mine]) == item.key, "members and into say the same"
            proven = state.tick(RUN, item, "prove")
            if proven and not proven.done.anyway:
                checks = RUN.build.assembly(item.id).prove
                assert all(check in here.proofs for check in checks), "proven means that every check was answered"


def run(count: int, steps: int = 100) -> None:
    """Tap about `count` random intents."""
    run_state_machine_as_test(
        Machine,
        settings=settings(
            max_examples=max(1, count // steps),
            stateful_step_count=steps,
            deadline=None,
            database=None,
            suppress_health_check=list(HealthCheck),
        ),
    )


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    while sum(intents.values()) - intents["refused"] < wanted:
        run(min(20_000, wanted))
    tapped = sum(intents.values()) - intents["refused"]
    print(f"{tapped:,} intents, {intents['refused']:,} refused: nothing illegal, every undo gave the identical state,")
    print("every log replayed in any order was the live state, all merges agreed.")
    for name, times in sorted(intents.items()):
        print(f"  {name:16} {times:8,}")
