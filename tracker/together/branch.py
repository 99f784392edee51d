"""A branch: rows written under a tablet's name while the hub has other rows with the same name and counts.

A memory card that was copied, or a record that was restored outside the app, leads to counts being written twice. Both
histories are true and both are kept: the hub's keeps the name, the other one gets a new name. That name is derived from
the branch itself, so every tablet that has the branch gives it the same one.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from hashlib import sha256
from typing import Any

from msgspec import Struct

from tracker.store.rows import LOST, Row, chain_after, chain_link, first_lost


class Fork(Struct, frozen=True):
    """This tablet's rows `first` to `last` under the name `tablet` are now called `renamed`."""

    tablet: str
    first: int
    last: int
    renamed: str

    @property
    def count(self) -> int:
        """How many facts it contains."""
        return self.last - self.first + 1


def branch_name(chain: str) -> str:
    """The name of a branch, from the chain of its first row."""
    return "b" + sha256(f"branch {chain}".encode()).hexdigest()[:15]


def branched(rows: Sequence[Row], tablet: str, first: int) -> tuple[list[Row], Fork | None]:
    """All rows of a log, by tablet and count, with those of `tablet` from `first` on renamed, and what was renamed;
    None when there are no such rows.

    If the log already holds the branch under its own name, it isn't duplicated; if it holds another continuation of the
    branch under that name, the two fork again there.
    """
    branch = [row for row in rows if row.tablet == tablet and row.count >= first]
    if not branch:
        return list(rows), None
    known = {row.id: row for row in rows}
    name, moved = branch_name(branch[0].chain), []
    rest, start, fresh = branch, first, name
    while rest:
        rest = _renamed(rest, start, fresh)
        apart = next((at for at, row in enumerate(rest) if known.get(row.id, row) != row), len(rest))
        moved += rest[:apart]
        rest = rest[apart:]
        if rest:
            start, fresh = rest[0].count, branch_name(rest[0].chain)
    renamed = dict(zip((row.id for row in branch), moved, strict=True))
    out = [renamed.get(row.id, row) for row in rows if row.id not in renamed or renamed[row.id].id not in known]
    return sorted(out), Fork(tablet, first, branch[-1].count, name)


def _renamed(branch: Sequence[Row], first: int, name: str) -> list[Row]:
    """The rows of a branch under its name, counted and chained from the beginning."""
    names = _Renaming(branch[0].tablet, first, name)
    out: list[Row] = []
    before = ""
    for row in branch:
        data = json.loads(row.data)
        if row.kind == LOST:
            data["from"] = max(1, first_lost(row) - first + 1)
        else:
            data = names.within(data)
        columns = (
            name,
            row.count - first + 1,
            json.dumps(names.seen(json.loads(row.seen)), sort_keys=True),
            row.at,
            row.kind,
            json.dumps(data, sort_keys=True, ensure_ascii=False),
        )
        out.append(Row(*columns, chain_link(before, *columns)))
        before = chain_after(out[-1])
    return out


class _Renaming:
    """Renames `tablet` from the count `first` on to `name`, from 1 on."""

    def __init__(self, tablet: str, first: int, name: str) -> None:
        self._tablet, self._first, self._name = tablet, first, name

    def _number(self, count: object) -> int | None:
        return count - self._first + 1 if type(count) is int and count >= self._first else None

    def seen(self, seen: dict[str, int]) -> dict[str, int]:
        """What a row had seen: the same facts, so its rank stays."""
        mine = self._number(seen.get(self._tablet))
        if mine is None:
            return seen
        out = {**seen, self._name: mine, self._tablet: self._first - 1}
        return {tablet: count for tablet, count in out.items() if count}

    def within(self, thing: Any) -> Any:
        """A fact's data with every reference to an entry of the branch corrected, also in kinds of a later version: a
        pair of a tablet and a count, or an object that has both."""
        if isinstance(thing, dict):
            inside = {key: self.within(value) for key, value in thing.items()}
            count = self._number(thing.get("count"))
            if thing.get("tablet") == self._tablet and count is not None:
                inside |= {"tablet": self._name, "count": count}
            return inside
        if isinstance(thing, list):
            count = self._number(thing[1]) if len(thing) == 2 and thing[0] == self._tablet else None
            return [self._name, count] if count is not None else [self.within(each) for each in thing]
        return thing
