"""The state folded from the log. Never stored; the same facts give the same state in every order of arrival.

`replay` makes it. A state is frozen: a tap gives a new one that shares everything but the changed item. Two states are
equal when everything in effect is equal; undone entries are only in the history.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct, field
from msgspec.structs import replace

from tracker.work import facts
from tracker.work.clocks.beat import Beat
from tracker.work.clocks.waits import WaitOf, wait_of
from tracker.work.facts import Entry, EntryId
from tracker.work.operations import PASSES, WaitKind, step_named
from tracker.work.planned import of_the_build
from tracker.work.run import Item, Run
from tracker.work.state.records import NEW_ITEM, NEW_RUN, NEW_SHOP, History, ItemRecord, RunRecord, ShopRecord
from tracker.work.state.records import HistoryEntry as HistoryEntry
from tracker.work.state.records import Recorded as Recorded
from tracker.work.state.records import Tick as Tick
from tracker.work.state.run_from_log import item_from_log

Subject = tuple[str, str]
"""(run, item); the item is empty for a run as a whole, and both are empty for the shop."""


class RunState(Struct, frozen=True):
    """The record of a run, and of every item that has an entry."""

    items: Mapping[str, ItemRecord] = field(default_factory=dict)
    whole: RunRecord = NEW_RUN

    def __eq__(self, other: object) -> bool:
        return isinstance(other, RunState) and self.whole == other.whole and self._said() == other._said()

    __hash__ = None  # type: ignore[assignment]

    def _said(self) -> dict[str, ItemRecord]:
        return {key: item for key, item in self.items.items() if item != NEW_ITEM}


_NO_RUN = RunState()


class State(Struct, frozen=True):
    """What has been done, by run and item."""

    runs: Mapping[str, RunState] = field(default_factory=dict)
    shop: ShopRecord = NEW_SHOP
    subjects: Mapping[EntryId, Subject | None] = field(default_factory=dict)
    """The subject of every entry. It only grows, so all states of one log share it."""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, State) and self.shop == other.shop and self._said() == other._said()

    __hash__ = None  # type: ignore[assignment]

    def _said(self) -> dict[str, RunState]:
        return {name: run for name, run in self.runs.items() if run != _NO_RUN}

    def item(self, run: Run, item: Item) -> ItemRecord:
        """The record of an item."""
        return self.runs.get(run.name, _NO_RUN).items.get(item.key, NEW_ITEM)

    def whole(self, run: Run) -> RunRecord:
        """The record of a run as a whole."""
        return self.runs.get(run.name, _NO_RUN).whole

    # -- the route ---------------------------------------------------------------------------------------------

    @property
    def ticks(self) -> dict[tuple[str, str], tuple[Tick, ...]]:
        """Every tick, by (run, item)."""
        return {
            (name, key): item.ticks for name, run in self.runs.items() for key, item in run.items.items() if item.ticks
        }

    def ticks_of(self, run: Run) -> dict[str, tuple[Tick, ...]]:
        """Every tick of a run, by item; including items that a revised build no longer has."""
        items = self.runs.get(run.name, _NO_RUN).items
        return {key: item.ticks for key, item in items.items() if item.ticks}

    def of(self, run: Run, item: Item) -> tuple[Tick, ...]:
        """The ticks of an item, in order."""
        return self.item(run, item).ticks

    def steps(self, run: Run, item: Item) -> frozenset[str]:
        """The ids of the steps done to an item."""
        return frozenset(tick.step for tick in self.of(run, item))

    def tick(self, run: Run, item: Item, step: str) -> Tick | None:
        """The tick of a step; None where the step isn't done."""
        return next((tick for tick in self.of(run, item) if tick.step == step), None)

    def is_done(self, run: Run, item: Item, step: str) -> bool:
        """Whether a step is done; for `trim`, whether every end that the route trims is done."""
        if not self.of(run, item):  # nothing is done: a queue asks this for every piece
            return False
        steps = [each.id for each in item.route if each.operation == step] if step in PASSES else [step]
        return all(self.tick(run, item, each) is not None for each in steps or PASSES[step])

    def finished(self, run: Run, item: Item) -> bool:
        """Whether the whole route is done."""
        return {step.id for step in item.route} <= self.steps(run, item)

    # -- the piece's life --------------------------------------------------------------------------------------

    def measures(self, run: Run, item: Item) -> Mapping[str, Recorded[facts.Measured]]:
        """The latest measurement of each kind ("length", "width", "thickness") of the present making."""
        return self.item(run, item).measures

    def notes(self, run: Run, item: Item) -> tuple[Recorded[facts.Noted], ...]:
        return self.item(run, item).notes

    def aside(self, run: Run, item: Item) -> Recorded[facts.SetAside] | None:
        """Why and when an item was set aside; None when it isn't."""
        return self.item(run, item).aside

    def spoils(self, run: Run, item: Item) -> tuple[Recorded[facts.Spoiled], ...]:
        """Each making that was spoiled, in order."""
        return self.item(run, item).spoils

    def making(self, run: Run, item: Item) -> int:
        """The number of the present making: 1, and one more for each that was spoiled."""
        return 1 + len(self.item(run, item).spoils)

    def members(self, run: Run, item: Item) -> tuple[str, ...]:
        """The keys of what goes into an assembly, after all swaps."""
        in_place = self.whole(run).in_place
        found = ((key, in_place.get(key, key)) for key in item.members)
        return tuple(there if there in run.items else key for key, there in found)  # a forged log swaps any

    def into(self, run: Run, item: Item) -> str | None:
        """The key of the assembly that an item goes into, after all swaps."""
        return run.items[self.place(run, item)].into

    def place(self, run: Run, item: Item) -> str:
        """The key of the item whose place this one has: its own, unless it was swapped."""
        place = self.whole(run).place_of.get(item.key, item.key)
        return place if place in run.items else item.key

    # -- the glue-up -------------------------------------------------------------------------------------------

    def checks(self, run: Run, item: Item) -> Mapping[str, Recorded[facts.Checked]]:
        """The checked lines of the checklist, by id."""
        return self.item(run, item).checks

    def checked_in(self, run: Run, item: Item) -> Mapping[str, Recorded[facts.CheckedIn]]:
        """The members scanned in at this glue-up, by key; a piece made again since then doesn't count."""
        members, found = self.members(run, item), {}
        for key, kept in self.item(run, item).checked_in.items():
            if key in members and not self._spoiled_since(run, key, kept.entry):
                found[key] = kept
        return found

    def overruled(self, run: Run, item: Item) -> Mapping[WaitKind, Recorded[facts.Overruled]]:
        """The times that the label on the bottle overrules, by the kind of wait."""
        return self.item(run, item).overruled

    def proofs(self, run: Run, item: Item) -> Mapping[str, Recorded[facts.Proven]]:
        """The latest result of each check of an assembly."""
        return self.item(run, item).proofs

    def wait_of(self, run: Run, item: Item, kind: WaitKind) -> WaitOf | None:
        """How long a wait of an assembly is now and where that comes from; None when it has no such wait."""
        own = self.overruled(run, item).get(kind)
        return wait_of(run, item, kind, own.fact if own else None, self.air.fact if self.air else None)

    # -- the shop ----------------------------------------------------------------------------------------------

    @property
    def air(self) -> Recorded[facts.Air] | None:
        """The shop's air as last entered; None: nobody has entered it."""
        return self.shop.air

    @property
    def confirmed(self) -> Mapping[str, Beat]:
        """The moments at which a person confirmed a wall clock, by boot."""
        return self.shop.confirmed

    # -- the run as a whole ------------------------------------------------------------------------------------

    @property
    def sheets(self) -> dict[str, tuple[Entry, ...]]:
        """The sheets of labels of each run that weren't undone, in order; every fact is a Labelled."""
        return {name: run.whole.sheets for name, run in self.runs.items() if run.whole.sheets}

    def labelled(self, run: Run) -> frozenset[str]:
        """The keys of the items and boards of a run that have a label; an item made again since then has none."""
        latest: dict[str, Entry] = {}
        for entry in self.whole(run).sheets:
            latest.update(dict.fromkeys(entry.fact.items, entry))  # type: ignore[union-attr]
        return frozenset(key for key, entry in latest.items() if not self._spoiled_since(run, key, entry))

    def boards(self, run: Run) -> tuple[facts.PlannedBoard, ...]:
        """The current board plan, limited to what is in this build; empty when none was kept."""
        kept = self.whole(run).boards
        return of_the_build(run, kept.fact.boards) if kept else ()

    def racked(self, run: Run) -> Mapping[str, Recorded[facts.Racked]]:
        """The offcuts that went to the rack, by name."""
        return self.whole(run).racked

    def moisture(self, run: Run) -> Mapping[str, Recorded[facts.MoistureRead]]:
        """The latest reading of each piece and board, by key, the most recent last; none for a piece that was made
        again since."""
        kept = self.whole(run).moisture
        return {key: one for key, one in kept.items() if not self._spoiled_since(run, key, one.entry)}

    def _spoiled_since(self, run: Run, key: str, entry: Entry) -> bool:
        """Whether an item was spoiled after an entry, so that the entry was about an older making."""
        spoils = self.runs.get(run.name, _NO_RUN).items.get(key, NEW_ITEM).spoils
        return bool(spoils) and spoils[-1].entry.is_after(entry)

    def history(self, run: Run, item: Item | None = None) -> tuple[HistoryEntry, ...]:
        """Everything ever written about an item, or about the whole run, newest first; including what was undone."""
        here = self.runs.get(run.name, _NO_RUN)
        history: Iterable[History]
        if item is not None:
            swaps = History(
                tuple(e for e in here.whole.history.entries if _swaps(e, item.key)), here.whole.history.undone
            )
            history = (self.item(run, item).history, swaps)
        else:
            history = (here.whole.history, *(each.history for each in here.items.values()))
        past = [each for one in history for each in one.rows]
        return tuple(sorted(past, key=lambda each: each.entry.rank, reverse=True))

    def about(self, entry: EntryId) -> Subject | None:
        """The subject of an entry; None for one that is unknown, undoes another, or isn't understood."""
        return self.subjects.get(entry)

    def find(self, entry: EntryId) -> HistoryEntry | None:
        """An entry of the log that has a subject, by its id."""
        subject = self.about(entry)
        if subject is None:
            return None
        here = self.runs.get(subject[0], _NO_RUN)
        history = (
            here.items.get(subject[1], NEW_ITEM).history
            if subject[1]
            else here.whole.history
            if subject[0]
            else self.shop.history
        )
        return next((past for past in history.rows if past.entry.id == entry), None)


def _swaps(entry: Entry, key: str) -> bool:
    return isinstance(entry.fact, facts.Swapped) and key in (entry.fact.item, entry.fact.twin)


class RunningWait(Struct, frozen=True):
    """A clock that nobody has ended yet. The time left is computed from it and the present time, and never stored."""

    item: Item
    wait: facts.Wait
    entry: Entry


def running_waits(run: Run, state: State) -> tuple[RunningWait, ...]:
    """Every clock of a run that is running, or has ended and isn't answered yet: in the order of the build, then those
    of items that a revised build no longer has. A wait never ends silently."""
    known = state.runs.get(run.name, _NO_RUN).items
    left_out = (item_from_log(key, here) for key, here in known.items() if key not in run.items and has_clock(here))
    return tuple(running for item in (*run.assemblies, *left_out) for running in waits_of(run, state, item))


def waits_of(run: Run, state: State, item: Item) -> tuple[RunningWait, ...]:
    """The clocks of one item that are running, or have ended and aren't answered yet."""
    here = state.item(run, item)
    return tuple(RunningWait(item, _by_the_label(here, wait, tick.first), tick.first) for tick, wait in _open(here))


def has_clock(here: ItemRecord) -> bool:
    """Whether a clock of an item is running, or has ended and isn't answered yet."""
    return any(True for _ in _open(here))


def _open(here: ItemRecord) -> Iterator[tuple[Tick, facts.Wait]]:
    """The steps whose clocks nobody has ended, neither by an answer nor by the step that closes them."""
    for at, tick in enumerate(here.ticks):
        wait = tick.done.wait
        if wait is None or not here.answered.isdisjoint(tick.entries):
            continue
        if not any(step_named(later.step).closes == wait.kind for later in here.ticks[at + 1 :]):
            yield tick, wait


def _by_the_label(here: ItemRecord, wait: facts.Wait, started: Entry) -> facts.Wait:
    """A clock that is already running follows the label too, if that is read later."""
    label = here.overruled.get(wait.kind)
    if label is None or started.is_after(label.entry):
        return wait
    return replace(wait, seconds=label.fact.seconds, machine=0, source=f"label: {label.fact.why}")
