"""Folding the log: entry by entry as they are written, or all of it at once.

Every entry is about one subject: an item, a run, or the shop. An entry that comes last in its subject's order, as every
tap does, is folded onto the present record. For an entry from another tablet that sorts earlier, and for every undo,
the subject is folded again from its own entries. So a tap costs the same however long the log is.
"""

from __future__ import annotations

from collections.abc import Iterable
from operator import attrgetter
from typing import Any

from msgspec import Struct, field

from tracker.work.facts import Answered, Entry, EntryId, Undone
from tracker.work.state.apply import ABOUT_A_RUN, ABOUT_AN_ITEM, ABOUT_THE_SHOP, ItemDraft, RunDraft, ShopDraft
from tracker.work.state.records import NEW_ITEM, NEW_RUN, NEW_SHOP, History, ItemRecord, RunRecord, ShopRecord
from tracker.work.state.state import RunState, State, Subject

_rank = attrgetter("rank")


def replay(entries: Iterable[Entry]) -> State:
    """Fold a log, given in any order."""
    return Replay(entries).state


class _News(Struct):
    """The new entries about one subject."""

    entries: list[Entry] = field(default_factory=list)
    undone: dict[EntryId, Entry] = field(default_factory=dict)


class Replay:
    """The log in memory and its state: `take_in` new entries, read `state`."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self.state = State()
        self._entries: list[Entry] = []
        self._about: dict[EntryId, Subject | None] = {}
        """The subject of each known entry; None for an undo, and for what isn't understood."""
        self._undone: dict[EntryId, Entry] = {}
        """For each undone entry, the first entry that undid it, whether the undone one has arrived or not."""
        self._ahead: dict[EntryId, list[Entry]] = {}
        """Answers to entries that haven't arrived yet."""
        self.take_in(entries)

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Every entry, in the order in which they reached this tablet."""
        return tuple(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def take_in(self, entries: Iterable[Entry]) -> None:
        """Fold new entries; known ones are ignored."""
        news: dict[Subject, _News] = {}
        about = self._about
        for entry in entries:
            id_, fact = (entry.tablet, entry.count), entry.fact
            if id_ in about:
                continue
            self._entries.append(entry)
            kind = type(fact)
            if kind in ABOUT_AN_ITEM:
                subject: Subject | None = (fact.run, fact.item)  # type: ignore[union-attr]
            elif kind in ABOUT_A_RUN:
                subject = (fact.run, "")  # type: ignore[union-attr]
            elif kind in ABOUT_THE_SHOP:
                subject = _SHOP
            else:
                subject = self._about_another(entry, news)
            about[id_] = subject
            if subject is not None:
                self._file(subject, id_, entry, news)
                if self._ahead:
                    for answer in self._ahead.pop(id_, ()):
                        about[answer.id] = subject
                        self._file(subject, answer.id, answer, news)
        if news:
            self.state = self._folded(news)

    def _about_another(self, entry: Entry, news: dict[Subject, _News]) -> Subject | None:
        """The subject of an entry about another entry; None for what isn't understood."""
        fact = entry.fact
        if isinstance(fact, Undone):
            self._undo((fact.tablet, fact.count), entry, news)
        elif isinstance(fact, Answered):
            target = (fact.tablet, fact.count)
            if target in self._about:
                return self._about[target]
            self._ahead.setdefault(target, []).append(entry)
        return None

    def _file(self, subject: Subject, id_: EntryId, entry: Entry, news: dict[Subject, _News]) -> None:
        """Add an entry to the news of its subject."""
        new = news.get(subject)
        if new is None:
            new = news[subject] = _News()
        new.entries.append(entry)
        if id_ in self._undone:
            new.undone[id_] = self._undone[id_]

    def _undo(self, target: EntryId, by: Entry, news: dict[Subject, _News]) -> None:
        known = self._undone.get(target)
        if known is not None and by.is_after(known):
            return
        self._undone[target] = by
        subject = self._about.get(target)
        if subject is not None:
            news.setdefault(subject, _News()).undone[target] = by

    def _folded(self, news: dict[Subject, _News]) -> State:
        runs, shop = dict(self.state.runs), self.state.shop
        items: dict[str, dict[str, ItemRecord]] = {}
        wholes: dict[str, RunRecord] = {}
        for (run, key), new in news.items():
            here = runs.get(run, _NO_RUN)
            if not run:
                shop = _grown(shop, NEW_SHOP, ShopDraft, new)
            elif key:
                mine = items.get(run)
                if mine is None:
                    mine = items[run] = dict(here.items)
                mine[key] = _grown(mine.get(key, NEW_ITEM), NEW_ITEM, ItemDraft, new)
            else:
                wholes[run] = _grown(here.whole, NEW_RUN, RunDraft, new)
        for run in {*items, *wholes}:
            here = runs.get(run, _NO_RUN)
            runs[run] = RunState(items.get(run, here.items), wholes.get(run, here.whole))
        return State(runs, shop, self._about)


_NO_RUN = RunState()
_SHOP: Subject = ("", "")
_T = ItemRecord | RunRecord | ShopRecord


def _grown(before: Any, nothing: Any, fold: type[Any], new: _News) -> Any:
    """A subject's record after the news: folded onto the record before, or from the beginning where necessary."""
    known: History = before.history
    new.entries.sort(key=_rank)
    in_line = not known.entries or not new.entries or new.entries[0].is_after(known.entries[-1])
    entries = (*known.entries, *new.entries)
    history = History(
        entries if in_line else tuple(sorted(entries, key=_rank)),
        {**known.undone, **new.undone} if new.undone else known.undone,
    )
    # Undoing an entry that was already folded means folding from the beginning; undoing one from the same news doesn't.
    came = {entry.id for entry in new.entries} if new.undone else set()
    if in_line and came.issuperset(new.undone):
        folded = fold(before)
        folded.apply(entry for entry in new.entries if entry.id not in new.undone)
    else:
        folded = fold(nothing)
        folded.apply(history.live)
    return folded.freeze(history)
