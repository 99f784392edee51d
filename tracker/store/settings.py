"""What this tablet remembers for itself: its name, its station, what was on the screen. Not facts: they may change.

A setting that can't be written (a full disk, a folder that only reads) holds until the app is closed: no tap fails.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator, MutableMapping

from sqlite_utils import Database


class Settings(MutableMapping[str, str]):
    """Words by name, each written at once."""

    def __init__(self, db: Database) -> None:
        self._db = db
        self._values: dict[str, str] = {}
        with contextlib.suppress(sqlite3.Error):  # a log of the first version that can't be brought up to date has none
            self._values.update(db.execute("SELECT name, value FROM settings"))

    def __getitem__(self, name: str) -> str:
        return self._values[name]

    def __setitem__(self, name: str, value: str) -> None:
        if self._values.get(name) != value:
            self._values[name] = value
            with contextlib.suppress(sqlite3.Error):
                self._db.execute("INSERT OR REPLACE INTO settings (name, value) VALUES (?, ?)", (name, value))

    def __delitem__(self, name: str) -> None:
        del self._values[name]
        with contextlib.suppress(sqlite3.Error):
            self._db.execute("DELETE FROM settings WHERE name = ?", (name,))

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)
