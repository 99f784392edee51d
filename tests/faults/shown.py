"""What the app has said is done: the facts that must be in the log whatever happens next."""

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
        """Take down what the shop shows as done; how many facts were new."""
        before = len(self.told)
        for entry in shop.entries()[before:]:
            self.told[entry.id] = as_data(entry)
        return len(self.told) - before

    def missing(self, entries: Iterable[Entry]) -> list[EntryId]:
        """Those that aren't among the entries as they were shown."""
        kept = {entry.id: as_data(entry) for entry in entries}
        return [key for key, fact in self.told.items() if kept.get(key) != fact]


def read_home(home: Path) -> tuple[list[Entry], str]:
    """What the log of a home folder says when it is opened, and the sentence that opening it says."""
    opened = open_log(home, MORNING)
    entries = opened.log.entries()
    opened.log.close()
    return list(entries), opened.notice
