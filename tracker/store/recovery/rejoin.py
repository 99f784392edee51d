"""Joining rows from several sources, some of them damaged, to one log again.

A row is *proven* when its chain follows from the chain before it. Where rows are lost, a row of the kind `lost` stands
for them, so that later rows keep their counts. The first row after a gap can't be proven by itself when the chain
before it is lost: it is kept inside the `lost` row if it is consistent, and it is reported.

Two rows may both be proven and have one count, for example because the record was copied and both copies continued.
Then there are two true histories, a *fork*. The record's own history continues; the other one is reported and kept
beside it, never mixed in.
"""

from __future__ import annotations

import json
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from tracker.store.errors import DamagedLogError
from tracker.store.recovery.lineage import Lineage, linked
from tracker.store.rows import LOST, Row, chain_after, chain_link, entry_of, first_lost, seen_of_others


class Fork(Struct, frozen=True):
    """Another true history of a tablet: its rows from the first count on; those from `first` on aren't in the log."""

    tablet: str
    first: int
    rows: tuple[Row, ...]

    @property
    def count(self) -> int:
        """How many of its facts the log doesn't have."""
        return self.rows[-1].count - self.first + 1


class TabletRejoined(Struct, frozen=True):
    """The result for one tablet's rows. `lost` are ranges of counts, first to last; `unproven` are rows that are kept
    though nothing proves them."""

    tablet: str
    kept: int
    lost: tuple[tuple[int, int], ...] = ()
    unproven: tuple[Row, ...] = ()
    forks: tuple[Fork, ...] = ()

    @property
    def lost_count(self) -> int:
        return sum(last - first + 1 for first, last in self.lost)


def rejoin_rows(
    sources: Sequence[Iterable[Row]],
    now: datetime,
    own: int = 1,
    ends: Mapping[str, tuple[int, str]] | None = None,
) -> tuple[list[Row], tuple[TabletRejoined, ...]]:
    """The rows of a sound log from several sources, each in any order, and the result for each tablet's rows.

    The first `own` sources are the record itself: where two true histories differ, its rows decide; otherwise the
    earlier source does. `ends` are the last count and chain that the record is known to have had of each tablet.
    """
    by_tablet: defaultdict[str, dict[Row, int]] = defaultdict(dict)
    for source, rows in enumerate(sources):
        for row in rows:
            by_tablet[row.tablet].setdefault(row, source)
    ends = dict(ends or {})
    joined = {tablet: _Rejoining(tablet, found, now, own) for tablet, found in sorted(by_tablet.items())}
    mine = {tablet: list(each.joined()) for tablet, each in joined.items()}
    for tablet, count in _seen(mine.values()).items():
        if count > ends.get(tablet, (0, ""))[0]:
            ends[tablet] = (count, "")
    rows_out: list[Row] = []
    tablets = []
    for tablet in sorted({*joined, *ends}):
        each = joined.get(tablet) or _Rejoining(tablet, {}, now, own)
        path = mine.get(tablet, [])
        path += each.up_to(*ends.get(tablet, (0, "")))
        if tablet in ends or any(row.kind != LOST or "row" in json.loads(row.data) for row in path):
            rows_out += path
            tablets.append(each.account(path))
    return rows_out, tuple(tablets)


def _seen(paths: Iterable[list[Row]]) -> dict[str, int]:
    """The highest count of every tablet that a kept row of another tablet had seen: at least that many existed."""
    found: dict[str, int] = {}
    for path in paths:
        for row in path:
            if row.kind != LOST:
                for tablet, count in seen_of_others(row).items():
                    found[tablet] = max(found.get(tablet, 0), count)
    return found


class _Rejoining:
    """One tablet's rows while they are being joined."""

    def __init__(self, tablet: str, found: Mapping[Row, int], now: datetime, own: int) -> None:
        self.tablet, self.now = tablet, now
        self.at: defaultdict[int, list[Row]] = defaultdict(list)
        self.gaps: defaultdict[int, list[Row]] = defaultdict(list)
        for row in sorted(found, key=lambda row: found[row]):
            self.at[row.count].append(row)
            if row.kind == LOST:
                self.gaps[first_lost(row)].append(row)
        self.counts = sorted(self.at)
        self.lineage = Lineage(self.at, self.counts, frozenset(row for row, source in found.items() if source < own))
        self.count, self.chain = 0, ""
        self.unsure = False
        """Whether the last row can't be proven; a row that doesn't continue it isn't proven wrong then."""

    def joined(self) -> Iterator[Row]:
        """The rows, each linked to the one before."""
        while (row := self._next() or self._after_gap()) is not None:
            self.count, self.chain = row.count, chain_after(row)
            self.unsure = row.kind == LOST and "row" in json.loads(row.data)
            yield row

    def up_to(self, count: int, chain: str) -> list[Row]:
        """A `lost` row for those that must have come after the last one found, up to this count and chain."""
        if count <= self.count:
            return []
        return [self._gap(count, chain)]

    def account(self, rows: list[Row]) -> TabletRejoined:
        lost, unproven = [], []
        for row in rows:
            if row.kind == LOST:
                kept_last = json.loads(row.data).get("row")
                lost.append((first_lost(row), row.count - 1 if kept_last else row.count))
                if kept_last:
                    seen, at, kind, data = kept_last
                    unproven.append(row._replace(seen=seen, at=at, kind=kind, data=data))
        last = rows[-1].count if rows else 0
        forks = tuple(self._forks({row.count: chain_after(row) for row in rows}))
        elsewhere = {row for fork in forks for row in fork.rows}
        beyond = [
            count
            for count in self.counts
            if count > last and any(_stood_here(row) for row in self.at[count] if row not in elsewhere)
        ]
        if beyond:  # changed, and nothing after them proves their place
            lost.append((last + 1, beyond[-1]))
        kept = sum(row.kind != LOST for row in rows) + len(unproven)
        return TabletRejoined(self.tablet, kept, tuple(lost), tuple(unproven), forks)

    def _next(self) -> Row | None:
        """The row that continues the last one; its own chain is corrected where a later row proves it."""
        ahead = self.count + 1
        claims: list[Row] = [
            row for row in (*self.at.get(ahead, ()), *self.gaps.get(ahead, ())) if linked(self.chain, row) == row.chain
        ]
        # A row that was lost once may be found again. Of two true histories the record's own continues.
        for claim in sorted(claims, key=lambda row: (row.kind == LOST, not self.lineage.is_own(row))):
            if self.lineage.is_own(claim) or not self.lineage.contradicted(claim):
                return claim
        for claim in self.at.get(ahead, ()):
            right = linked(self.chain, claim)
            if right not in ("", claim.chain) and claim.kind != LOST and self._continued(right, ahead):
                fixed: Row = claim._replace(chain=right)
                return fixed
        return None

    def _continued(self, chain: str, count: int) -> bool:
        """Whether a row after `count` continues this chain."""
        later = (*self.at.get(count + 1, ()), *self.gaps.get(count + 1, ()))
        return any(linked(chain, row) == row.chain for row in later)

    def _after_gap(self) -> Row | None:
        """A `lost` row for the missing ones, up to the nearest row that the rest continues."""
        for count in self.counts[bisect_right(self.counts, self.count) :]:
            for claim in sorted(self.at[count], key=lambda row: self._doubt(row, count)):
                if self._elsewhere(claim):
                    continue
                chain = chain_after(claim)
                known = (count > self.count + 1 or self.unsure) and _agrees(claim)
                if known or self._continued(chain, count):
                    return self._gap(count, chain, claim if known else None)
        return None

    def _elsewhere(self, claim: Row) -> bool:
        """Whether a row belongs to another history than the rows joined so far, or than the record's later rows."""
        if first_lost(self.lineage.eldest[claim]) <= self.count:
            return True
        return not self.lineage.is_own(claim) and self.lineage.contradicted(claim)

    def _doubt(self, row: Row, count: int) -> tuple[bool, bool, bool]:
        """A sort key that puts the best supported claim for a count first."""
        return not self._continued(chain_after(row), count), not _agrees(row), not self.lineage.is_own(row)

    def _gap(self, count: int, chain: str, last: Row | None = None) -> Row:
        """A `lost` row from the last one up to `count`; `last` is kept in it, unproven."""
        data: dict[str, object] = {"from": self.count + 1, "chain": chain}
        if last is not None:
            data["row"] = [last.seen, last.at, last.kind, last.data]
        columns = (
            self.tablet,
            count,
            json.dumps({self.tablet: self.count} if self.count else {}),
            self.now.isoformat(),
            LOST,
            json.dumps(data, sort_keys=True, ensure_ascii=False),
        )
        return Row(*columns, chain_link(self.chain, *columns))

    def _forks(self, path: Mapping[int, str]) -> Iterator[Fork]:
        """Every other history that is proven from the first count to its end. `path`: the chains of the log's rows."""
        for line in self.lineage.whole_lines():
            first = next((row for row in line if path.get(row.count) != chain_after(row)), None)
            if first is not None and self._is_other(first, path):
                yield Fork(self.tablet, first_lost(first), tuple(line))

    def _is_other(self, row: Row, path: Mapping[int, str]) -> bool:
        """Whether the log has another row in the place of a proven one, or nothing because the row doesn't belong
        there."""
        return row.count in path or (row.kind != LOST and self.lineage.contradicted(row))


def _stood_here(row: Row) -> bool:
    """Whether a changed row had seen all of its own tablet before it, which confirms its count."""
    try:
        return bool(json.loads(row.seen).get(row.tablet, 0) == row.count - 1)
    except (ValueError, TypeError, AttributeError, RecursionError):
        return False


def _agrees(row: Row) -> bool:
    """Whether an unproven row is consistent: it is written as we write rows, and it had seen all of its own tablet
    before it."""
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
