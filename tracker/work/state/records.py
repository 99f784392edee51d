"""The records of an item, of a run and of the shop, as frozen values. `tracker.work.state.replay` makes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Generic, TypeVar

from msgspec import Struct, field

from tracker.work import facts
from tracker.work.clocks.beat import Beat
from tracker.work.facts import Entry, EntryId, Fact
from tracker.work.operations import WaitKind

F = TypeVar("F", bound=Fact, covariant=True)


class Recorded(Struct, Generic[F], frozen=True):
    """A fact that is in effect, and its entry: `kept.fact.actual`, `kept.entry.at`; `kept.id` is for undo."""

    fact: F
    entry: Entry

    @property
    def id(self) -> EntryId:
        return self.entry.id


class Tick(Struct, frozen=True):
    """A step that counts as done, and every entry that says so (two tablets may have ticked the same step)."""

    step: str
    first: Entry
    entries: tuple[EntryId, ...]

    @property
    def done(self) -> facts.Done:
        assert isinstance(self.first.fact, facts.Done)
        return self.first.fact

    @property
    def early(self) -> int:
        """The seconds by which it came too early: clamps taken off before their time. 0 when it didn't."""
        return self.done.early


class HistoryEntry(Struct, frozen=True):
    """An entry of the history, and the entry that undid it, if any."""

    entry: Entry
    undone_by: Entry | None = None


class History(Struct, frozen=True):
    """What was written about one item, about a run or about the shop: every entry in order, and which were undone.

    Any two histories are equal: a state is compared by what is in effect now, however that came about.
    """

    entries: tuple[Entry, ...] = ()
    undone: Mapping[EntryId, Entry] = field(default_factory=dict)

    @property
    def live(self) -> Iterator[Entry]:
        return (entry for entry in self.entries if entry.id not in self.undone)

    @property
    def rows(self) -> Iterator[HistoryEntry]:
        return (HistoryEntry(entry, self.undone.get(entry.id)) for entry in self.entries)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, History)

    def __hash__(self) -> int:
        return hash(History)


NO_HISTORY = History()


class ItemRecord(Struct, frozen=True):
    """The record of one item. Everything but the notes, the overruled times and `spoils` belongs to its present
    making."""

    ticks: tuple[Tick, ...] = ()
    answered: frozenset[EntryId] = frozenset()
    measures: Mapping[str, Recorded[facts.Measured]] = field(default_factory=dict)
    notes: tuple[Recorded[facts.Noted], ...] = ()
    aside: Recorded[facts.SetAside] | None = None
    spoils: tuple[Recorded[facts.Spoiled], ...] = ()
    checks: Mapping[str, Recorded[facts.Checked]] = field(default_factory=dict)
    checked_in: Mapping[str, Recorded[facts.CheckedIn]] = field(default_factory=dict)
    overruled: Mapping[WaitKind, Recorded[facts.Overruled]] = field(default_factory=dict)
    proofs: Mapping[str, Recorded[facts.Proven]] = field(default_factory=dict)
    history: History = NO_HISTORY


class RunRecord(Struct, frozen=True):
    """The record of a run as a whole."""

    first_opened: Entry | None = None
    opened: facts.Opened | None = None
    sheets: tuple[Entry, ...] = ()
    swaps: tuple[Recorded[facts.Swapped], ...] = ()
    place_of: Mapping[str, str] = field(default_factory=dict)
    """For each swapped piece, the key of the piece whose place it has now; others have their own place."""
    boards: Recorded[facts.BoardsPlanned] | None = None
    racked: Mapping[str, Recorded[facts.Racked]] = field(default_factory=dict)
    moisture: Mapping[str, Recorded[facts.MoistureRead]] = field(default_factory=dict)
    """The latest reading of each piece and board, by key."""
    sizes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """Every part's sizes at the latest opening that gave them, and at the one before."""
    sizes_before: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    history: History = NO_HISTORY

    @property
    def in_place(self) -> dict[str, str]:
        """The piece that is in each swapped place."""
        return {place: piece for piece, place in self.place_of.items()}


class ShopRecord(Struct, frozen=True):
    """The record of the shop, independent of any build."""

    air: Recorded[facts.Air] | None = None
    confirmed: Mapping[str, Beat] = field(default_factory=dict)
    """By boot: a moment at which a person confirmed the wall clock. The latest confirmation of each boot counts."""
    history: History = NO_HISTORY


NEW_ITEM, NEW_RUN, NEW_SHOP = ItemRecord(), RunRecord(), ShopRecord()
