"""What this tablet remembers for itself: its name, its station, what was on the screen. These aren't facts: they may
change.

Each setting holds a proof of its contents, so that a kerf changed by a damaged bit is never used. A setting that can't
be proven or read counts as missing: its default is used, and `unreadable` names it. A setting that can't be written (a
full disk, a read-only folder) is kept until the app is closed: no tap fails.
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
"""A valid name of a setting; damaged bytes aren't shown to a person."""


class Settings(MutableMapping[str, str]):
    """Texts by name, each written at once. `unreadable` names those that were there and can't be proven."""

    def __init__(self, db: Database) -> None:
        self._db = db
        self._values: dict[str, str] = {}
        self.unreadable: tuple[str, ...] = ()
        with contextlib.suppress(sqlite3.Error):  # a read-only log of the first version has none
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
        """Remove the named ones: they have been reported, and a person may have set them again."""
        with contextlib.suppress(sqlite3.Error):
            as_bytes = "rowid, CAST(name AS BLOB), CAST(proof AS BLOB)"
            for rowid, name, proof in self._db.execute(f"SELECT {as_bytes} FROM settings").fetchall():
                words = (name or b"").decode("utf-8", "replace")
                if (proof or b"").decode("utf-8", "replace") != proof_of(words, self._values.get(words)):
                    self._db.execute("DELETE FROM settings WHERE rowid = ?", (rowid,))


def unreadable_sentence(names: tuple[str, ...]) -> str:
    """A sentence about the settings that fell back to their defaults; empty when none did."""
    names = tuple(dict.fromkeys(names))
    if not names:
        return ""
    plain = [f"“{name}”" for name in names if _NAME.fullmatch(name)]
    if not plain:  # not even their names are readable
        return "Some settings can't be read and are back at the ordinary value: look at More, Settings before you cut."
    said = ", ".join(plain[:MOST_NAMED]) + (" and more" if len(names) > MOST_NAMED else "")
    are = f"The settings {said} can't be read and are" if len(names) > 1 else f"The setting {said} can't be read and is"
    return f"{are} back at the ordinary value: look at More, Settings before you cut."
