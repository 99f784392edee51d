"""What may be done: every tap is an intent, and `decide` answers with facts or with a refusal and its reason.

The button that is drawn asks the same `decide` that the tap will ask.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tracker.measure.span import rough
from tracker.work.clocks import Now, is_over, remaining
from tracker.work.facts import Answered, Done, EntryId, Fact, Labelled, Opened, Undone, Wait
from tracker.work.run import Item, Run
from tracker.work.state import RunningWait, State, Tick, running_waits
from tracker.work.steps import Step, WaitKind

GOING_AHEAD = (
    "Done before",
    "Tested: ready",
    "Another way",
    "My own risk",
)
"""Reasons offered for going ahead anyway; whichever is chosen stays in the record."""


@dataclass(frozen=True, slots=True)
class OpenBuild:
    """Work on this run from now on."""

    file: str


@dataclass(frozen=True, slots=True)
class Do:
    """Tick a step. `anyway` gives the reason for going ahead against a blocker."""

    item: str
    step: str
    anyway: str = ""


@dataclass(frozen=True, slots=True)
class TakeBack:
    """The last thing done to this item was a mistake."""

    item: str


@dataclass(frozen=True, slots=True)
class Answer:
    """Somebody has seen that this clock is over. `entry` is the fact that started it."""

    entry: EntryId


@dataclass(frozen=True, slots=True)
class Label:
    """A sheet with the labels of these items and boards was made."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakeBackLabels:
    """The last sheet of labels was a mistake, or spoilt in the printer."""


Intent = OpenBuild | Do | TakeBack | Answer | Label | TakeBackLabels


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why not. `overridable`: it can be done anyway, with a reason that is recorded."""

    reason: str
    overridable: bool = False


@dataclass(frozen=True, slots=True)
class Blocker:
    """One thing in the way, in words: `waits for Leg 3: not drilled`, `in clamps for 22 min more`."""

    words: str
    kind: Literal["earlier step", "member", "clock", "gone"]


def decide(run: Run, state: State, intent: Intent, now: Now) -> tuple[Fact, ...] | Refusal:
    """The facts that an intent makes, or why it can't be."""
    match intent:
        case OpenBuild():
            return (Opened(run.name, run.build.name, intent.file),)
        case Do():
            return _do(run, state, intent, now)
        case TakeBack():
            return _take_back(run, state, intent)
        case Answer():
            return _answer(run, state, intent, now)
        case Label():
            return _label(run, intent)
        case TakeBackLabels():
            sheets = state.sheets.get(run.name, ())
            return (Undone(*sheets[-1].id),) if sheets else Refusal("There are no labels to take back.")


def next_step(run: Run, state: State, item: Item) -> Step | None:
    """The first step of the route that isn't done."""
    done = state.steps(run, item)
    return next((step for step in item.route if step.id not in done), None)


def blockers(run: Run, state: State, item: Item, step: Step, now: Now) -> tuple[Blocker, ...]:
    """All that stands in the way of a step, nearest first."""
    found: list[Blocker] = []
    if item.kind == "piece" and item.into and _begun(run, state, item.into):
        found.append(Blocker(f"it is in {run.items[item.into].short} already", "gone"))
    found += _earlier_steps(run, state, item, step)
    found += [Blocker(words, "clock") for words in _clocks_in_the_way(run, state, item, step, now)]
    if item.members and item.route and not _begun(run, state, item.key):
        found += [Blocker(words, "member") for words in _members_in_the_way(run, state, item, now)]
    return tuple(found)


def _do(run: Run, state: State, intent: Do, now: Now) -> tuple[Fact, ...] | Refusal:
    item = run.items.get(intent.item)
    step = item.step(intent.step) if item else None
    if item is None or step is None:
        return Refusal("This build has no such step.")
    if state.is_done(run, item, step.id):
        return Refusal(f"{item.short}: {step.past} already.")
    in_the_way = blockers(run, state, item, step, now)
    if in_the_way and not intent.anyway:
        return Refusal(_sentence(in_the_way), overridable=True)
    against = _sentence(in_the_way)
    anyway = intent.anyway if against else ""
    wait, answers = _wait(item, step, now), _answers(run, state, item, now)
    return (Done(run.name, item.key, step.id, anyway, against, wait, answers),)


def _wait(item: Item, step: Step, now: Now) -> Wait | None:
    span = item.waits.get(step.starts) if step.starts else None
    if step.starts is None or span is None:
        return None
    return Wait(step.starts, span.seconds, now.boot_id, now.boot)


def _answers(run: Run, state: State, item: Item, now: Now) -> tuple[EntryId, ...]:
    """Going on with an item answers those of its clocks that are over."""
    over = (r for r in running_waits(run, state) if r.item.key == item.key and r.wait.at_least and is_over(r, now))
    return tuple(running.entry.id for running in over)


def _take_back(run: Run, state: State, intent: TakeBack) -> tuple[Fact, ...] | Refusal:
    item = run.items.get(intent.item)
    ticks = state.of(run, item) if item else ()
    if item is None or not ticks:
        return Refusal("There is nothing to take back.")
    if item.into and _built_upon(run, state, item.into, ticks[-1]):
        return Refusal(f"{item.short} is in {run.items[item.into].short}: take that back first.")
    return tuple(Undone(*entry) for entry in ticks[-1].entries)


def _answer(run: Run, state: State, intent: Answer, now: Now) -> tuple[Fact, ...] | Refusal:
    running = next((r for r in running_waits(run, state) if r.entry.id == intent.entry), None)
    if running is None:
        return Refusal("That clock isn't running any more.")
    if not is_over(running, now):
        return Refusal(f"{running.item.short}: {_ahead(running, now)}.")
    return (Answered(*intent.entry),)


def _label(run: Run, intent: Label) -> tuple[Fact, ...] | Refusal:
    if not intent.items:
        return Refusal("There is nothing to label.")
    if not set(intent.items) <= {*run.items, *run.boards}:
        return Refusal("This build has no such piece.")
    return (Labelled(run.name, intent.items),)


def _begun(run: Run, state: State, key: str) -> bool:
    """An assembly is begun when something that can't be pulled apart again was done to it."""
    return bool(state.steps(run, run.items[key]) - {"dry fit"})


def _built_upon(run: Run, state: State, key: str, tick: Tick) -> bool:
    """Whether an assembly went on after `tick`; what was done to a piece in it later can still be taken back."""
    later = (other for other in state.of(run, run.items[key]) if other.step != "dry fit")
    return any(other.first.rank > tick.first.rank for other in later)


def _earlier_steps(run: Run, state: State, item: Item, step: Step) -> list[Blocker]:
    done = state.steps(run, item)
    before = item.route[: item.route.index(step)]
    return [Blocker(f"not {earlier.past} yet", "earlier step") for earlier in before if earlier.id not in done]


_BLOCKED_BY: dict[WaitKind, str] = {
    "clamp": "in clamps for {} more",
    "cure": "glue curing for {} more",
    "recoat": "coat drying for {} more",
    "dry": "finish curing for {} more",
    "open": "open time: {} left",
}


def _ahead(running: RunningWait, now: Now) -> str:
    return _BLOCKED_BY[running.wait.kind].format(rough(remaining(running, now)))


def _clocks_in_the_way(run: Run, state: State, item: Item, step: Step, now: Now) -> list[str]:
    mine = (r for r in running_waits(run, state) if r.item.key == item.key)
    return [_ahead(r, now) for r in mine if r.wait.at_least and not is_over(r, now)]


def _members_in_the_way(run: Run, state: State, item: Item, now: Now) -> list[str]:
    found = []
    for key in item.members:
        member = run.items[key]
        missing = next_step(run, state, member)
        if missing is not None:
            found.append(f"waits for {member.short}: not {missing.past}")
        else:
            running = [r for r in running_waits(run, state) if r.item.key == key and r.wait.at_least]
            found += [f"waits for {member.short}: {_ahead(r, now)}" for r in running if not is_over(r, now)]
    return found


def _sentence(in_the_way: tuple[Blocker, ...]) -> str:
    """The nearest blockers in one line: `waits for Leg 3: not drilled, and 2 more`."""
    if not in_the_way:
        return ""
    first = in_the_way[0].words
    more = len(in_the_way) - 1
    return f"{first[0].upper()}{first[1:]}{f', and {more} more' if more else ''}"
