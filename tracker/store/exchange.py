"""The whole log as one file, to be carried to another tablet or kept elsewhere: JSON Lines in UTF-8 (RFC 8259, one
value a line, https://jsonlines.org).

    {"format": "kerfcard log", "version": 1, "entries": 2, "ends": {"5a31c0de": [2, "9f…"]}}
    ["5a31c0de", 1, "{}", "2026-03-02T08:00:00+00:00", "opened", "{\\"build\\": …}", "41…"]
    ["5a31c0de", 2, "{\\"5a31c0de\\": 1}", "2026-03-02T08:01:30+00:00", "done", "{\\"item\\": …}", "9f…"]

First what it is, how many entries follow, and each tablet's last count and chain; then each entry as it is stored
(tracker/store/rows.py): tablet, count, seen, at, kind, data, chain. A file may come from a stranger: every line is
checked, bounded and proven before any is taken in, and all that is wrong is said as values.
"""

from __future__ import annotations

import json
import math
import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, BinaryIO

from msgspec import Struct, field

from tracker.store.errors import DamagedLogError, cannot_write
from tracker.store.log import Log
from tracker.store.rows import LOST, Chains, Row, entry_of, first_lost
from tracker.whole_file import whole_file
from tracker.work.facts import Entry

FORMAT, VERSION = "kerfcard log", 1
MOST_BYTES = 128 * 1024 * 1024
MOST_LINE = 1024 * 1024
MOST_ENTRIES = 500_000
MOST_TEXT = 20_000
MOST_NUMBER = 10**9
MOST_DEPTH = 8
MOST_PROBLEMS = 20
_TABLET = re.compile(r"[0-9A-Za-z_-]{1,32}", re.ASCII)
_CHAIN = re.compile(r"[0-9a-f]{64}", re.ASCII)


class Wrong(Struct, frozen=True):
    """What is wrong with a line of an exchanged file (0: with the file)."""

    line: int
    what: str


class Taken(Struct, frozen=True):
    """What came of taking in a file: the new entries, or what is wrong; then nothing was taken in."""

    new: tuple[Entry, ...] = ()
    problems: tuple[Wrong, ...] = ()
    found_again: bool = False
    """The log had lost some of them: it was joined anew."""


def export_log(log: Log, to: Path) -> int:
    """Write the whole log to a file, which has its name once it is whole; how many entries. Raises CannotWriteError."""
    ends = {tablet: list(end) for tablet, end in sorted(log.tails.items())}
    count = log.length
    try:
        with whole_file(to) as file:
            head = {"format": FORMAT, "version": VERSION, "entries": count, "ends": ends}
            file.write(json.dumps(head, ensure_ascii=False).encode() + b"\n")
            for row in log.rows():
                file.write(json.dumps(row, ensure_ascii=False).encode() + b"\n")
    except OSError as error:
        raise cannot_write(error) from error
    return count


def read_export(log: Log, path: Path) -> tuple[list[Row], tuple[Wrong, ...]]:
    """The rows of a file that was exported elsewhere, or what is wrong with it, by itself or beside this log."""
    reading = _Reading()
    try:
        with path.open("rb") as file:
            rows = list(reading.rows(file))
    except OSError as error:
        return [], (Wrong(0, f"the file can't be read: {error.strerror}"),)
    if not reading.problems:
        reading.problems += _forks(log, rows)
    return ([], tuple(reading.problems)) if reading.problems else (rows, ())


def take_in_export(log: Log, rows: list[Row]) -> Taken:
    """Take in the rows of a file, all of them or none; twice is harmless. Raises CannotWriteError."""
    try:
        return Taken(tuple(log.take_in_rows(rows)))
    except DamagedLogError as error:
        return Taken(problems=(Wrong(0, f"the file doesn't go on from this record: {error}"),))


def fills_gaps(log: Log, rows: list[Row]) -> bool:
    """Whether the file has rows that this log has lost."""
    gaps: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
    for row in log.rows():
        if row.kind == LOST:  # in the order of a tablet's counts, none over another
            gaps[row.tablet].append((row.count, first_lost(row)))
    for row in rows:
        ends = gaps.get(row.tablet, [])
        at = bisect_left(ends, (row.count, 0))
        if row.kind != LOST and at < len(ends) and ends[at][1] <= row.count:
            return True
    return False


def _forks(log: Log, rows: list[Row]) -> list[Wrong]:
    """Tablets that wrote one thing here and another there under the same count."""
    mine = {row.id: (row.chain, row.kind) for row in log.rows()}
    wrong: dict[str, Wrong] = {}
    for line, row in enumerate(rows, 2):
        chain, kind = mine.get(row.id, ("", ""))
        if chain and chain != row.chain and LOST not in (kind, row.kind) and row.tablet not in wrong:
            wrong[row.tablet] = Wrong(
                line,
                f"entry {row.count} of tablet {row.tablet} is another one in this record: two tablets had one name",
            )
    return list(wrong.values())


class _Reading(Struct):
    """A file while it is read."""

    problems: list[Wrong] = field(default_factory=list)
    chains: Chains = field(default_factory=Chains)
    count: int = 0

    def rows(self, file: BinaryIO) -> Iterator[Row]:
        """The rows, up to the first that is wrong; what is wrong is in `problems`."""
        head = self._head(file.readline(MOST_LINE + 1))
        if head is None:
            return
        size = 0
        for line in iter(lambda: file.readline(MOST_LINE + 1), b""):
            self.count, size = self.count + 1, size + len(line)
            if size > MOST_BYTES or self.count > MOST_ENTRIES:
                self._say(f"the file is larger than {MOST_BYTES >> 20} MB or {MOST_ENTRIES:,} entries")
                return
            row = self._row(line)
            if row is None:
                return
            yield row
        self._compare(head)

    def _say(self, what: str) -> None:
        self.problems.append(Wrong(self.count + 1, what))

    def _head(self, line: bytes) -> dict[str, Any] | None:
        head = _json(line)
        if not isinstance(head, dict) or head.get("format") != FORMAT:
            self._say("this is no record that Kerfcard exported")
            return None
        if head.get("version") != VERSION:
            self._say("a later version of Kerfcard wrote this file: bring Kerfcard up to date")
            return None
        if not isinstance(head.get("entries"), int) or not isinstance(head.get("ends"), dict):
            self._say("the first line doesn't say how many entries there are")
            return None
        return head

    def _row(self, line: bytes) -> Row | None:
        found = _json(line)
        if len(line) > MOST_LINE or not line.endswith(b"\n") or not _is_row(found):
            self._say("this line is no entry, or it isn't whole")
            return None
        row = Row._make(found)
        try:
            list(self.chains.follow([row]))
            entry = entry_of(row)
        except DamagedLogError as error:
            self._say(str(error))
            return None
        if trouble := _trouble(row, entry):
            self._say(f"entry {row.count} of tablet {row.tablet}: {trouble}")
            return None
        return row

    def _compare(self, head: dict[str, Any]) -> None:
        ends = {tablet: list(end) for tablet, end in self.chains.tails.items()}
        if head["entries"] != self.count or head["ends"] != ends:
            self._say(f"the file isn't whole: it was written with {head['entries']} entries and has {self.count}")


def _json(line: bytes) -> Any:
    """The value of a line; None for what is none."""
    try:
        return json.loads(line.decode("utf-8"), parse_constant=_no_constant)
    except (ValueError, RecursionError):
        return None


def _no_constant(word: str) -> None:
    raise ValueError(word)


def _is_row(found: Any) -> bool:
    return (
        isinstance(found, list)
        and len(found) == 7
        and type(found[1]) is int
        and all(isinstance(found[at], str) for at in (0, 2, 3, 4, 5, 6))
        and 0 < found[1] <= MOST_NUMBER
        and _TABLET.fullmatch(found[0]) is not None
        and _CHAIN.fullmatch(found[6]) is not None
    )


def _trouble(row: Row, entry: Entry) -> str:
    """What can't be true of an entry, though it is chained and can be read."""
    tablet, count, seen, _, kind, data, chain = row
    known, facts = _json(seen.encode()), _json(data.encode())
    if not isinstance(known, dict) or not all(_is_count(each) for each in known.values()):
        return "what it had seen makes no sense"
    if known.get(tablet, 0) != (first_lost(row) if kind == LOST else count) - 1:
        return "it had not seen the entry before it"
    if entry.at.tzinfo is None or not 2000 < entry.at.year < 2200:
        return "its time makes no sense"
    if not isinstance(facts, dict) or not _is_bounded(facts, MOST_DEPTH):
        return "a number or a text in it is too large"
    if kind == LOST and "row" in facts:  # the last of those that were lost, read but not proven
        inner = facts["row"]
        if not (isinstance(inner, list) and len(inner) == 4 and all(isinstance(each, str) for each in inner)):
            return "what it stands for can't be read"
        seen, at, kind, data = inner
        return (
            "it stands for another gap"
            if kind == LOST
            else _trouble(Row(tablet, count, seen, at, kind, data, chain), entry)
        )
    return ""


def _is_count(value: Any) -> bool:
    return type(value) is int and 0 <= value <= MOST_NUMBER


def _is_bounded(value: Any, depth: int) -> bool:
    if isinstance(value, str):
        return len(value) <= MOST_TEXT
    if isinstance(value, bool) or value is None:
        return True
    if isinstance(value, int | float):
        return math.isfinite(value) and abs(value) <= MOST_NUMBER
    if depth == 0:
        return False
    if isinstance(value, dict):
        return all(len(key) <= MOST_TEXT and _is_bounded(each, depth - 1) for key, each in value.items())
    return all(_is_bounded(each, depth - 1) for each in value)


def export_name(now: datetime) -> str:
    """What an exported file is called."""
    return f"kerfcard-{now:%Y%m%d-%H%M%S}.jsonl"
