"""State: what the log says, folded. Never stored; the same facts give the same state in whatever order they came in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from tracker.work.facts import Answered, Done, Entry, EntryId, Labelled, Opened, Undone, Wait, in_order
from tracker.work.run import Item, Run


@dataclass(frozen=True, slots=True)
class Tick:
    """A step that counts as done, and every entry that says so (two tablets may have ticked the same)."""

    step: str
    first: Entry
    entries: tuple[EntryId, ...]

    @property
    def done(self) -> Done:
        assert isinstance(self.first.fact, Done)
        return self.first.fact


@dataclass(frozen=True, slots=True)
class State:
    """What has been done. `ticks[(run, item)]` are in the order in which they were done."""

    ticks: Mapping[tuple[str, str], tuple[Tick, ...]] = field(default_factory=dict)
    answered: frozenset[EntryId] = frozenset()
    opened: Mapping[str, Opened] = field(default_factory=dict)
    """Each run's latest opening, in the order in which they were first opened."""
    sheets: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict)
    """Each run's sheets of labels that weren't taken back, in order; every fact is a Labelled."""

    def of(self, run: Run, item: Item) -> tuple[Tick, ...]:
        """What has been done to an item, in order."""
        return self.ticks.get((run.name, item.key), ())

    def steps(self, run: Run, item: Item) -> frozenset[str]:
        """The ids of the steps done to an item."""
        return frozenset(tick.step for tick in self.of(run, item))

    def is_done(self, run: Run, item: Item, step: str) -> bool:
        return any(tick.step == step for tick in self.of(run, item))

    def labelled(self, run: Run) -> frozenset[str]:
        """The keys of the items and boards of a run that have a label."""
        facts = (entry.fact for entry in self.sheets.get(run.name, ()))
        return frozenset(key for fact in facts if isinstance(fact, Labelled) for key in fact.items)

    def finished(self, run: Run, item: Item) -> bool:
        """The whole route is done."""
        return {step.id for step in item.route} <= self.steps(run, item)


def replay(entries: Iterable[Entry]) -> State:
    """Fold a log, in whatever order it is given."""
    ordered = in_order(entries)
    undone = {(entry.fact.tablet, entry.fact.count) for entry in ordered if isinstance(entry.fact, Undone)}
    ticks: dict[tuple[str, str], dict[str, Tick]] = {}
    answered: set[EntryId] = set()
    opened: dict[str, Opened] = {}
    sheets: dict[str, tuple[Entry, ...]] = {}
    for entry in ordered:
        fact = entry.fact
        if entry.id in undone:
            continue
        if isinstance(fact, Done):
            mine = ticks.setdefault((fact.run, fact.item), {})
            known = mine.get(fact.step)
            answered.update(fact.answers)
            mine[fact.step] = Tick(
                fact.step, known.first if known else entry, (*(known.entries if known else ()), entry.id)
            )
        elif isinstance(fact, Answered):
            answered.add((fact.tablet, fact.count))
        elif isinstance(fact, Opened):
            opened[fact.run] = fact
        elif isinstance(fact, Labelled):
            sheets[fact.run] = (*sheets.get(fact.run, ()), entry)
    done = {key: tuple(mine.values()) for key, mine in ticks.items() if mine}
    return State(done, frozenset(answered), opened, sheets)


@dataclass(frozen=True, slots=True)
class RunningWait:
    """A clock that nobody has ended yet. What remains is computed from it and the time, and never stored."""

    item: Item
    wait: Wait
    entry: Entry


def running_waits(run: Run, state: State) -> tuple[RunningWait, ...]:
    """Every clock of a run that is running or over and not yet answered, in the order of the build."""
    found = []
    for item in run.assemblies:
        ticks = state.of(run, item)
        for at, tick in enumerate(ticks):
            wait = tick.done.wait
            if wait is None or any(entry in state.answered for entry in tick.entries):
                continue
            if not any(_closes(item, later, wait) for later in ticks[at + 1 :]):
                found.append(RunningWait(item, wait, tick.first))
    return tuple(found)


def _closes(item: Item, tick: Tick, wait: Wait) -> bool:
    step = item.step(tick.step)
    return step is not None and step.closes == wait.kind
