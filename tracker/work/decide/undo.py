"""Undo: anything can be undone unless something depends on it; then the refusal says what."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.words import say
from tracker.work import facts
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.built_upon import BUILT_UPON, together, upon_a_tick
from tracker.work.decide.intents import Refusal, UndoEntry, UndoLabels, UndoLast
from tracker.work.facts import Entry, EntryId, Fact
from tracker.work.run import Item, Run
from tracker.work.state.state import State, Tick

Facts = tuple[Fact, ...]


def undo_last(run: Run, state: State, intent: UndoLast, now: Now) -> Facts | Refusal:
    """Undo the last thing done to an item, together with everything ticked by the same hold."""
    item = run.items[intent.item]
    last = last_ticks(run, state, item)
    if not last:
        return Refusal(say("There is nothing to take back."))
    upon = next((reason for each, tick in last if (reason := upon_a_tick(run, state, each, tick))), "")
    return Refusal(upon) if upon else _undone(entry for _, tick in last for entry in tick.entries)


def last_ticks(run: Run, state: State, item: Item) -> list[tuple[Item, Tick]]:
    """What one undo of an item takes back: its last step, and the others ticked by the same hold unless something
    depends on one of them."""
    ticks = state.of(run, item)
    if not ticks:
        return []
    batch = _batch(run, state, ticks[-1])
    if any(upon_a_tick(run, state, each, tick) for each, tick in batch):
        batch = []
    return batch or [(item, ticks[-1])]


def _batch(run: Run, state: State, tick: Tick) -> list[tuple[Item, Tick]]:
    """What one hold ticked and what hasn't been undone since; empty if one of its pieces has been made again."""
    first, found = tick.first, []
    for at in range(tick.done.batch):
        past = state.find((first.tablet, first.count - tick.done.batch_at + at))
        if past is None or not isinstance(past.entry.fact, facts.Done):
            return []
        if past.undone_by is not None:
            continue
        item = run.items.get(past.entry.fact.item)
        mine = state.tick(run, item, past.entry.fact.step) if item else None
        if item is None or mine is None or past.entry.id not in mine.entries:
            return []
        found.append((item, mine))
    return found


def _undone(entries: Iterable[EntryId]) -> Facts:
    return tuple(facts.Undone(*entry) for entry in dict.fromkeys(entries))


def undo_labels(run: Run, state: State, intent: UndoLabels, now: Now) -> Facts | Refusal:
    sheets = state.whole(run).sheets
    return (facts.Undone(*sheets[-1].id),) if sheets else Refusal(say("There are no labels to take back."))


def undo_entry(run: Run, state: State, intent: UndoEntry, now: Now) -> Facts | Refusal:
    """Undo one entry of the log, of any kind."""
    past = state.find(intent.entry)
    if past is None:
        return Refusal(say("There is nothing to take back."))
    if past.undone_by is not None:
        return Refusal(say("That was undone already."))
    fact = past.entry.fact
    if getattr(fact, "run", run.name) != run.name:
        return Refusal(say("That belongs to another build: open it first."))
    item = _item_of(run, state, past.entry)
    if item is None and hasattr(fact, "item") and not isinstance(fact, facts.Swapped):
        return Refusal(say("That piece isn't in this build any more."))
    upon = BUILT_UPON[type(fact)](run, state, item, past.entry)
    if upon:
        return Refusal(upon)
    return tuple(facts.Undone(*entry) for entry in together(run, state, item, past.entry))


def _item_of(run: Run, state: State, entry: Entry) -> Item | None:
    subject = state.about(entry.id)
    return run.items.get(subject[1]) if subject else None
