"""Conflicts between tablets: what two tablets did while apart that a person should look at. Pure, from the entries
alone.

Two entries were made apart when neither tablet had seen the other's. Both are kept, and the resulting state is the same
on every tablet, because the fold doesn't depend on the order of arrival. These are the pairs where a person may have to
put something right.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from msgspec import Struct

from tracker.work import facts
from tracker.work.facts import Entry
from tracker.work.run import Run
from tracker.work.state.records import NEW_ITEM, HistoryEntry
from tracker.work.state.state import RunState, State

Kind = Literal["twice", "spoiled", "taken back", "two glue-ups", "swapped", "boards"]


class Conflict(Struct, frozen=True):
    """Two entries about one thing; `first` and `second` are in the order on which all tablets agree. For "spoiled",
    "taken back" and "swapped", `first` ends or changes something, and `second` is what was done to it in the meantime.
    """

    kind: Kind
    run: str
    item: str
    first: Entry
    second: Entry


def concurrent(one: Entry, other: Entry) -> bool:
    """Whether neither tablet had seen the other's entry."""
    return (
        one.tablet != other.tablet
        and one.seen.get(other.tablet, 0) < other.count
        and other.seen.get(one.tablet, 0) < one.count
    )


def conflicts(new: Iterable[Entry], state: State, run: Run) -> tuple[Conflict, ...]:
    """The conflicts between the entries of a run that came in from other tablets, already folded into `state`, and
    entries made in the meantime."""
    found: dict[tuple[object, ...], Conflict] = {}
    for entry in new:
        for each in _about(entry, state, run):
            found[each.kind, frozenset((each.first.id, each.second.id))] = each
    return tuple(found.values())


def _about(entry: Entry, state: State, run: Run) -> Iterator[Conflict]:
    here = state.runs.get(run.name, RunState())
    fact = entry.fact
    if isinstance(fact, facts.Undone):
        yield from _taken_back(entry, (fact.tablet, fact.count), state, here, run)
    elif getattr(fact, "run", "") != run.name:
        return
    elif isinstance(fact, facts.Done | facts.Spoiled):
        yield from _of_an_item(entry, here.items.get(fact.item, NEW_ITEM).history.rows, run)
        if isinstance(fact, facts.Done):
            yield from _swapped(entry, here.whole.history.rows, run)
    elif isinstance(fact, facts.CheckedIn):
        yield from _two_glueups(entry, here, run)
    elif isinstance(fact, facts.BoardsPlanned):
        for row in here.whole.history.rows:
            if (
                isinstance(row.entry.fact, facts.BoardsPlanned)
                and row.undone_by is None
                and concurrent(entry, row.entry)
            ):
                yield _ordered("boards", run, "", entry, row.entry)
    elif isinstance(fact, facts.Swapped):
        for key in (fact.item, fact.twin):
            into = run.items[key].into if key in run.items else None
            for row in here.items.get(into or "", NEW_ITEM).history.rows:
                yield from _swapped(row.entry, (HistoryEntry(entry),), run)


def _of_an_item(entry: Entry, history: Iterable[HistoryEntry], run: Run) -> Iterator[Conflict]:
    """A step ticked twice, or on a piece that was spoiled; or something done to what was taken back."""
    fact = entry.fact
    assert isinstance(fact, facts.Done | facts.Spoiled)
    for row in history:
        other = row.entry
        by = row.undone_by
        if by is not None:
            built = isinstance(fact, facts.Done) and entry.seen.get(other.tablet, 0) >= other.count
            if built and concurrent(entry, by) and isinstance(other.fact, facts.Done):
                yield Conflict("taken back", run.name, fact.item, other, entry)
        elif not concurrent(entry, other):
            continue
        elif isinstance(fact, facts.Done) and isinstance(other.fact, facts.Done):
            if fact.step == other.fact.step:
                yield _ordered("twice", run, fact.item, entry, other)
        elif isinstance(fact, facts.Spoiled) and isinstance(other.fact, facts.Done):
            yield Conflict("spoiled", run.name, fact.item, entry, other)
        elif isinstance(fact, facts.Done) and isinstance(other.fact, facts.Spoiled):
            yield Conflict("spoiled", run.name, fact.item, other, entry)


def _taken_back(by: Entry, target: tuple[str, int], state: State, here: RunState, run: Run) -> Iterator[Conflict]:
    subject = state.about(target)
    if subject is None or subject[0] != run.name or not subject[1]:
        return
    rows = tuple(here.items.get(subject[1], NEW_ITEM).history.rows)
    undone = next((row.entry for row in rows if row.entry.id == target), None)
    if undone is None or not isinstance(undone.fact, facts.Done):
        return
    for row in rows:
        knew = row.entry.seen.get(target[0], 0) >= target[1]
        if isinstance(row.entry.fact, facts.Done) and row.undone_by is None and knew and concurrent(by, row.entry):
            yield Conflict("taken back", run.name, subject[1], undone, row.entry)


def _two_glueups(entry: Entry, here: RunState, run: Run) -> Iterator[Conflict]:
    fact = entry.fact
    assert isinstance(fact, facts.CheckedIn)
    for key, record in here.items.items():
        for row in record.history.rows if key != fact.item else ():
            other = row.entry
            same = isinstance(other.fact, facts.CheckedIn) and other.fact.piece == fact.piece
            if same and row.undone_by is None and concurrent(entry, other):
                yield _ordered("two glue-ups", run, fact.piece, entry, other)


def _swapped(glued: Entry, swaps: Iterable[HistoryEntry], run: Run) -> Iterator[Conflict]:
    """A piece changed places on one tablet while another one glued the assembly it had been meant for."""
    fact = glued.fact
    if not isinstance(fact, facts.Done) or fact.step not in ("spread", "clamp", "attach"):
        return
    for row in swaps:
        swap = row.entry.fact
        if not isinstance(swap, facts.Swapped) or row.undone_by is not None or not concurrent(glued, row.entry):
            continue
        places = {key: run.items[key].into for key in (swap.item, swap.twin) if key in run.items}
        for key, into in places.items():
            if into == fact.item and len(set(places.values())) > 1:
                yield Conflict("swapped", run.name, key, row.entry, glued)


def _ordered(kind: Kind, run: Run, item: str, one: Entry, other: Entry) -> Conflict:
    first, second = sorted((one, other), key=lambda entry: entry.rank)
    return Conflict(kind, run.name, item, first, second)
