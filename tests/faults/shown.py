"""What the app has shown as done: the facts that must be in the log whatever happens next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from faults.witness import as_data

from tracker.shop import Shop
from tracker.store.recovery import open_log
from tracker.work.facts import Entry, EntryId

MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@dataclass
class Shown:
    """The facts that were shown so far, word for word."""

    told: dict[EntryId, Any] = field(default_factory=dict)

    def hear(self, shop: Shop) -> int:
        """Record what the shop shows as done; returns how many facts were new."""
        before = len(self.told)
        for entry in shop.entries()[before:]:
            self.told[entry.id] = as_data(entry)
        return len(self.told) - before

    def missing(self, entries: Iterable[Entry]) -> list[EntryId]:
        """The facts that aren't among the entries exactly as shown."""
        kept = {entry.id: as_data(entry) for entry in entries}
        return [key for key, fact in self.told.items() if kept.get(key) != fact]


def read_home(home: Path) -> tuple[list[Entry], str]:
    """The entries of a home folder's log, and the message when it is opened."""
    opened = open_log(home, MORNING)
    entries = opened.log.entries()
    opened.log.close()
    return list(entries), opened.notice
