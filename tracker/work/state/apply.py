"""The effect of each fact on its item, its run or the shop: one small method for each fact, and a table of them.

Drafts can be changed while a log is read and are frozen at its end. Entries are applied in order, without those that
were undone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from typing import Any

from tracker.work import facts
from tracker.work.clocks.beat import Beat
from tracker.work.facts import Entry, EntryId
from tracker.work.operations import PASSES
from tracker.work.state.records import History, ItemRecord, Recorded, RunRecord, ShopRecord, Tick

LATEST = 4_102_444_800.0
"""The year 2100, in seconds since 1970: only a forged log has a later start of a clock."""


class ItemDraft:
    """The record of one item while it is being folded."""

    def __init__(self, before: ItemRecord) -> None:
        self.ticks = {tick.step: tick for tick in before.ticks}
        self.answered: set[EntryId] = set(before.answered)
        self.measures = dict(before.measures)
        self.notes = list(before.notes)
        self.aside = before.aside
        self.spoils = list(before.spoils)
        self.checks = dict(before.checks)
        self.checked_in = dict(before.checked_in)
        self.overruled = dict(before.overruled)
        self.proofs = dict(before.proofs)

    def apply(self, entries: Iterable[Entry]) -> None:
        for entry in entries:
            if not self.spoils or type(entry.fact) not in _OF_A_MAKING or self._is_of_this_making(entry):
                _apply(_ITEM, self, entry)

    def _is_of_this_making(self, entry: Entry) -> bool:
        """Whether an entry is about the present making: a tablet that hadn't yet heard that the piece was spoiled meant
        the old one."""
        return all(entry.seen.get(kept.entry.tablet, 0) >= kept.entry.count for kept in self.spoils)

    def freeze(self, history: History) -> ItemRecord:
        ticks = tuple(self.ticks.values())
        if self.answered:  # an answer to a clock that was undone no longer means anything
            self.answered.intersection_update(entry for tick in ticks for entry in tick.entries)
        return ItemRecord(
            ticks=ticks,
            answered=frozenset(self.answered),
            measures=self.measures,
            notes=tuple(self.notes),
            aside=self.aside,
            spoils=tuple(self.spoils),
            checks=self.checks,
            checked_in=self.checked_in,
            overruled=self.overruled,
            proofs=self.proofs,
            history=history,
        )

    def _done(self, fact: facts.Done, entry: Entry) -> None:
        if fact.answers:
            self.answered.update(fact.answers)
        for step in PASSES.get(fact.step, (fact.step,)):
            known = self.ticks.get(step)
            if known is None:
                self.ticks[step] = Tick(step, entry, (entry.id,))
            else:
                self.ticks[step] = Tick(step, known.first, (*known.entries, entry.id))

    def _answered(self, fact: facts.Answered, entry: Entry) -> None:
        self.answered.add((fact.tablet, fact.count))

    def _measured(self, fact: facts.Measured, entry: Entry) -> None:
        self.measures[fact.what] = Recorded(fact, entry)

    def _spoiled(self, fact: facts.Spoiled, entry: Entry) -> None:
        self.spoils.append(Recorded(fact, entry))
        self.aside = None
        for of_this_making in (
            self.ticks, self.answered, self.measures, self.checks, self.checked_in, self.proofs,
        ):  # fmt: skip
            of_this_making.clear()

    def _set_aside(self, fact: facts.SetAside, entry: Entry) -> None:
        self.aside = Recorded(fact, entry)

    def _resumed(self, fact: facts.Resumed, entry: Entry) -> None:
        self.aside = None

    def _noted(self, fact: facts.Noted, entry: Entry) -> None:
        self.notes.append(Recorded(fact, entry))

    def _checked(self, fact: facts.Checked, entry: Entry) -> None:
        self.checks[fact.check] = Recorded(fact, entry)

    def _checked_in(self, fact: facts.CheckedIn, entry: Entry) -> None:
        self.checked_in[fact.piece] = Recorded(fact, entry)

    def _overruled(self, fact: facts.Overruled, entry: Entry) -> None:
        self.overruled[fact.wait] = Recorded(fact, entry)

    def _proven(self, fact: facts.Proven, entry: Entry) -> None:
        self.proofs[fact.check] = Recorded(fact, entry)


class RunDraft:
    """The record of a run as a whole while it is being folded."""

    def __init__(self, before: RunRecord) -> None:
        self.first_opened, self.opened = before.first_opened, before.opened
        self.sheets = list(before.sheets)
        self.swaps = list(before.swaps)
        self.place_of = dict(before.place_of)
        self.boards = before.boards
        self.racked, self.moisture = dict(before.racked), dict(before.moisture)
        self.sizes, self.sizes_before = before.sizes, before.sizes_before

    def apply(self, entries: Iterable[Entry]) -> None:
        for entry in entries:
            _apply(_RUN, self, entry)

    def freeze(self, history: History) -> RunRecord:
        return RunRecord(
            first_opened=self.first_opened,
            opened=self.opened,
            sheets=tuple(self.sheets),
            swaps=tuple(self.swaps),
            place_of=self.place_of,
            boards=self.boards,
            racked=self.racked,
            moisture=self.moisture,
            sizes=self.sizes,
            sizes_before=self.sizes_before,
            history=history,
        )

    def _opened(self, fact: facts.Opened, entry: Entry) -> None:
        self.first_opened = self.first_opened or entry
        self.opened = fact
        if fact.parts:
            self.sizes_before, self.sizes = self.sizes, {part: dict(sizes) for part, sizes in fact.parts}

    def _labelled(self, fact: facts.Labelled, entry: Entry) -> None:
        self.sheets.append(entry)

    def _swapped(self, fact: facts.Swapped, entry: Entry) -> None:
        self.swaps.append(Recorded(fact, entry))
        one, other = (self.place_of.get(key, key) for key in (fact.item, fact.twin))
        for piece, place in ((fact.item, other), (fact.twin, one)):
            if piece == place:
                self.place_of.pop(piece, None)
            else:
                self.place_of[piece] = place

    def _boards_planned(self, fact: facts.BoardsPlanned, entry: Entry) -> None:
        self.boards = Recorded(fact, entry)

    def _racked(self, fact: facts.Racked, entry: Entry) -> None:
        self.racked[fact.name] = Recorded(fact, entry)

    def _given_back(self, fact: facts.GivenBack, entry: Entry) -> None:
        self.racked.pop(fact.name, None)

    def _moisture_read(self, fact: facts.MoistureRead, entry: Entry) -> None:
        self.moisture.pop(fact.of, None)  # the latest reading is kept last
        self.moisture[fact.of] = Recorded(fact, entry)


class ShopDraft:
    """The record of the shop while it is being folded."""

    def __init__(self, before: ShopRecord) -> None:
        self.air, self.confirmed = before.air, dict(before.confirmed)

    def apply(self, entries: Iterable[Entry]) -> None:
        for entry in entries:
            _apply(_SHOP, self, entry)

    def freeze(self, history: History) -> ShopRecord:
        return ShopRecord(air=self.air, confirmed=self.confirmed, history=history)

    def _air(self, fact: facts.Air, entry: Entry) -> None:
        self.air = Recorded(fact, entry)

    def _clock_confirmed(self, fact: facts.ClockConfirmed, entry: Entry) -> None:
        for moment in fact.starts:
            if math.isfinite(moment.boot) and 0 <= moment.at < LATEST:
                self._confirm(Beat(moment.boot_id, moment.boot, datetime.fromtimestamp(moment.at, UTC)))
        self._confirm(Beat(fact.boot_id, fact.boot, entry.at))

    def _confirm(self, beat: Beat) -> None:
        self.confirmed[beat.boot_id] = beat


Rules = dict[type, Callable[[Any, Any, Entry], None]]
_ITEM: Rules = {
    facts.Done: ItemDraft._done,
    facts.Answered: ItemDraft._answered,
    facts.Measured: ItemDraft._measured,
    facts.Spoiled: ItemDraft._spoiled,
    facts.SetAside: ItemDraft._set_aside,
    facts.Resumed: ItemDraft._resumed,
    facts.Noted: ItemDraft._noted,
    facts.Checked: ItemDraft._checked,
    facts.CheckedIn: ItemDraft._checked_in,
    facts.Overruled: ItemDraft._overruled,
    facts.Proven: ItemDraft._proven,
}
_RUN: Rules = {
    facts.Opened: RunDraft._opened,
    facts.Labelled: RunDraft._labelled,
    facts.Swapped: RunDraft._swapped,
    facts.BoardsPlanned: RunDraft._boards_planned,
    facts.Racked: RunDraft._racked,
    facts.GivenBack: RunDraft._given_back,
    facts.MoistureRead: RunDraft._moisture_read,
}
_SHOP: Rules = {facts.Air: ShopDraft._air, facts.ClockConfirmed: ShopDraft._clock_confirmed}


def _apply(rules: Rules, fold: Any, entry: Entry) -> None:
    """Fold an entry. One of the wrong kind, which only a forged log has, has no effect."""
    rule = rules.get(type(entry.fact))
    if rule is not None:
        rule(fold, entry.fact, entry)


_OF_A_MAKING = frozenset(
    {
        *(facts.Done, facts.Answered, facts.Measured, facts.Spoiled, facts.SetAside, facts.Resumed),
        *(facts.Checked, facts.CheckedIn, facts.Proven),
    }
)
ABOUT_AN_ITEM = frozenset(_ITEM) - {facts.Answered}
ABOUT_A_RUN = frozenset(_RUN)
ABOUT_THE_SHOP = frozenset(_SHOP)
