"""This shop's record as the exchange with the hub needs it.

The exchange has its own thread and the record belongs to another, the screen's. Everything that touches the log is
asked of that thread in small portions, so that no tap waits for more than a page. Rows are proven and decoded on the
exchange's thread.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from tracker.shop.kept_record import KeptRecord
from tracker.store.errors import DamagedLogError
from tracker.store.exchange_file import trouble_of
from tracker.store.rows import LOST, Chains, Row, entry_of
from tracker.together.branch import Fork, branched
from tracker.together.exchange import Gap
from tracker.work.facts import Done, Entry
from tracker.work.state.replay import Replay

PAGE_ROWS = 100
"""The most rows of the log that are read or written at once."""
FEW = 300
"""The most entries that are folded at once on the record's thread; with more, everything is folded on another
thread."""


class HubSide:
    """A `tracker.together.exchange.Side`. `ask` runs something on the record's thread and waits for its answer."""

    def __init__(
        self,
        kept: KeptRecord,
        ask: Callable[[Callable[[], Any]], Any],
        arriving: Callable[[Callable[[], None]], None] = lambda fold: fold(),
    ) -> None:
        """`arriving` is called on the record's thread with a function that folds the entries of other tablets."""
        self._kept = kept
        self._ask = ask
        self._arriving = arriving
        self._gaps: list[Gap] | None = None
        self._unfolded: list[Entry] = []
        self._clock = False
        self.news: tuple[Entry, ...] = ()
        """The entries that came in since the last look, for the messages about them."""

    @property
    def tablet(self) -> str:
        return self._kept.tablet

    @property
    def tails(self) -> dict[str, tuple[int, str]]:
        tails: dict[str, tuple[int, str]] = self._ask(self._kept.tails)
        return tails

    def page(self, tablet: str, after: int, most: int) -> list[Row]:
        rows: list[Row] = self._ask(lambda: self._kept.page(tablet, after, min(most, PAGE_ROWS)))
        return rows

    def chain_at(self, tablet: str, count: int) -> str | None:
        chain: str | None = self._ask(lambda: self._kept.chain_at(tablet, count))
        return chain

    def gaps(self) -> list[Gap]:
        if self._gaps is None:
            self._gaps = [Gap(*gap) for gap in self._ask(self._kept.gaps)]
        return self._gaps

    def take_in(self, rows: Sequence[Row]) -> None:
        for start in range(0, len(rows), PAGE_ROWS):
            self._take_in_page(rows[start : start + PAGE_ROWS])

    def _take_in_page(self, rows: Sequence[Row]) -> None:
        tails = self.tails
        new = [row for row in rows if row.count > tails.get(row.tablet, (0, ""))[0]]
        entries = []
        for row in Chains(tails).follow(new):
            entry = entry_of(row)
            if trouble := trouble_of(row, entry):
                raise DamagedLogError(f"entry {row.count} of tablet {row.tablet} can't be true: {trouble}")
            entries.append(entry)
        self._ask(lambda: self._kept.take_in_proven(new, tails))
        self._unfolded += entries
        self._clock |= any(isinstance(each.fact, Done) and each.fact.wait is not None for each in entries)
        if any(row.kind == LOST for row in new):
            self._gaps = None

    def new_clock_arrived(self) -> bool:
        """Whether anything taken in since the last call has started a clock."""
        heard, self._clock = self._clock, False
        return heard

    def settle(self) -> None:
        """Fold what was taken in."""
        new, self._unfolded = self._unfolded, []
        if not new:
            return
        self.news = (*self.news, *new)[-FEW:]
        if len(new) <= FEW:
            self._ask(partial(self._arriving, partial(self._kept.fold, new)))
            return
        known: tuple[Entry, ...] = self._ask(self._kept.entries)
        replay = Replay((*known, *new))
        self._ask(lambda: self._kept.take_over(replay, len(known)))

    def restore_rows(self, rows: Sequence[Row]) -> None:
        self._unfolded, self._gaps = [], None
        self._ask(lambda: self._kept.restore_rows(rows))

    def branch_off(self, forks: Sequence[tuple[str, int]]) -> list[Fork]:
        self._unfolded, self._gaps = [], None
        for _ in range(3):
            tails = self.tails
            rows = [row for tablet in sorted(tails) for row in self._all_of(tablet)]
            said = []
            for tablet, first in forks:
                rows, fork = branched(rows, tablet, first)
                said += [fork] if fork else []
            mine = any(tablet == self.tablet for tablet, _ in forks)
            if self._ask(partial(self._kept.replace_rows, rows, tails, mine)):
                return said
        raise DamagedLogError("the record goes on too fast")

    def _all_of(self, tablet: str) -> list[Row]:
        rows: list[Row] = []
        while page := self.page(tablet, rows[-1].count if rows else 0, PAGE_ROWS):
            rows += page
        return rows

    def renew_name(self) -> None:
        self._ask(self._kept.renew_name)
