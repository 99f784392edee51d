"""Joining rows that were found in several places, some of them damaged, to one log again.

A row is *proven* when its chain follows from the chain before it. Where rows are lost, a row of the kind `lost` stands
for them, so that what came after is kept under its own counts. The first row after a gap can't be proven by itself
when the chain before it is lost: it is kept, within the row `lost`, when it agrees with itself, and it is named.
"""

from __future__ import annotations

import json
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime

from msgspec import Struct

from tracker.store.errors import DamagedLogError
from tracker.store.rows import LOST, Row, chain_link, entry_of, first_lost, goes_on_with


class TabletRejoined(Struct, frozen=True):
    """What became of the rows of one tablet. `lost` are ranges of counts, first to last; `unproven` are kept counts."""

    tablet: str
    kept: int
    lost: tuple[tuple[int, int], ...] = ()
    unproven: tuple[int, ...] = ()

    @property
    def lost_count(self) -> int:
        return sum(last - first + 1 for first, last in self.lost)


def rejoin_rows(claims: Iterable[Row], now: datetime) -> tuple[list[Row], tuple[TabletRejoined, ...]]:
    """The rows of a sound log out of claims from anywhere in any order, and what became of each tablet's."""
    by_tablet: defaultdict[str, set[Row]] = defaultdict(set)
    for row in claims:
        by_tablet[row.tablet].add(row)
    rows: list[Row] = []
    tablets = []
    for tablet, found in sorted(by_tablet.items()):
        mending = _Rejoining(tablet, found, now)
        mine = list(mending.joined())
        if any(row.kind != LOST or "row" in json.loads(row.data) for row in mine):
            rows += mine
            tablets.append(mending.account(mine))
    return rows, tuple(tablets)


class _Rejoining:
    """One tablet's rows while they are joined."""

    def __init__(self, tablet: str, found: Iterable[Row], now: datetime) -> None:
        self.tablet, self.now = tablet, now
        self.at: defaultdict[int, list[Row]] = defaultdict(list)
        self.gaps: defaultdict[int, list[Row]] = defaultdict(list)
        for row in found:
            self.at[row.count].append(row)
            if row.kind == LOST:
                self.gaps[first_lost(row)].append(row)
        self.counts = sorted(self.at)
        self.count, self.chain = 0, ""
        self.unsure = False
        """Whether the last row is one that can't be proven: then what doesn't follow from it isn't proven wrong."""

    def joined(self) -> Iterator[Row]:
        """The rows, each linked to the one before."""
        while (row := self._next() or self._after_gap()) is not None:
            self.count, self.chain = row.count, goes_on_with(row)
            self.unsure = row.kind == LOST and "row" in json.loads(row.data)
            yield row

    def account(self, rows: list[Row]) -> TabletRejoined:
        lost, unproven = [], []
        for row in rows:
            if row.kind == LOST:
                kept_last = "row" in json.loads(row.data)
                last = row.count - 1 if kept_last else row.count
                lost.append((first_lost(row), last))
                if kept_last:
                    unproven.append(row.count)
        beyond = [count for count in self.counts if count > self.count and any(map(_stood_here, self.at[count]))]
        if beyond:  # changed, and nothing follows that could prove where it stood
            lost.append((self.count + 1, beyond[-1]))
        return TabletRejoined(
            self.tablet, sum(row.kind != LOST for row in rows) + len(unproven), tuple(lost), tuple(unproven)
        )

    def _next(self) -> Row | None:
        """The row that follows from the last one, its own chain put right where a later row proves it."""
        ahead = self.count + 1
        claims: list[Row] = [*self.at.get(ahead, ()), *self.gaps.get(ahead, ())]
        for claim in sorted(claims, key=lambda row: row.kind == LOST):  # what was lost once may be found again
            right = _linked(self.chain, claim)
            if right == claim.chain:
                return claim
        for claim in self.at.get(ahead, ()):
            right = _linked(self.chain, claim)
            if right and claim.kind != LOST and self._continued(right, ahead):
                return claim._replace(chain=right)
        return None

    def _continued(self, chain: str, count: int) -> bool:
        """Whether a row after `count` follows from this chain."""
        later = (*self.at.get(count + 1, ()), *self.gaps.get(count + 1, ()))
        return any(_linked(chain, row) == row.chain for row in later)

    def _after_gap(self) -> Row | None:
        """A row for those that are lost, up to the nearest from which the rest goes on."""
        for count in self.counts[bisect_right(self.counts, self.count) :]:
            claims = sorted(self.at[count], key=lambda row: self._doubt(row, count))
            for claim in claims:
                chain = goes_on_with(claim)
                known = (count > self.count + 1 or self.unsure) and _agrees(claim)
                if known or self._continued(chain, count):
                    return self._gap(claim, chain, known)
        return None

    def _doubt(self, row: Row, count: int) -> tuple[bool, bool]:
        """Sorts claims for a count so that the one with the most that speaks for it comes first."""
        return not self._continued(goes_on_with(row), count), not _agrees(row)

    def _gap(self, last: Row, chain: str, known: bool) -> Row:
        data: dict[str, object] = {"from": self.count + 1, "chain": chain}
        if known:
            data["row"] = list(last[2:6])
        columns = (
            self.tablet,
            last.count,
            json.dumps({self.tablet: self.count} if self.count else {}),
            self.now.isoformat(),
            LOST,
            json.dumps(data, sort_keys=True, ensure_ascii=False),
        )
        return Row(*columns, chain_link(self.chain, *columns))


def _linked(before: str, row: Row) -> str:
    """The chain that the row should have; empty when its columns can't even be chained."""
    try:
        return chain_link(before, *row[:6])
    except (TypeError, UnicodeError):
        return ""


def _stood_here(row: Row) -> bool:
    """Whether a row that was changed had seen all of its own tablet before it: its count then is true."""
    try:
        return bool(json.loads(row.seen).get(row.tablet, 0) == row.count - 1)
    except (ValueError, TypeError, AttributeError, RecursionError):
        return False


def _agrees(row: Row) -> bool:
    """Whether a row that can't be proven says the same thing twice: its words are as we write them, and it had seen
    all of its own tablet before it."""
    try:
        seen, data = json.loads(row.seen), json.loads(row.data)
        entry_of(row)
    except (ValueError, RecursionError, DamagedLogError):
        return False
    return bool(
        row.kind != LOST
        and seen.get(row.tablet, 0) == row.count - 1
        and json.dumps(seen, sort_keys=True) == row.seen
        and json.dumps(data, sort_keys=True, ensure_ascii=False) == row.data
    )
