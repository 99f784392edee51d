"""What depends on an entry of the log. While something does, the entry can't be undone; the functions return what it
is.

`BUILT_UPON` is the table, with one rule for each kind of fact.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from tracker.words import say
from tracker.work import facts
from tracker.work.board_of_piece import cut_from_boards, short_name, what_was_cut_from
from tracker.work.decide.built_upon_clocks import past_of, upon_confirmed, upon_overruled
from tracker.work.decide.prerequisites import built_into
from tracker.work.facts import Entry, EntryId
from tracker.work.run import Item, Run, board_key
from tracker.work.state.state import State, Tick


def together(run: Run, state: State, item: Item | None, entry: Entry) -> tuple[EntryId, ...]:
    """The entries that are undone together: a step ticked on two tablets, or an assembly and everything in it."""
    fact = entry.fact
    if item is not None and isinstance(fact, facts.Done):
        # One entry of an older log may tick both ends.
        ticked = [id_ for tick in state.of(run, item) if entry.id in tick.entries for id_ in tick.entries]
        return tuple(dict.fromkeys(ticked)) or (entry.id,)
    if isinstance(fact, facts.Spoiled) and not fact.inside:
        inside = [
            kept.id
            for each in run.items.values()
            for kept in state.spoils(run, each)[-1:]
            if kept.fact.inside == fact.item and kept.entry.tablet == entry.tablet and kept.entry.at == entry.at
        ]
        return (entry.id, *inside)
    return (entry.id,)


def _first(*reasons: str) -> str:
    return next((reason for reason in reasons if reason), "")


def _free(run: Run, state: State, item: Any, entry: Entry) -> str:
    return ""


def _never(reason: str) -> Callable[..., str]:
    return lambda run, state, item, entry: reason


def _made_again(run: Run, state: State, item: Item, entry: Entry) -> str:
    spoils = state.spoils(run, item)
    if spoils and spoils[-1].entry.is_after(entry):
        return say("{name} was spoiled since: take that back first.", name=item.short)
    return ""


def _step_since(run: Run, state: State, item: Item, entry: Entry) -> str:
    """Anything done to the item since."""
    for tick in state.of(run, item):
        if tick.first.is_after(entry):
            return say("{name}: {past} since. Take that back first.", name=item.short, past=past_of(item, tick))
    return ""


def _glued_since(run: Run, state: State, item: Item, entry: Entry) -> str:
    """Something done to an assembly since that can't be taken apart again."""
    for tick in state.of(run, item):
        if tick.step != "dry fit" and tick.first.is_after(entry):
            return say("{name}: {past} since. Take that back first.", name=item.short, past=past_of(item, tick))
    return ""


def _joined_since(run: Run, state: State, item: Item, entry: Entry) -> str:
    """Work on the assembly that the item is in; what was done to a piece inside it later can still be undone."""
    whole = built_into(run, state, item)
    if whole is None:
        return ""
    later = (tick for tick in state.of(run, whole) if tick.step != "dry fit")
    if any(tick.first.is_after(entry) for tick in later):
        return say("{name} is in {whole}: take that back first.", name=item.short, whole=whole.short)
    return ""


def _anything_since(run: Run, state: State, item: Item, entry: Entry) -> str:
    return _first(*(asked(run, state, item, entry) for asked in (_made_again, _step_since, _joined_since)))


def upon_a_tick(run: Run, state: State, item: Item, tick: Tick) -> str:
    """What depends on a step: later steps of the route that were done after it, and the assembly it went into."""
    mine = item.step(tick.step)
    if mine is not None:
        for later in state.of(run, item):
            step = item.step(later.step)
            if step and later.first.is_after(tick.first) and mine in item.before(step):
                return say("{name}: {past} since. Take that back first.", name=item.short, past=step.past)
    return _joined_since(run, state, item, tick.first)


def _upon_done(run: Run, state: State, item: Item, entry: Entry) -> str:
    assert isinstance(entry.fact, facts.Done)
    ticks = [tick for tick in state.of(run, item) if entry.id in tick.entries]
    if not ticks:
        return _made_again(run, state, item, entry)
    return _first(*(upon_a_tick(run, state, item, tick) for tick in ticks))


def _upon_spoiled(run: Run, state: State, item: Item, entry: Entry) -> str:
    assert isinstance(entry.fact, facts.Spoiled)
    if entry.fact.inside and entry.fact.inside in run.items:
        whole = run.items[entry.fact.inside]
        if any(kept.entry.at == entry.at for kept in state.spoils(run, whole)):
            return say("It went with {whole}: take that back.", whole=whole.short)
    if entry.fact.inside:
        return _anything_since(run, state, item, entry)
    undone_together, reasons = together(run, state, item, entry), []
    for each in (item, *_all_within(run, state, item)):
        # What was spoiled with it doesn't count as a later making: each is checked from its own entry on.
        own = next((kept.entry for kept in state.spoils(run, each)[-1:] if kept.id in undone_together), entry)
        reasons.append(_anything_since(run, state, each, own))
    return _first(*reasons)


def _all_within(run: Run, state: State, item: Item) -> Iterator[Item]:
    """Everything joined into an assembly, at all levels."""
    for key in state.members(run, item):
        yield run.items[key]
        yield from _all_within(run, state, run.items[key])


def _upon_set_aside(run: Run, state: State, item: Item, entry: Entry) -> str:
    now_aside = state.aside(run, item)
    if now_aside is None or now_aside.id != entry.id:
        return say("{name} was put back to work since: take that back first.", name=item.short)
    return ""


def _upon_resumed(run: Run, state: State, item: Item, entry: Entry) -> str:
    now_aside = state.aside(run, item)
    if now_aside is not None:
        return say("{name} was set aside again since: take that back first.", name=item.short)
    return _first(
        _made_again(run, state, item, entry),
        _step_since(run, state, item, entry),
        _joined_since(run, state, item, entry),
    )


def _upon_swapped(run: Run, state: State, item: Any, entry: Entry) -> str:
    assert isinstance(entry.fact, facts.Swapped)
    pair = {entry.fact.item, entry.fact.twin}
    for later in state.whole(run).swaps:
        if later.entry.is_after(entry) and pair & {later.fact.item, later.fact.twin}:
            return say("They changed places again since: take that back first.")
    both = [run.items[key] for key in sorted(pair) if key in run.items]
    return _first(*(_joined_since(run, state, each, entry) for each in both))


def _upon_checked(run: Run, state: State, item: Item, entry: Entry) -> str:
    return _glued_since(run, state, item, entry)


def _upon_proven(run: Run, state: State, item: Item, entry: Entry) -> str:
    tick = state.tick(run, item, "prove")
    if tick is not None and tick.first.is_after(entry):
        return say("{name} is proven: take that back first.", name=item.short)
    return ""


def _upon_boards(run: Run, state: State, item: Any, entry: Entry) -> str:
    for key, cut in cut_from_boards(run, state):
        if cut.is_after(entry):
            return say("{name} was cut by it: take that back first.", name=short_name(run, key))
    return ""


def _upon_racked(run: Run, state: State, item: Any, entry: Entry) -> str:
    """Pieces cut from the board, including spoiled ones, its offcuts, and a plan that uses it."""
    assert isinstance(entry.fact, facts.Racked)
    board = board_key(entry.fact.name)
    cut = what_was_cut_from(run, state, board)
    if cut:
        return say("{cut} was cut from it: take that back first.", cut=cut)
    planned = state.whole(run).boards
    if planned and planned.entry.is_after(entry) and any(each.key == board for each in planned.fact.boards):
        return say("The board plan uses it: take that back first.")
    return ""


def _upon_given_back(run: Run, state: State, item: Any, entry: Entry) -> str:
    assert isinstance(entry.fact, facts.GivenBack)
    there = entry.fact.name in state.racked(run)
    return (
        say("There is a board {name} on the rack again: take that back first.", name=entry.fact.name) if there else ""
    )


BUILT_UPON: dict[type[Any], Callable[[Run, State, Any, Entry], str]] = {
    facts.Done: _upon_done,
    facts.Measured: _made_again,
    facts.Spoiled: _upon_spoiled,
    facts.SetAside: _upon_set_aside,
    facts.Resumed: _upon_resumed,
    facts.Swapped: _upon_swapped,
    facts.Noted: _free,
    facts.Checked: _upon_checked,
    facts.CheckedIn: _upon_checked,
    facts.Overruled: upon_overruled,
    facts.Proven: _upon_proven,
    facts.Air: _free,
    facts.ClockConfirmed: upon_confirmed,
    facts.BoardsPlanned: _upon_boards,
    facts.Racked: _upon_racked,
    facts.GivenBack: _upon_given_back,
    facts.MoistureRead: _free,
    facts.Labelled: _free,
    facts.Answered: _free,
    facts.Opened: _never(say("Opening a build can't be undone: open another.")),
    facts.Undone: _never(say("Do it again instead.")),
}
