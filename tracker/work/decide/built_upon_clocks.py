"""What was done because a clock had ended by a time that a person entered or confirmed: it keeps that entry from being
undone.

An answered alarm counts as much as a step, because an answered clock no longer blocks anything.
"""

from __future__ import annotations

from collections.abc import Iterator

from tracker.words import say
from tracker.work import facts
from tracker.work.facts import Entry
from tracker.work.operations import WaitKind, step_named
from tracker.work.run import Item, Run
from tracker.work.state.records import ItemRecord
from tracker.work.state.run_from_log import item_from_log
from tracker.work.state.state import State, Tick


def upon_overruled(run: Run, state: State, item: Item, entry: Entry) -> str:
    """Steps done, or an alarm answered, since then because of a clock that the label's time was for."""
    assert isinstance(entry.fact, facts.Overruled)
    kind: WaitKind = entry.fact.wait
    here = state.item(run, item)
    starting = [tick for tick in here.ticks if tick.done.wait and tick.done.wait.kind == kind]
    started = {tick.step for tick in starting}
    for tick in here.ticks:
        step = item.step(tick.step)
        ended = step is not None and (step.closes == kind or started & {each.id for each in item.before(step)})
        if tick.first.is_after(entry) and (ended or tick.step in started):
            return say("{name}: {past} since. Take that back first.", name=item.short, past=past_of(item, tick))
    if any(_answered_since(entry, tick, here) for tick in starting):
        return say("{name}: the alarm was answered since. Take that back first.", name=item.short)
    return ""


def upon_confirmed(run: Run, state: State, item: Item | None, entry: Entry) -> str:
    """What was done since then in any run because a clock had ended by the confirmed times."""
    for name, key, record in _every_item(state):
        found = next((words for tick in record.ticks if (words := _ended_by(entry, tick, record))), "")
        if found:
            known = run.items.get(key) if name == run.name else None
            return say(
                "{known}: {found} by that clock. Take that back first.",
                known=(known or item_from_log(key, record)).short,
                found=found,
            )
    for member in run.items.values():
        into = state.into(run, member)
        if into is None or not any(_may_end_by(entry, tick) for tick in state.of(run, member)):
            continue
        whole = run.items[into]
        for tick in state.of(run, whole):
            if tick.first.is_after(entry) and not tick.early:
                return say(
                    "{whole}: {past} by that clock. Take that back first.",
                    whole=whole.short,
                    past=past_of(whole, tick),
                )
    return ""


def past_of(item: Item, tick: Tick) -> str:
    """What was done, as a past participle: `clamped`."""
    step = item.step(tick.step)
    return step.past if step else tick.step


def _every_item(state: State) -> Iterator[tuple[str, str, ItemRecord]]:
    return ((name, key, record) for name, here in state.runs.items() for key, record in here.items.items())


def _may_end_by(confirmed: Entry, tick: Tick) -> bool:
    """Whether a step started a clock that the confirmed times may have ended: before they were confirmed, or in a boot
    whose clock was confirmed."""
    fact, wait = confirmed.fact, tick.done.wait
    assert isinstance(fact, facts.ClockConfirmed)
    boots = {fact.boot_id, *(moment.boot_id for moment in fact.starts)}
    return wait is not None and (confirmed.is_after(tick.first) or wait.boot_id in boots)


def _ended_by(confirmed: Entry, tick: Tick, here: ItemRecord) -> str:
    """What ended a step's clock after the times were confirmed; empty when it was knowingly ended early."""
    wait = tick.done.wait
    if wait is None or not _may_end_by(confirmed, tick):
        return ""
    if _answered_since(confirmed, tick, here):
        return say("the alarm was answered")
    for later in here.ticks:
        ended = step_named(later.step).closes == wait.kind or set(later.done.answers) & set(tick.entries)
        if later.first.is_after(confirmed) and ended and not later.early:
            return step_named(later.step).past
    return ""


def _answered_since(entry: Entry, tick: Tick, here: ItemRecord) -> bool:
    """Whether somebody answered a step's clock after an entry was written."""
    return any(
        isinstance(later.fact, facts.Answered)
        and (later.fact.tablet, later.fact.count) in tick.entries
        and later.is_after(entry)
        for later in here.history.live
    )
