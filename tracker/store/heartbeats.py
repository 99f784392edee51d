"""Readings of the clocks, written every few seconds: after a restart they bound how long the tablet was off.

One row for each boot, with its first and its last beat. They are not in the log and belong to this tablet alone. A beat
that can't be written, or that a damaged bit has changed, is left out: a clock's lower bound is then lower, never wrong.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterable
from datetime import datetime

from msgspec import Struct
from sqlite_utils import Database

from tracker.store.schema import proof_of

KEPT_BOOTS = 50
_COLUMNS = "boot_id, first_boot, first_wall, last_boot, last_wall, proof"


class Heartbeat(Struct, frozen=True):
    """The first and the last beat of one boot: seconds of the boot clock, and UTC by the wall clock."""

    boot_id: str
    first_boot: float
    first_wall: datetime
    last_boot: float
    last_wall: datetime


class Heartbeats:
    """The beats of this tablet's latest boots."""

    def __init__(self, db: Database) -> None:
        self._db = db
        self._beats: dict[str, Heartbeat] = {}
        with contextlib.suppress(sqlite3.Error):  # a read-only record of an earlier version
            for row in db.execute(f"SELECT {_COLUMNS} FROM heartbeats ORDER BY rowid").fetchall():
                beat = _read(row)
                if beat is not None:
                    self._beats[beat.boot_id] = beat

    @property
    def boots(self) -> tuple[Heartbeat, ...]:
        """Every known boot, the latest last, in the order in which they were written, not by a wall clock."""
        return tuple(self._beats.values())

    def beat(self, boot_id: str, boot: float, wall: datetime) -> bool:
        """Write the present readings of the clocks; returns whether that was possible. `wall` is timezone-aware."""
        known = self._beats.get(boot_id)
        beat = Heartbeat(boot_id, known.first_boot if known else boot, known.first_wall if known else wall, boot, wall)
        try:
            self._db.execute(f"INSERT OR REPLACE INTO heartbeats ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?)", _row(beat))
            self._beats.pop(boot_id, None)
            self._beats[boot_id] = beat
            if known is None:
                self._prune()
        except sqlite3.Error:
            return False
        return True

    def _prune(self) -> None:
        for old in self.boots[:-KEPT_BOOTS]:
            self._db.execute("DELETE FROM heartbeats WHERE boot_id = ?", (old.boot_id,))
            del self._beats[old.boot_id]

    def take_over(self, beats: Iterable[Heartbeat]) -> None:
        """Write beats of this machine from another of its records."""
        for beat in beats:
            with contextlib.suppress(sqlite3.Error):
                self._db.execute(f"INSERT OR IGNORE INTO heartbeats ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?)", _row(beat))


def _row(beat: Heartbeat) -> tuple[str, float, str, float, str, str]:
    first, last = float(beat.first_boot), float(beat.last_boot)  # as SQLite returns them
    said = (beat.boot_id, first, beat.first_wall.isoformat(), last, beat.last_wall.isoformat())
    return (*said, proof_of(*said))


def _read(row: tuple[str, float, str, float, str, str]) -> Heartbeat | None:
    boot_id, first_boot, first_wall, last_boot, last_wall, proof = row
    try:
        if proof != proof_of(boot_id, float(first_boot), first_wall, float(last_boot), last_wall):
            return None
        first, last = datetime.fromisoformat(first_wall), datetime.fromisoformat(last_wall)
        if first.tzinfo is None or last.tzinfo is None or not isinstance(boot_id, str):
            return None
        return Heartbeat(boot_id, float(first_boot), first, float(last_boot), last)
    except (TypeError, ValueError):
        return None
