"""Reading an exported record that may come from a stranger: every line is checked, bounded and proven before any is
taken in, and problems are returned as values.

What a line may say is limited by what is known: an entry can't have seen more of a tablet than the file or this log
holds, nobody else writes under this tablet's name, and a build file's name is a name, not a path.
"""

from __future__ import annotations

import json
import math
import re
import stat
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any, BinaryIO

from msgspec import Struct, field

from tracker.store.errors import DamagedLogError
from tracker.store.rows import LOST, Chains, Row, entry_of, first_lost, seen_of_others
from tracker.work.facts import Answered, ClockConfirmed, Done, Entry, EntryId, Undone

FORMAT, VERSION = "kerfcard log", 1
MOST_BYTES = 128 * 1024 * 1024
MOST_LINE = 1024 * 1024
MOST_ENTRIES = 500_000
MOST_TEXT = 20_000
MOST_NUMBER = 10**9
MOST_DEPTH = 8
MOST_PROBLEMS = 20
MOST_RUNS = 5000
MOST_RUNNING = 1000
MOST_CONFIRMED = 1000
FIRST_YEAR = 1970
"""A tablet whose battery was empty may say 1970 until somebody sets its clock: its facts are true; their times are
doubtful and kept as they are."""
_TABLET = re.compile(r"[0-9A-Za-z_-]{1,32}", re.ASCII)
_CHAIN = re.compile(r"[0-9a-f]{64}", re.ASCII)


class Wrong(Struct, frozen=True):
    """What is wrong with a line of an exported file (0: with the file)."""

    line: int
    what: str


def read_file(path: Path, known: Mapping[str, int], own: str) -> tuple[list[Row], tuple[Wrong, ...]]:
    """The rows of an exported file, or its problems. `known`: the last count here of every tablet; `own`: the name of
    this tablet."""
    reading = _Reading(known=known, own=own)
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe would never end
            return [], (Wrong(0, "this is no file"),)
        with path.open("rb") as file:
            rows = list(reading.rows(file))
    except OSError as error:
        return [], (Wrong(0, f"the file can't be read: {error.strerror}"),)
    if not reading.problems:
        reading.hold_to_what_is_known(rows)
    return ([], tuple(reading.problems)) if reading.problems else (rows, ())


class Tally(Struct):
    """Counts the things in a file that a tablet has to process all the time."""

    runs: set[str] = field(default_factory=set)
    clocks: dict[EntryId, str] = field(default_factory=dict)
    """The run of every clock, by the entry that started it, until another entry answers or undoes it."""
    answered: set[EntryId] = field(default_factory=set)
    confirmed: int = 0

    def add(self, entry: Entry) -> None:
        fact = entry.fact
        if run := getattr(fact, "run", ""):
            self.runs.add(run)
        if isinstance(fact, Done):
            if fact.wait is not None:
                self.clocks[entry.id] = fact.run
            self.answered.update(fact.answers)
        elif isinstance(fact, Answered | Undone):
            self.answered.add((fact.tablet, fact.count))
        elif isinstance(fact, ClockConfirmed):
            self.confirmed += 1 + len(fact.starts)

    def too_much(self) -> Iterator[str]:
        """Sentences for numbers beyond any shop."""
        running = len({run for key, run in self.clocks.items() if key not in self.answered})
        for count, what, most in (
            (len(self.runs), "builds", MOST_RUNS),
            (running, "builds with a clock that runs", MOST_RUNNING),
            (self.confirmed, "times at which a clock was right", MOST_CONFIRMED),
        ):
            if count > most:
                yield f"it has {count:,} {what}; Kerfcard takes in at most {most:,}"


class _Reading(Struct):
    """The state while a file is read."""

    known: Mapping[str, int]
    own: str
    problems: list[Wrong] = field(default_factory=list)
    chains: Chains = field(default_factory=Chains)
    tally: Tally = field(default_factory=Tally)
    count: int = 0

    def rows(self, file: BinaryIO) -> Iterator[Row]:
        """The rows up to the first bad one; its problems are in `problems`."""
        lines = iter(lambda: file.readline(MOST_LINE + 1), b"")
        head = self._head(next(lines, b""))
        if head is None:
            return
        size = 0
        for line in lines:
            self.count, size = self.count + 1, size + len(line)
            if size > MOST_BYTES or self.count > MOST_ENTRIES:
                self._say(f"the file is larger than {MOST_BYTES >> 20} MB or {MOST_ENTRIES:,} entries")
                return
            row = self._row(line)
            if row is None:
                return
            yield row
        self._compare(head)

    def hold_to_what_is_known(self, rows: list[Row]) -> None:
        """Check what these valid rows can't know, and whether they would overload this tablet."""
        ends = {tablet: max(count, self.known.get(tablet, 0)) for tablet, (count, _) in self.chains.tails.items()}
        for self.count, row in enumerate(rows, 1):
            if row.tablet == self.own and row.count > self.known.get(self.own, 0):
                self._say(f"entry {row.count} claims to be of this tablet ({self.own}), which never wrote it")
            for tablet, count in seen_of_others(row).items():
                if count > ends.get(tablet, self.known.get(tablet, 0)):
                    self._say(
                        f"entry {row.count} of tablet {row.tablet} has seen entry {count} of tablet {tablet}, which is "
                        "neither in the file nor here: take in a record of that tablet first"
                    )
            if len(self.problems) >= MOST_PROBLEMS:
                return
        self.count = -1
        for what in self.tally.too_much():
            self._say(what)

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
        if trouble := trouble_of(row, entry):
            self._say(f"entry {row.count} of tablet {row.tablet}: {trouble}")
            return None
        self.tally.add(entry)
        return row

    def _compare(self, head: dict[str, Any]) -> None:
        ends = {tablet: list(end) for tablet, end in self.chains.tails.items()}
        if head["entries"] != self.count or head["ends"] != ends:
            self._say(f"the file isn't whole: it was written with {head['entries']} entries and has {self.count}")


def _json(line: bytes) -> Any:
    """The value of a line; None when it isn't JSON."""
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


def trouble_of(row: Row, entry: Entry) -> str:
    """What is impossible in an entry, even though it is chained and readable."""
    tablet, count, seen, _, kind, data, chain = row
    known, facts = _json(seen.encode()), _json(data.encode())
    if not isinstance(known, dict) or not all(_is_count(each) for each in known.values()):
        return "what it had seen makes no sense"
    if known.get(tablet, 0) != (first_lost(row) if kind == LOST else count) - 1:
        return "it had not seen the entry before it"
    if entry.at.tzinfo is None or not FIRST_YEAR <= entry.at.year < 2200:
        return "its time makes no sense"
    if not isinstance(facts, dict) or not _is_bounded(facts, MOST_DEPTH):
        return "a number or a text in it is too large"
    if kind == "opened" and not _is_file_name(facts.get("file")):
        return "the name of its build file is no file name"
    if kind == LOST and "row" in facts:  # the last of the lost rows, read but not proven
        inner = facts["row"]
        if not (isinstance(inner, list) and len(inner) == 4 and all(isinstance(each, str) for each in inner)):
            return "what it stands for can't be read"
        seen, at, kind, data = inner
        return (
            "it stands for another gap"
            if kind == LOST
            else trouble_of(Row(tablet, count, seen, at, kind, data, chain), entry)
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


def _is_file_name(name: Any) -> bool:
    """Whether it is a plain file name on any system, so that it can't lead out of its folder."""
    if name == "":
        return True
    if not isinstance(name, str) or name in (".", "..") or "\0" in name:
        return False
    return PurePosixPath(name).name == name and PureWindowsPath(name).name == name
