"""The whole log as one file, to carry to another tablet or keep elsewhere: JSON Lines in UTF-8 (RFC 8259, one value a
line, https://jsonlines.org).

    {"format": "kerfcard log", "version": 1, "entries": 2, "ends": {"5a31c0de": [2, "9f…"]}}
    ["5a31c0de", 1, "{}", "2026-03-02T08:00:00+00:00", "opened", "{\\"build\\": …}", "41…"]
    ["5a31c0de", 2, "{\\"5a31c0de\\": 1}", "2026-03-02T08:01:30+00:00", "done", "{\\"item\\": …}", "9f…"]

The first line gives the format, the number of entries, and each tablet's last count and chain. Then follows each entry
as it is stored (tracker/store/rows.py): tablet, count, seen, at, kind, data, chain. A file may come from a stranger:
every line is checked, bounded and proven before any is taken in, and problems are returned as values.
"""

from __future__ import annotations

import json
import os
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path

from msgspec import Struct

from tracker.store import files
from tracker.store.errors import DamagedLogError, cannot_write
from tracker.store.exchange_file import FORMAT, VERSION, Wrong, read_file
from tracker.store.log import Log
from tracker.store.rows import LOST, Row, entry_of, first_lost
from tracker.whole_file import whole_file
from tracker.work.facts import Entry, Unknown


class Taken(Struct, frozen=True):
    """The result of importing a file: the new entries, or the problems; with problems nothing was taken in."""

    new: tuple[Entry, ...] = ()
    problems: tuple[Wrong, ...] = ()
    found_again: bool = False
    """Whether the log had lost some of them and was joined again."""


class Offer(Struct, frozen=True):
    """What a file would bring: its rows and the entries among them that are new here; or its problems."""

    rows: tuple[Row, ...] = ()
    new: tuple[Entry, ...] = ()
    fills_gaps: bool = False
    """Whether this log had lost some of them, so that it has to be joined again."""
    problems: tuple[Wrong, ...] = ()


def export_log(log: Log, to: Path) -> int:
    """Write the whole log to a file, which gets its name when it is complete; returns the number of entries. Raises
    CannotWriteError."""
    try:
        return export_rows(log.rows(), log.tails, to)
    except OSError as error:
        raise cannot_write(error) from error


def export_rows(rows: Iterable[Row], tails: Mapping[str, tuple[int, str]], to: Path) -> int:
    """Write rows, ending in `tails`, to a file; returns their number. Raises OSError; then there is no file."""
    rows = list(rows)
    ends = {tablet: list(end) for tablet, end in sorted(tails.items())}
    head = {"format": FORMAT, "version": VERSION, "entries": len(rows), "ends": ends}
    with whole_file(to) as file:
        if hasattr(os, "fchmod") and not to.exists():
            os.fchmod(file.fileno(), files.OURS_ALONE)
        for line in (head, *rows):
            file.write(json.dumps(line, ensure_ascii=False).encode() + b"\n")
    return len(rows)


def look_into(log: Log, path: Path, tablet: str) -> Offer:
    """What a file exported elsewhere would bring to this log, which `tablet` writes; nothing is taken in."""
    rows, problems = read_file(path, log.seen, tablet)
    if not problems:
        problems = _forks(log, rows)
    if problems:
        return Offer(problems=problems)
    known = {row.id for row in log.rows() if row.kind != LOST}
    new = tuple(entry for row in rows if row.id not in known and not is_lost(entry := entry_of(row)))
    return Offer(tuple(rows), new, _fills_gaps(log, rows))


def is_lost(entry: Entry) -> bool:
    """Whether an entry only stands for lost ones."""
    return isinstance(entry.fact, Unknown) and entry.fact.kind == LOST


def take_in_export(log: Log, rows: Iterable[Row]) -> Taken:
    """Take in the rows of a file, all of them or none; repeating it is harmless. Raises CannotWriteError."""
    try:
        return Taken(tuple(log.take_in_rows(rows)))
    except DamagedLogError as error:
        return Taken(problems=(Wrong(0, f"the file doesn't go on from this record: {error}"),))


def _fills_gaps(log: Log, rows: list[Row]) -> bool:
    """Whether the file has rows that this log has lost."""
    gaps: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
    for row in log.rows():
        if row.kind == LOST:  # in the order of a tablet's counts, without overlaps
            gaps[row.tablet].append((row.count, first_lost(row)))
    for row in rows:
        ends = gaps.get(row.tablet, [])
        at = bisect_left(ends, (row.count, 0))
        if row.kind != LOST and at < len(ends) and ends[at][1] <= row.count:
            return True
    return False


def _forks(log: Log, rows: list[Row]) -> tuple[Wrong, ...]:
    """Tablets that wrote different entries here and there under the same count."""
    mine = {row.id: (row.chain, row.kind) for row in log.rows()}
    wrong: dict[str, Wrong] = {}
    for line, row in enumerate(rows, 2):
        chain, kind = mine.get(row.id, ("", ""))
        if chain and chain != row.chain and LOST not in (kind, row.kind) and row.tablet not in wrong:
            wrong[row.tablet] = Wrong(
                line,
                f"entry {row.count} of tablet {row.tablet} is another one in this record: two tablets had one name",
            )
    return tuple(wrong.values())


def export_name(now: datetime) -> str:
    """The name of an exported file."""
    return f"kerfcard-{now:%Y%m%d-%H%M%S}.jsonl"
