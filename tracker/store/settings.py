"""What this tablet remembers for itself: its name, its station, what was on the screen. Not facts: they may change."""

from __future__ import annotations

from collections.abc import Iterator, MutableMapping

from sqlite_utils import Database


class Settings(MutableMapping[str, str]):
    """Words by name, each written at once."""

    def __init__(self, db: Database) -> None:
        self._db = db
        self._values: dict[str, str] = dict(db.execute("SELECT name, value FROM settings"))

    def __getitem__(self, name: str) -> str:
        return self._values[name]

    def __setitem__(self, name: str, value: str) -> None:
        if self._values.get(name) != value:
            self._db.table("settings").upsert({"name": name, "value": value}, pk="name")
            self._values[name] = value

    def __delitem__(self, name: str) -> None:
        self._db.table("settings").delete(name)
        del self._values[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)
