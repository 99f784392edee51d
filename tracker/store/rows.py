"""A row of the log as stored, and the chain that shows whether it was changed.

Each row holds SHA-256 (FIPS 180-4) over the chain of the row before it of the same tablet and its own other columns,
written as one JSON array. The chain is computed from the stored columns, never from decoded facts: a version that
doesn't know a fact can still prove it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from hashlib import sha256
from json.encoder import encode_basestring as quoted
from typing import Any, NamedTuple

from tracker.store.errors import DamagedLogError
from tracker.work.facts import Entry, from_data, to_data

_decode = json.JSONDecoder().raw_decode


class Row(NamedTuple):
    """An entry as stored: all text, except the count."""

    tablet: str
    count: int  # type: ignore[assignment]  # a tuple's `count` isn't needed here
    seen: str
    at: str
    kind: str
    data: str
    chain: str

    @property
    def id(self) -> tuple[str, int]:
        return self[:2]


COLUMNS = ", ".join(Row._fields)
LOST = "lost"
"""The kind of a row that stands for lost rows. Its data give the first count (`from`; its own count is the last), the
chain that the tablet's rows continue (`chain`), and the last lost row (`row`: seen, at, kind, data) if it could be read
but not proven. Written only by recovery."""


def chain_link(before: str, tablet: str, count: int, seen: str, at: str, kind: str, data: str) -> str:
    """The chain of a row, given the chain before it. The text is what `json.dumps(…, ensure_ascii=False)` writes."""
    words = (
        f"[{quoted(before)}, {quoted(tablet)}, {count}, {quoted(seen)}, {quoted(at)}, {quoted(kind)}, {quoted(data)}]"
    )
    return sha256(words.encode()).hexdigest()


def chain_after(row: Row) -> str:
    """The chain that the tablet's next row continues."""
    if row.kind != LOST:
        return row.chain
    return str(_lost(row).get("chain", ""))


def first_lost(row: Row) -> int:
    """The first count that a `lost` row stands for."""
    first = _lost(row).get("from")
    return first if isinstance(first, int) else row.count


def _lost(row: Row) -> Mapping[str, Any]:
    try:
        data = json.loads(row.data)
    except ValueError:
        return {}
    return data if isinstance(data, dict) else {}


def seen_of_others(row: Row) -> dict[str, int]:
    """The highest count of every other tablet that this row's tablet had seen. Raises ValueError when that can't be
    read."""
    if row.seen in ("{}", f'{{"{row.tablet}": {row.count - 1}}}'):  # true of almost every row
        return {}
    return {tablet: count for tablet, count in json.loads(row.seen).items() if tablet != row.tablet}


class Chains:
    """Checks the rows of every tablet, each against the one before it. `tails` has each tablet's last count and the
    chain that continues it."""

    def __init__(self, tails: Mapping[str, tuple[int, str]] | None = None) -> None:
        self.tails: dict[str, tuple[int, str]] = dict(tails or {})

    def follow(self, rows: Iterable[Row]) -> Iterator[Row]:
        """The same rows, each proven. Raises DamagedLogError at the first that isn't."""
        tails = self.tails
        try:
            for row in rows:
                tablet, count, seen, at, kind, data, chain = row
                last, before = tails.get(tablet, (0, ""))
                if count != last + 1 and not (kind == LOST and first_lost(row) == last + 1 <= count):
                    raise DamagedLogError(f"{_named(tablet, last + 1)} is missing")
                if chain != chain_link(before, tablet, count, seen, at, kind, data):
                    raise DamagedLogError(f"{_named(tablet, count)} was changed after it was written")
                tails[tablet] = (count, chain if kind != LOST else chain_after(row))
                yield row
        except (TypeError, UnicodeError) as error:  # a column that isn't text
            raise DamagedLogError(f"an entry can't be read ({error})") from error


def _named(tablet: object, count: object) -> str:
    return f"entry {count} of tablet {tablet}"


def row_of(entry: Entry, before: str) -> Row:
    """An entry as stored after the row whose chain is `before`."""
    kind, data = to_data(entry.fact)
    columns = (
        entry.tablet,
        entry.count,
        json.dumps(dict(entry.seen), sort_keys=True),
        entry.at.isoformat(),
        kind,
        json.dumps(data, sort_keys=True, ensure_ascii=False),
    )
    return Row(*columns, chain_link(before, *columns))


def _decoded(text: str) -> Any:
    """Like `json.loads`, but faster."""
    value, end = _decode(text)
    if end != len(text):
        raise ValueError("there is more than one value")
    return value


def entry_of(row: Row) -> Entry:
    """The entry of a row. Raises DamagedLogError when it can't be read."""
    tablet, count, seen, at, kind, data, _ = row
    try:
        if kind == LOST and '"row": [' in data:
            seen, at, kind, data = _lost(row)["row"]
        alone = seen == f'{{"{tablet}": {count - 1}}}'  # true of almost every row: it had seen only its own tablet
        known = {tablet: count - 1} if alone else json.loads(seen)
        return Entry(tablet, count, known, datetime.fromisoformat(at), from_data(kind, _decoded(data)))
    except (TypeError, ValueError, KeyError, AttributeError, RecursionError) as error:
        raise DamagedLogError(f"{_named(tablet, count)} can't be read") from error
