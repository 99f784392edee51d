"""An entry: a fact in its place in the log."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from msgspec import Struct

from tracker.work.facts.kinds import EntryId, Fact


class Entry(Struct, frozen=True):
    """A fact with its place in the log."""

    tablet: str
    count: int
    seen: Mapping[str, int]
    at: datetime
    fact: Fact

    @property
    def id(self) -> EntryId:
        return (self.tablet, self.count)

    @property
    def rank(self) -> tuple[int, str, int]:
        """The sort key: each entry comes after everything that its tablet had seen, in the same order on every
        tablet."""
        return (sum(self.seen.values()), self.tablet, self.count)

    def is_after(self, other: Entry) -> bool:
        """Whether it comes later in the one order on which all tablets agree."""
        return self.rank > other.rank


def in_order(entries: Iterable[Entry]) -> list[Entry]:
    """The one order on which all tablets agree; duplicate entries are dropped."""
    return sorted({entry.id: entry for entry in entries}.values(), key=lambda entry: entry.rank)
