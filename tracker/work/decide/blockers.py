"""What stands in the way of a step, in the words that a person reads."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from tracker.design.tables.glues import glue_named
from tracker.measure import Span
from tracker.measure.span import rough
from tracker.work.clocks.elapsed import Now, is_over, passed, remaining
from tracker.work.clocks.waits import degrees
from tracker.work.revision import misfits
from tracker.work.run import Item, Run
from tracker.work.state.state import RunningWait, State, waits_of
from tracker.work.steps import Step, WaitKind


class Blocker(Struct, frozen=True):
    """One thing in the way, in words: `waits for Leg 3: not drilled`, `in clamps for 22 min more`."""

    words: str
    kind: Literal["earlier step", "member", "clock", "gone", "aside", "air", "window", "proof", "misfit"]
    overridable: bool = True
    left: float = 0.0
    """Of a clock: the seconds that it still has to run."""


def next_step(run: Run, state: State, item: Item) -> Step | None:
    """The first step of the route that isn't done."""
    done = state.steps(run, item)
    return next((step for step in item.route if step.id not in done), None)


def begun(run: Run, state: State, key: str) -> bool:
    """An assembly is begun when something that can't be pulled apart again was done to it."""
    return bool(state.steps(run, run.items[key]) - {"dry fit"})


def gone_into(run: Run, state: State, item: Item) -> Item | None:
    """The assembly that an item is in already, if its joining was begun."""
    into = state.into(run, item)
    return run.items[into] if into and begun(run, state, into) else None


def blockers(run: Run, state: State, item: Item, step: Step, now: Now) -> tuple[Blocker, ...]:
    """All that stands in the way of a step, nearest first."""
    return tuple(_all(run, state, item, step, now))


def sentence(in_the_way: tuple[Blocker, ...]) -> str:
    """The nearest blockers in one line: `Waits for Leg 3: not drilled, and 2 more`."""
    if not in_the_way:
        return ""
    first = in_the_way[0].words
    more = len(in_the_way) - 1
    return f"{first[0].upper()}{first[1:]}{f', and {more} more' if more else ''}"


def ahead(running: RunningWait, now: Now) -> str:
    """What a clock still asks for: `in clamps for 22 min more`."""
    return _BLOCKED_BY[running.wait.kind].format(rough(remaining(running, now)))


def _all(run: Run, state: State, item: Item, step: Step, now: Now) -> Iterator[Blocker]:
    aside = state.aside(run, item)
    if aside is not None:
        yield Blocker(f"set aside: {aside.fact.why}" if aside.fact.why else "set aside", "aside")
    whole = gone_into(run, state, item) if item.kind == "piece" else None
    if whole is not None:
        yield Blocker(f"it is in {whole.short} already", "gone")
    yield from (
        Blocker(each.small_words, "misfit") for each in misfits(run, state, item) if each.verdict == "too small"
    )
    yield from _earlier_steps(run, state, item, step)
    yield from _clocks(run, state, item, step, now)
    if item.members and item.route and not begun(run, state, item.key):
        yield from _members(run, state, item, now)
    yield from _air(run, state, item, step)
    yield from _window(run, state, item, step, now)
    yield from _proofs(run, state, item, step)


def _earlier_steps(run: Run, state: State, item: Item, step: Step) -> Iterator[Blocker]:
    done = state.steps(run, item)
    for earlier in item.before(step):
        if earlier.id not in done:
            yield Blocker(f"not {earlier.past} yet", "earlier step")


_BLOCKED_BY: dict[WaitKind, str] = {
    "clamp": "in clamps for {} more",
    "cure": "glue curing for {} more",
    "recoat": "coat drying for {} more",
    "dry": "finish curing for {} more",
    "open": "open time: {} left",
}


def _clocks(run: Run, state: State, item: Item, step: Step, now: Now) -> Iterator[Blocker]:
    for running in waits_of(run, state, item):
        if not running.wait.at_least or is_over(running, now):
            continue
        if step.loads or not running.wait.machine:
            yield Blocker(ahead(running, now), "clock", left=remaining(running, now))
        elif (left := running.wait.machine - passed(running, now).least) > 0:
            yield Blocker(f"glue curing: not to be worked on for {rough(left)} more", "clock", left=left)


def _members(run: Run, state: State, item: Item, now: Now) -> Iterator[Blocker]:
    for key in state.members(run, item):
        member = run.items[key]
        missing = next_step(run, state, member)
        if state.aside(run, member):
            yield Blocker(f"waits for {member.short}: set aside", "member")
        elif missing is not None:
            yield Blocker(f"waits for {member.short}: not {missing.past}", "member")
        elif found := misfits(run, state, member):
            yield Blocker(f"waits for {member.short}: {found[0].small_words}", "member")
        else:
            for running in waits_of(run, state, member):
                if running.wait.at_least and not is_over(running, now):
                    yield Blocker(f"waits for {member.short}: {ahead(running, now)}", "member")


def _air(run: Run, state: State, item: Item, step: Step) -> Iterator[Blocker]:
    """Below a glue's least temperature it doesn't bond: a film of it stays chalk, a reaction doesn't begin."""
    glue = run.build.assembly(item.id).glue if step.starts == "open" and item.kind == "assembly" else None
    known = glue_named(glue.name) if glue else None
    if known and state.air and state.air.fact.celsius < known.coldest:
        at, least = (degrees(celsius, run.build.units) for celsius in (state.air.fact.celsius, known.coldest))
        yield Blocker(f"the shop is at {at}: {known.name} needs {least}; the label governs", "air")


def _window(run: Run, state: State, item: Item, step: Step, now: Now) -> Iterator[Blocker]:
    """A coat that stood too long takes the next one only once it is sanded."""
    if step.coat < 2:
        return
    before = state.tick(run, item, f"finish {step.coat - 1}")
    wait = before.done.wait if before else None
    if before is None or wait is None or not wait.limit or state.is_done(run, item, f"between {step.coat - 1}"):
        return
    gone = passed(RunningWait(item, wait, before.first), now)
    if gone.most > wait.limit:
        surely = "past" if gone.least > wait.limit else "perhaps past"
        yield Blocker(f"{surely} its recoat window of {Span(wait.limit).text}: sand first", "window")


def _proofs(run: Run, state: State, item: Item, step: Step) -> Iterator[Blocker]:
    if step.id != "prove" or item.kind != "assembly":
        return
    proofs = state.proofs(run, item)
    for check in run.build.assembly(item.id).prove:
        kept = proofs.get(check)
        if kept is None:
            yield Blocker(f"not checked yet: {check}", "proof")
        elif not kept.fact.passed:
            found = f" ({kept.fact.result})" if kept.fact.result else ""
            yield Blocker(f"not passed: {check}{found}", "proof", overridable=False)
