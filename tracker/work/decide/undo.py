"""Undo: anything that happened, unless something was built upon it; then the refusal says what."""

from __future__ import annotations

from tracker.work import facts
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.built_upon import BUILT_UPON, together, upon_a_tick
from tracker.work.decide.intents import Refusal, UndoEntry, UndoLabels, UndoLast
from tracker.work.facts import Entry, Fact
from tracker.work.run import Item, Run
from tracker.work.state.state import State

Facts = tuple[Fact, ...]


def undo_last(run: Run, state: State, intent: UndoLast, now: Now) -> Facts | Refusal:
    """The last thing done to an item."""
    item = run.items[intent.item]
    ticks = state.of(run, item)
    if not ticks:
        return Refusal("There is nothing to take back.")
    upon = upon_a_tick(run, state, item, ticks[-1])
    return Refusal(upon) if upon else tuple(facts.Undone(*entry) for entry in ticks[-1].entries)


def undo_labels(run: Run, state: State, intent: UndoLabels, now: Now) -> Facts | Refusal:
    sheets = state.whole(run).sheets
    return (facts.Undone(*sheets[-1].id),) if sheets else Refusal("There are no labels to take back.")


def undo_entry(run: Run, state: State, intent: UndoEntry, now: Now) -> Facts | Refusal:
    """One entry of the log, whichever it is."""
    past = state.find(intent.entry)
    if past is None:
        return Refusal("There is nothing to take back.")
    if past.undone_by is not None:
        return Refusal("That was taken back already.")
    fact = past.entry.fact
    if getattr(fact, "run", run.name) != run.name:
        return Refusal("That belongs to another build: open it first.")
    item = _item_of(run, state, past.entry)
    if item is None and hasattr(fact, "item") and not isinstance(fact, facts.Swapped):
        return Refusal("That piece isn't in this build any more.")
    upon = BUILT_UPON[type(fact)](run, state, item, past.entry)
    if upon:
        return Refusal(upon)
    return tuple(facts.Undone(*entry) for entry in together(run, state, item, past.entry))


def _item_of(run: Run, state: State, entry: Entry) -> Item | None:
    subject = state.about(entry.id)
    return run.items.get(subject[1]) if subject else None
