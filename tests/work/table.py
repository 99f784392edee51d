"""The states of a piece and of an assembly, and the intents that `test_table.py` tries in each."""

from __future__ import annotations

from collections.abc import Callable

from work.one_tablet import Bench

from tracker.design.load import load_build
from tracker.work.decide import decide as d
from tracker.work.decide.prerequisites import next_step
from tracker.work.run import Run, start_run
from tracker.work.state.state import running_waits

BUILD = """
[build]
name = "Two frames"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 20
width = 60
lengths = [2000]
[[parts]]
id = "rail"
name = "Rail"
quantity = 4
wood = "ash"
length = 500
allowance = 20
[[assemblies]]
id = "frame"
name = "Frame"
joins = { rail = 2 }
by = "glue"
glue = "PVA, cross-linking"
clamps = 4
finish = { kind = "Wiping varnish", coats = 2 }
prove = ["stands flat"]
[[assemblies]]
id = "other"
name = "Other"
joins = { rail = 2 }
by = "glue"
glue = "PVA, cross-linking"
"""
H = 3600
Made = Callable[[Bench], None]


def two_frames() -> Run:
    loaded = load_build(BUILD)
    assert loaded.build is not None, loaded.problems
    return start_run(loaded.build)


RUN = two_frames()


def steps(*names: str, key: str = "frame:1") -> Made:
    return lambda bench: [bench.must(d.Do(key, name)) for name in names] and None


def wait(seconds: float) -> Made:
    def later(bench: Bench) -> None:
        bench.time += seconds

    return later


def taps(*intents: d.Intent) -> Made:
    return lambda bench: [bench.must(intent) for intent in intents] and None


def rails(*numbers: int) -> Made:
    return lambda bench: (
        [bench.must(d.Do(f"rail:{n}", s)) for n in numbers for s in ("cut", "trim B", "trim A")] and None
    )


def checked(bench: Bench) -> None:
    """Do everything that is required before the glue."""
    bench.check_all("frame:1")


READY = (rails(1, 2),)
GLUED = (*READY, steps("dry fit"), checked, steps("spread"))
CLAMPED = (*GLUED, steps("clamp"))
OFF = (*CLAMPED, wait(1 * H), steps("unclamp"))
COAT = (*OFF, wait(24 * H), steps("finish 1"))
DRY = (*COAT, wait(24 * H))
DONE = (*DRY, steps("finish 2"), wait(30 * 24 * H))

PIECE_STATES: dict[str, tuple[Made, ...]] = {
    "new": (),
    "cut": (steps("cut", key="rail:1"),),
    "whole route done": (rails(1),),
    "one end trimmed": (steps("cut", "trim A", key="rail:1"),),
    "the other end trimmed": (steps("cut", "trim B", key="rail:1"),),
    "cut by a hold": (taps(d.DoTogether(("rail:1", "rail:2", "rail:3"), "cut")),),
    "cut by a hold, another one trimmed since": (
        taps(d.DoTogether(("rail:1", "rail:2", "rail:3"), "cut")),
        steps("trim B", key="rail:2"),
    ),
    "trimmed without being cut": (taps(*(d.Do("rail:1", f"trim {end}", anyway="Done before") for end in "AB")),),
    "set aside": (steps("cut", key="rail:1"), taps(d.PutAside("rail:1", "knot"))),
    "taken up again": (steps("cut", key="rail:1"), taps(d.PutAside("rail:1", "knot"), d.Resume("rail:1"))),
    "spoiled": (steps("cut", key="rail:1"), taps(d.Spoil("rail:1", "split"))),
    "made again": (steps("cut", key="rail:1"), taps(d.Spoil("rail:1", "split")), steps("cut", key="rail:1")),
    "swapped": (steps("cut", key="rail:1"), taps(d.Swap("rail:1", "rail:3"))),
    "measured": (steps("cut", key="rail:1"), taps(d.Measure("rail:1", "width", 19_200, 19_210))),
    "checked in": (*READY, taps(d.CheckIn("frame:1", "rail:1"))),
    "in a dry fit": (*READY, steps("dry fit")),
    "in a glued frame": GLUED,
    "in a spoiled frame": (*GLUED, taps(d.Spoil("frame:1", "fell"))),
}
ASSEMBLY_STATES: dict[str, tuple[Made, ...]] = {
    "a part is missing": (rails(1),),
    "a part is set aside": (*READY, taps(d.PutAside("rail:2", "knot"))),
    "all parts ready": READY,
    "itself set aside": (*READY, taps(d.PutAside("frame:1", "later"))),
    "dry fitted": (*READY, steps("dry fit")),
    "dry fitted, all checked": (*READY, steps("dry fit"), checked),
    "dry fitted, the shop warm": (*READY, steps("dry fit"), taps(d.SetAir(20, 50))),
    "dry fitted, the shop cold": (*READY, steps("dry fit"), taps(d.SetAir(6, 50))),
    "checked off": (*READY, taps(d.Check("frame:1", "pads"), d.CheckIn("frame:1", "rail:2")), steps("dry fit")),
    "glue spread": GLUED,
    "glue spread, open time over": (*GLUED, wait(400)),
    "in clamps": CLAMPED,
    "in clamps long enough": (*CLAMPED, wait(1 * H)),
    "taken off early": (*CLAMPED, wait(600), taps(d.Do("frame:1", "unclamp", anyway="My own risk"))),
    "curing": OFF,
    "cured": (*OFF, wait(24 * H)),
    "cured and answered": (
        *OFF,
        wait(24 * H),
        lambda bench: bench.must(d.Answer(running_waits(RUN, bench.state)[0].entry.id)),
    ),
    "first coat wet": COAT,
    "first coat dry": DRY,
    "past the recoat window": (*DRY, wait(2 * H)),
    "past the window and sanded": (*DRY, wait(2 * H), steps("between 1")),
    "last coat wet": (*DRY, steps("finish 2")),
    "finish cured": DONE,
    "a check failed": (*DONE, taps(d.Prove("frame:1", "stands flat", False, "rocks"))),
    "proven": (*DONE, taps(d.Prove("frame:1", "stands flat", True))),
    "spoiled": (*GLUED, taps(d.Spoil("frame:1", "fell"))),
}
INTENTS: dict[str, Callable[[Bench, str], d.Intent]] = {
    "next step": lambda bench, key: d.Do(key, _next(bench, key)),
    "next step, with a reason": lambda bench, key: d.Do(key, _next(bench, key), anyway="My own risk"),
    "last step": lambda bench, key: d.Do(key, RUN.items[key].route[-1].id),
    "first step": lambda bench, key: d.Do(key, RUN.items[key].route[0].id),
    "sand over coat 1": lambda bench, key: d.Do(key, "between 1"),
    "no such step": lambda bench, key: d.Do(key, "plane"),
    "this and the next piece together": lambda bench, key: d.DoTogether((key, "rail:2"), _next(bench, key)),
    "take back": lambda bench, key: d.UndoLast(key),
    "take back its first fact": lambda bench, key: d.UndoEntry(_first_fact(bench, key)),
    "answer its clock": lambda bench, key: d.Answer(_clock(bench, key)),
    "label": lambda bench, key: d.Label((key,)),
    "measure": lambda bench, key: d.Measure(key, "length", 160_000, 160_010),
    "spoil": lambda bench, key: d.Spoil(key, "split"),
    "put aside": lambda bench, key: d.PutAside(key, "knot"),
    "take up": lambda bench, key: d.Resume(key),
    "swap": lambda bench, key: d.Swap(key, "rail:4"),
    "swap within": lambda bench, key: d.Swap(key, "rail:2"),
    "note": lambda bench, key: d.Note(key, "knot near end B"),
    "check off a line": lambda bench, key: d.Check(key, "pads"),
    "check off warmth": lambda bench, key: d.Check(key, "warm"),
    "check in a part": lambda bench, key: d.CheckIn(key, "rail:2"),
    "check in a stranger": lambda bench, key: d.CheckIn(key, "rail:3"),
    "overrule the clamp time": lambda bench, key: d.Overrule(key, "clamp", 1800, "on the bottle"),
    "a check passed": lambda bench, key: d.Prove(key, "stands flat", True),
    "a check failed": lambda bench, key: d.Prove(key, "stands flat", False, "rocks"),
}


def bench_in(made: tuple[Made, ...]) -> Bench:
    """A bench at which the intents of `made` were done, a minute apart."""
    bench = Bench(RUN)
    for each in made:
        each(bench)
    return bench


def answer(bench: Bench, intent: d.Intent) -> str:
    """A cell of the table: `yes`, or the refusal; with a `+` when it can be done anyway."""
    found = d.decide(RUN, bench.state, intent, bench.now)
    assert d.refusal(RUN, bench.state, intent, bench.now) == (found if isinstance(found, d.Refusal) else None)
    if not isinstance(found, d.Refusal):
        return "yes"
    return f"{'+ ' if found.overridable else ''}{found.reason}"


def _next(bench: Bench, key: str) -> str:
    step = next_step(RUN, bench.state, RUN.items[key])
    return step.id if step else RUN.items[key].route[-1].id


def _first_fact(bench: Bench, key: str) -> tuple[str, int]:
    past = bench.state.history(RUN, RUN.items[key])
    return past[-1].entry.id if past else ("saw", 999)


def _clock(bench: Bench, key: str) -> tuple[str, int]:
    mine = (each for each in running_waits(RUN, bench.state) if each.item.key == key)
    return next((each.entry.id for each in mine), ("saw", 999))
