"""What blocks a step, in the words that a person reads."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from tracker.design.tables.glues import glue_named
from tracker.measure import Span
from tracker.measure.span import rough
from tracker.words import say, say_many
from tracker.work.checklist import checklist
from tracker.work.clocks.elapsed import Now, is_over, passed, remaining
from tracker.work.clocks.waits import degrees
from tracker.work.counting import counted
from tracker.work.misfits import misfits
from tracker.work.operations import Step, WaitKind
from tracker.work.run import Item, Run
from tracker.work.state.state import RunningWait, State, waits_of


class Blocker(Struct, frozen=True):
    """One thing that blocks a step, in words: `4 legs still to drill`, `22 min left in clamps`."""

    words: str
    kind: Literal["earlier step", "member", "clock", "gone", "aside", "air", "window", "proof", "misfit", "unchecked"]
    overridable: bool = True
    left: float = 0.0
    """For a clock: the seconds left."""
    count: int = 1
    """How many parts it is about."""


def next_step(run: Run, state: State, item: Item) -> Step | None:
    """The first step of the route that isn't done."""
    done = state.steps(run, item)
    return next((step for step in item.route if step.id not in done), None)


def begun(run: Run, state: State, key: str) -> bool:
    """An assembly is begun when something was done to it that can't be taken apart again."""
    return bool(state.steps(run, run.items[key]) - {"dry fit"})


def built_into(run: Run, state: State, item: Item) -> Item | None:
    """The assembly that an item is already in, if its joining has begun."""
    into = state.into(run, item)
    return run.items[into] if into and begun(run, state, into) else None


def blockers(run: Run, state: State, item: Item, step: Step, now: Now) -> tuple[Blocker, ...]:
    """Everything that blocks a step, the nearest first."""
    return tuple(_all(run, state, item, step, now))


def sentence(in_the_way: tuple[Blocker, ...]) -> str:
    """The nearest blocker in one line: `6 sides still to trim`, `Ring still to glue, and 11 more parts`."""
    if not in_the_way:
        return ""
    first, *others = in_the_way
    more = sum(blocker.count for blocker in others)
    parts = all(blocker.kind == "member" for blocker in in_the_way)
    words = f"{first.words[0].upper()}{first.words[1:]}"
    if not more:
        return words
    if not parts:
        return say("{words}, and {count} more", words=words, count=more)
    return say_many("{words}, and {count} more part", "{words}, and {count} more parts", more, words=words)


def ahead(running: RunningWait, now: Now) -> str:
    """What a clock still requires: `22 min left in clamps`."""
    return _BLOCKED_BY[running.wait.kind].format(left=rough(remaining(running, now)))


def _all(run: Run, state: State, item: Item, step: Step, now: Now) -> Iterator[Blocker]:
    aside = state.aside(run, item)
    if aside is not None:
        yield Blocker(say("set aside: {why}", why=say(aside.fact.why)) if aside.fact.why else say("set aside"), "aside")
    whole = built_into(run, state, item) if item.kind == "piece" else None
    if whole is not None:
        yield Blocker(say("already part of {whole}", whole=whole.short), "gone")
    yield from (
        Blocker(each.small_words, "misfit") for each in misfits(run, state, item) if each.verdict == "too small"
    )
    yield from _earlier_steps(run, state, item, step)
    yield from _jig(run, state, step)
    yield from _clocks(run, state, item, step, now)
    if item.members and item.route and not begun(run, state, item.key):
        yield from _members(run, state, item, step, now)
    yield from _air(run, state, item, step)
    yield from _window(run, state, item, step, now)
    yield from _proofs(run, state, item, step)
    yield from _unchecked(run, state, item, step)


def _earlier_steps(run: Run, state: State, item: Item, step: Step) -> Iterator[Blocker]:
    done = state.steps(run, item)
    for earlier in item.before(step):
        if earlier.id not in done:
            yield Blocker(say("not {past} yet", past=earlier.past), "earlier step")


def _jig(run: Run, state: State, step: Step) -> Iterator[Blocker]:
    """A jig or a template is made first."""
    if not step.jig:
        return
    for jig in (each for each in run.items.values() if each.id == step.jig):
        missing = next_step(run, state, jig)
        if missing is not None:
            yield Blocker(say("make {jig} first: it is {needs}", jig=jig.short, needs=missing.needs), "earlier step")


_BLOCKED_BY: dict[WaitKind, str] = {
    "clamp": say("{left} left in clamps"),
    "cure": say("glue cures for {left} more"),
    "recoat": say("coat dries for {left} more"),
    "dry": say("finish cures for {left} more"),
    "open": say("{left} of open time left"),
}


def _clocks(run: Run, state: State, item: Item, step: Step, now: Now) -> Iterator[Blocker]:
    for running in waits_of(run, state, item):
        found = _waits_for(running, step, now)
        if found is not None:
            yield found


def _waits_for(running: RunningWait, step: Step, now: Now) -> Blocker | None:
    """The effect of a running clock on a step. Curing glue doesn't hold up a step that neither loads nor machines it,
    and machining may begin before the full cure where the glue allows it."""
    wait = running.wait
    if not wait.at_least or is_over(running, now) or (wait.kind == "cure" and step.gentle):
        return None
    if wait.kind == "clamp" and step.in_clamps:
        return None
    if step.loads or not wait.machine:
        return Blocker(ahead(running, now), "clock", left=remaining(running, now))
    left = wait.machine - passed(running, now).least
    return (
        Blocker(say("glue cures: no work on it for {left} more", left=rough(left)), "clock", left=left)
        if left > 0
        else None
    )


def _members(run: Run, state: State, item: Item, step: Step, now: Now) -> Iterator[Blocker]:
    """What the parts still need. Equal parts are grouped: six sides that are still to trim are one blocker."""
    found: dict[tuple[str, str], list[Item]] = {}
    for key in state.members(run, item):
        member = run.items[key]
        for needs in _needs(run, state, member, step, now):
            found.setdefault((member.id, needs), []).append(member)
    for (_, needs), alike in found.items():
        name = alike[0].short if len(alike) == 1 else counted(len(alike), alike[0].name)
        yield Blocker(f"{name} {needs}", "member", count=len(alike))


def _needs(run: Run, state: State, member: Item, step: Step, now: Now) -> Iterator[str]:
    """The words after a part's name: `still to trim`, `set aside`."""
    missing, found = next_step(run, state, member), misfits(run, state, member)
    if state.aside(run, member):
        yield say("set aside")
    elif missing is not None and not any(each.verdict == "too small" for each in found):
        yield missing.needs
    elif found:
        yield found[0].small_words
    else:
        waits = (_waits_for(running, step, now) for running in waits_of(run, state, member))
        yield from (say("not ready: {blocker}", blocker=blocker.words) for blocker in waits if blocker)


def _unchecked(run: Run, state: State, item: Item, step: Step) -> Iterator[Blocker]:
    """Spread glue can't wait, so the unchecked lines of the checklist come first."""
    if step.starts == "open":
        names = [line.name for line in checklist(run, state, item) if line.state == "open"]
        if names:
            yield Blocker(say("not checked: {names}", names=", ".join(names)), "unchecked")


def _air(run: Run, state: State, item: Item, step: Step) -> Iterator[Blocker]:
    """Below a glue's minimum temperature it doesn't bond: its film stays chalky, or the reaction doesn't start."""
    glue = run.build.assembly(item.id).glue if step.starts == "open" and item.kind == "assembly" else None
    known = glue_named(glue.name) if glue else None
    if known and state.air and state.air.fact.celsius < known.coldest:
        at, least = (degrees(celsius, run.build.units) for celsius in (state.air.fact.celsius, known.coldest))
        yield Blocker(
            say("the shop is at {at}: {known} needs {least}; check the label", at=at, known=known.name, least=least),
            "air",
        )


def _window(run: Run, state: State, item: Item, step: Step, now: Now) -> Iterator[Blocker]:
    """A coat that is past its recoat window needs sanding before the next one."""
    if step.coat < 2:
        return
    before = state.tick(run, item, f"finish {step.coat - 1}")
    wait = before.done.wait if before else None
    if before is None or wait is None or not wait.limit or state.is_done(run, item, f"between {step.coat - 1}"):
        return
    gone = passed(RunningWait(item, wait, before.first), now)
    if gone.most > wait.limit:
        limit = Span(wait.limit).text
        words = (
            say("past its recoat window of {limit}: sand first", limit=limit)
            if gone.least > wait.limit
            else say("perhaps past its recoat window of {limit}: sand first", limit=limit)
        )
        yield Blocker(words, "window")


def _proofs(run: Run, state: State, item: Item, step: Step) -> Iterator[Blocker]:
    if step.id != "prove" or item.kind != "assembly":
        return
    proofs = state.proofs(run, item)
    for check in run.build.assembly(item.id).prove:
        kept = proofs.get(check)
        if kept is None:
            yield Blocker(say("not checked yet: {check}", check=check), "proof")
        elif not kept.fact.passed:
            found = f" ({kept.fact.result})" if kept.fact.result else ""
            yield Blocker(say("failed: {check}{found}", check=check, found=found), "proof", overridable=False)
