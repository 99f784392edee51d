"""One exchange: give and take until this tablet and the hub have the same rows.

Pure: it works with a `Side`, this tablet's log, and a `Hub`. An interruption needs no cleanup: what was given and taken
so far stays, and the next exchange begins by comparing both sides.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from operator import attrgetter
from typing import Protocol

from msgspec import Struct, field

from tracker.store.errors import DamagedLogError
from tracker.store.rows import LOST, Row, chain_after, chain_link
from tracker.together.branch import Fork
from tracker.together.errors import DISAGREE, HubError, RefusedRowsError

Tails = Mapping[str, tuple[int, str]]
"""Each tablet's last count, and the chain that its next row continues."""
BATCH_ROWS, BATCH_BYTES = 500, 1_000_000
ATTEMPTS = 10
GAP_ROWS = 2000
"""The most rows of a gap requested at once."""
NEAR_RANK = 10_000
NOTHING_MORE = (10**9, "")


class End(Struct, frozen=True):
    """The hub's last row of a tablet, and its chain at the requested count; None where it doesn't have that."""

    count: int
    chain: str
    here: str | None


class Gap(Struct, frozen=True):
    """Rows of a tablet that are lost, from the first count to the last."""

    tablet: str
    first: int
    last: int


class Side(Protocol):
    """This tablet's log, as an exchange needs it."""

    @property
    def tablet(self) -> str:
        """The name under which this tablet writes now."""

    @property
    def tails(self) -> dict[str, tuple[int, str]]: ...

    def page(self, tablet: str, after: int, most: int) -> list[Row]:
        """A tablet's rows after a count."""

    def chain_at(self, tablet: str, count: int) -> str | None:
        """The chain after a row; None where there is no row of that count."""

    def gaps(self) -> list[Gap]: ...

    def take_in(self, rows: Sequence[Row]) -> None:
        """Prove rows that continue this log, and write them. Raises DamagedLogError."""

    def restore_rows(self, rows: Sequence[Row]) -> None:
        """Join rows to the log that it had lost."""

    def branch_off(self, forks: Sequence[tuple[str, int]]) -> list[Fork]:
        """Rename this log's rows of each tablet from a count on, and write under a new name where that tablet is this
        one."""

    def renew_name(self) -> None:
        """Write under a new name from now on, because somebody else writes under the old one."""


class Hub(Protocol):
    """The rows of the shop. Each query may raise HubError, and `give` RefusedRowsError."""

    batch: int
    """How many rows go at once: fewer over a line that keeps breaking."""

    def ends(self, tails: Tails) -> dict[str, End]: ...

    def between(self, tablet: str, first: int, last: int) -> list[Row]: ...

    def gaps(self) -> list[Gap]: ...

    def give(self, rows: Sequence[Row]) -> bool:
        """Append rows, all or none; they are on the hub's disk when this returns. False: the hub has different rows at
        these counts."""

    def tell(self, tablet: str, count: int) -> None:
        """Notify the others."""

    def take(self, tails: Tails, most: int) -> list[Row]: ...


class ExchangeResult(Struct):
    """The result of an exchange."""

    given: int = 0
    taken: int = 0
    forks: list[Fork] = field(default_factory=list)
    stuck: dict[str, str] = field(default_factory=dict)
    """By tablet, why the hub refuses a row."""
    doubted: dict[str, str] = field(default_factory=dict)
    """By tablet, why a row of the hub can't be accepted."""
    renewed: bool = False
    """Facts arrived under this tablet's own name that it didn't have: it writes under a new name from now on."""


def exchange(side: Side, hub: Hub, met: ExchangeResult | None = None) -> ExchangeResult:
    """Give and take until both have the same rows. Raises HubError."""
    met = met or ExchangeResult()
    met.stuck.clear()
    met.doubted.clear()
    for attempt in range(ATTEMPTS):
        tails = side.tails
        ends = hub.ends(tails)
        if forks := list(_forks(side, hub, tails, ends)):
            met.forks += side.branch_off(forks)
            continue
        if attempt == 0 and _fill_gaps(side, hub):
            continue
        last_try = attempt >= ATTEMPTS // 2
        if not _give_all(side, hub, tails, ends, met, last_try) or not take_all(side, hub, met, ends, last_try):
            continue
        return met
    raise HubError("disagree", DISAGREE)


# -- whether both have the same history
# ----------------------------------------------------------------------------------


def _forks(side: Side, hub: Hub, tails: Tails, ends: Mapping[str, End]) -> Iterator[tuple[str, int]]:
    """Tablets for which this log and the hub differ, each with the first count where they differ."""
    for tablet, (count, chain) in tails.items():
        end = ends.get(tablet)
        if end is None:
            continue
        mine = chain if end.count >= count else side.chain_at(tablet, end.count)
        theirs = end.here if end.count >= count else end.chain
        if mine is None or theirs is None or mine == theirs:  # nothing can be compared within a gap
            continue
        first = _first_apart(side, hub, tablet, min(count, end.count))
        if not _is_proven(side, hub, tablet, first):
            raise HubError("disagree", DISAGREE)
        yield tablet, first


def _first_apart(side: Side, hub: Hub, tablet: str, upto: int) -> int:
    """The first count at which a tablet's rows differ, by bisection."""
    same, apart = 0, upto
    while apart - same > 1:
        middle = (same + apart) // 2
        theirs = next((chain_after(row) for row in hub.between(tablet, middle, middle)), None)
        if theirs is not None and theirs == side.chain_at(tablet, middle):
            same = middle
        else:
            apart = middle
    return apart


def _is_proven(side: Side, hub: Hub, tablet: str, first: int) -> bool:
    """Whether the hub has another row there that continues the row before it, which both have: only then it is a fork,
    and not an answer that was altered on its way."""
    before = side.chain_at(tablet, first - 1) if first > 1 else ""
    mine = side.chain_at(tablet, first)
    return before is not None and any(
        row.chain != mine and row.chain == chain_link(before, *row[:6]) for row in hub.between(tablet, first, first)
    )


# -- giving ------------------------------------------------------------------------------------------------------------


def _give_all(side: Side, hub: Hub, tails: Tails, ends: Mapping[str, End], met: ExchangeResult, last_try: bool) -> bool:
    """Give what the hub doesn't have, tablet by tablet: a row that it refuses doesn't block other tablets. False:
    compare again."""
    after = {tablet: ends[tablet].count if tablet in ends else 0 for tablet in tails}
    for tablet in sorted(tablet for tablet, (count, _) in tails.items() if count > after[tablet]):
        try:
            met.given += give_after(side, hub, tablet, after[tablet])
        except RefusedRowsError as refused:
            if refused.again and not last_try:
                return False
            met.stuck[tablet] = str(refused)
    return True


def give_after(side: Side, hub: Hub, tablet: str, after: int) -> int:
    """Give a tablet's rows after a count, and notify the others; returns how many. Raises RefusedRowsError,
    HubError."""
    given = 0
    while rows := _as_many_as_go(side.page(tablet, after, hub.batch)):
        if not hub.give(rows):
            raise RefusedRowsError("it has another row in that place", again=True)
        after, given = rows[-1].count, given + len(rows)
        hub.batch = min(BATCH_ROWS, hub.batch * 2)
        hub.tell(tablet, after)
    return given


def _as_many_as_go(rows: Sequence[Row]) -> Sequence[Row]:
    size = 0
    for at, row in enumerate(rows):
        size += len(row.data) + len(row.seen) + 200
        if size > BATCH_BYTES and at:
            return rows[:at]
    return rows


# -- taking ------------------------------------------------------------------------------------------------------------


def take_all(side: Side, hub: Hub, met: ExchangeResult, ends: Mapping[str, End], last_try: bool) -> bool:
    """Take everything that the hub has and this log doesn't. False: something arrived in between, compare again; on the
    `last_try` what doesn't fit is reported instead."""
    known = sum({**{tablet: count for tablet, (count, _) in side.tails.items()}, **_counts(ends)}.values())
    while True:
        tails = side.tails
        asked = {**tails, **dict.fromkeys(met.doubted, NOTHING_MORE)}
        most = hub.batch
        rows = hub.take(asked, most)
        hub.batch = min(BATCH_ROWS, hub.batch * 2)
        for tablet, group in groupby(rows, attrgetter("tablet")):
            new = [row for row in group if row.count > tails.get(tablet, (0, ""))[0]]
            known += len(new)
            if new and not _taken(side, hub, met, new, known, last_try):
                return False
        if len(rows) < most:
            return True


def _counts(ends: Mapping[str, End]) -> dict[str, int]:
    return {tablet: end.count for tablet, end in ends.items()}


def _taken(side: Side, hub: Hub, met: ExchangeResult, rows: Sequence[Row], known: int, last_try: bool) -> bool:
    """Take in rows of one tablet. A row that can't be accepted is reported, and doesn't block other tablets."""
    tablet = rows[0].tablet
    if any(_rank(row) > 10 * known + NEAR_RANK for row in rows):
        met.doubted[tablet] = "it claims to have seen far more than there is"
        return True
    own = tablet == side.tablet
    try:
        side.take_in(rows)
    except DamagedLogError as error:
        if any(row.kind == LOST for row in rows) or any(gap.tablet == tablet for gap in side.gaps()):
            side.restore_rows(_all_between(hub, tablet, 1, rows[-1].count))
        if side.tails.get(tablet, (0, ""))[0] >= rows[-1].count:
            return True
        if last_try:
            met.doubted[tablet] = str(error)
        return last_try
    met.taken += len(rows)
    if own:
        side.renew_name()
        met.renewed = True
    return True


def _rank(row: Row) -> int:
    """The claimed position of a row in the overall order; last when that can't be read."""
    try:
        return sum(json.loads(row.seen).values())
    except (ValueError, TypeError, AttributeError, RecursionError):
        return 10**18


# -- what was lost -----------------------------------------------------------------------------------------------------


def _fill_gaps(side: Side, hub: Hub) -> bool:
    """Fill gaps here with the hub's rows, and gaps there with ours; returns whether this log was joined again."""
    mine = side.gaps()
    found = [row for gap in mine for row in _all_between(hub, gap.tablet, gap.first, gap.last) if row.kind != LOST]
    if found:
        before = len(mine)
        side.restore_rows(found)
        if len(side.gaps()) != before or sum(g.last - g.first for g in side.gaps()) < sum(
            g.last - g.first for g in mine
        ):
            return True
    for gap in hub.gaps():
        rows = [
            row
            for row in side.page(gap.tablet, gap.first - 1, min(GAP_ROWS, gap.last - gap.first + 1))
            if row.kind != LOST and row.count <= gap.last
        ]
        if rows and rows[0].count == gap.first:
            try:
                hub.give(rows)
            except RefusedRowsError:
                continue
    return False


def _all_between(hub: Hub, tablet: str, first: int, last: int) -> list[Row]:
    rows: list[Row] = []
    while first <= last:
        rows += hub.between(tablet, first, min(last, first + GAP_ROWS // 2 - 1))
        first += GAP_ROWS // 2
    return rows
