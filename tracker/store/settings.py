"""What this tablet remembers for itself: its name, its station, what was on the screen. Not facts: they may change.

Each holds a proof of what it says, so that a kerf which a damaged bit has changed is never worked by. One that can't
be proven or read isn't there: what it is for falls back to its ordinary value, and `unreadable` names it.
A setting that can't be written (a full disk, a folder that only reads) holds until the app is closed: no tap fails.
"""

from __future__ import annotations

import contextlib
import re
import sqlite3
from collections.abc import Iterator, MutableMapping

from sqlite_utils import Database

from tracker.store.closed_copy import read_settings
from tracker.store.schema import proof_of

MOST_NAMED = 5
_NAME = re.compile(r"[a-z][a-z ]{0,30}", re.ASCII)
"""What a setting is called; damaged bytes aren't read out to a person."""


class Settings(MutableMapping[str, str]):
    """Words by name, each written at once. `unreadable` names those that were there and can't be proven."""

    def __init__(self, db: Database) -> None:
        self._db = db
        self._values: dict[str, str] = {}
        self.unreadable: tuple[str, ...] = ()
        with contextlib.suppress(sqlite3.Error):  # a log of the first version that can't be brought up to date has none
            self._values, self.unreadable = read_settings(db.conn)

    def __getitem__(self, name: str) -> str:
        return self._values[name]

    def __setitem__(self, name: str, value: str) -> None:
        if self._values.get(name) != value:
            self._values[name] = value
            with contextlib.suppress(sqlite3.Error):
                self._db.execute(
                    "INSERT OR REPLACE INTO settings (name, value, proof) VALUES (?, ?, ?)",
                    (name, value, proof_of(name, value)),
                )

    def __delitem__(self, name: str) -> None:
        del self._values[name]
        with contextlib.suppress(sqlite3.Error):
            self._db.execute("DELETE FROM settings WHERE name = ?", (name,))

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def forget_unreadable(self) -> None:
        """Remove those that were named: they have been said, and a person may have set them again."""
        with contextlib.suppress(sqlite3.Error):
            as_bytes = "rowid, CAST(name AS BLOB), CAST(proof AS BLOB)"
            for rowid, name, proof in self._db.execute(f"SELECT {as_bytes} FROM settings").fetchall():
                words = (name or b"").decode("utf-8", "replace")
                if (proof or b"").decode("utf-8", "replace") != proof_of(words, self._values.get(words)):
                    self._db.execute("DELETE FROM settings WHERE rowid = ?", (rowid,))


def unreadable_sentence(names: tuple[str, ...]) -> str:
    """Says which settings fell back; empty when none did."""
    if not names:
        return ""
    plain = [f"“{name}”" for name in dict.fromkeys(names) if _NAME.fullmatch(name)]
    if not plain:  # not even what they were called
        return "Some settings can't be read and are back at the ordinary value: look at More, Settings before you cut."
    said = ", ".join(plain[:MOST_NAMED]) + (" and more" if len(names) > MOST_NAMED else "")
    are = f"The settings {said} can't be read and are" if len(names) > 1 else f"The setting {said} can't be read and is"
    return f"{are} back at the ordinary value: look at More, Settings before you cut."
