"""Reading one table of a build file key by key. Each problem is reported at its own line, and reading continues."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from tracker.design.errors import AlreadyToldError, BadValueError
from tracker.design.name_lookup import nearest
from tracker.design.problems import Problem
from tracker.design.toml.positions import Path
from tracker.design.values import Meaning, is_formula, kind_of
from tracker.words import say

BROKEN = "\0"
"""Replaces a value whose problem has been reported: a statement that isn't TOML."""

MOST_PROBLEMS = 200
MOST_NOTES = 100
MOST_IN_A_LIST = 500
_LONGEST_SENTENCE = 200

T = TypeVar("T")


class Page(Struct):
    """The state while a file is read: the lines of its keys, the meaning of its numbers, and the problems so far."""

    lines: Mapping[Path, int]
    meaning: Meaning = field(default_factory=Meaning)
    problems: list[Problem] = field(default_factory=list)
    notes: list[Problem] = field(default_factory=list)
    _under: dict[Path, dict[str, int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for path, line in self.lines.items():
            if len(path) > 1:
                self._under.setdefault(path[:2], {})[".".join(map(str, path[2:]))] = line

    def under(self, path: Path) -> Mapping[str, int]:
        """The line of every key in a section such as one of [[parts]]; the section's own line is under `""`."""
        return self._under.get(path, {})

    def say(self, line: int, what: str, hint: str = "") -> None:
        """Report a problem. Beyond MOST_PROBLEMS it is dropped."""
        if not self.full:
            self.problems.append(Problem(line, _clipped(what), _clipped(hint)))

    def remark(self, line: int, what: str, hint: str = "") -> None:
        """Report a note: something to know. The build still loads."""
        if len(self.notes) < MOST_NOTES:
            self.notes.append(Problem(line, _clipped(what), _clipped(hint), "note"))

    @property
    def full(self) -> bool:
        return len(self.problems) >= MOST_PROBLEMS

    def define(self, **changes: Any) -> None:
        """Change the meaning of bare numbers and names from here on."""
        self.meaning = replace(self.meaning, **changes)


class Table:
    """One table: `[build]`, one of `[[parts]]`, or a { } group. A key becomes known when it is read."""

    def __init__(self, page: Page, path: Path, data: Mapping[str, Any], called: str = "") -> None:
        self.page, self.path, self._data = page, path, data
        self.called = called
        """Its name at the beginning of a problem: `Side: `; empty where the line says enough."""
        self._known: dict[str, None] = {}

    def __contains__(self, key: str) -> bool:
        self.knows(key)
        return key in self._data

    def knows(self, *keys: str) -> None:
        """Make these keys known, even if nothing reads them."""
        self._known.update(dict.fromkeys(keys))

    def keys(self) -> Iterator[str]:
        """The keys as written, for a table whose keys are names; without broken ones."""
        return (key for key in self._data if not key.startswith(BROKEN))

    def formula(self, key: str) -> str | None:
        """The formula at a key, without its `=`; None where there is none."""
        raw = self._data.get(key)
        return raw.strip()[1:] if isinstance(raw, str) and is_formula(raw) else None

    def peek(self, key: str) -> object:
        """The unchecked value of a key."""
        return self._data.get(key)

    @property
    def written(self) -> Mapping[str, Any]:
        """The whole table as written, unchecked; without broken keys."""
        return {key: self._data[key] for key in self.keys()}

    def count(self, key: str) -> int | None:
        """How many values are written at a key, valid or not: 1 when it isn't a list, None when unknown."""
        raw = self._data.get(key, [])
        return None if raw == BROKEN else len(raw) if isinstance(raw, list) else 1

    def line(self, *keys: str | int) -> int:
        """The line of a key or, when it is missing, of the table that should hold it."""
        path = (*self.path, *keys)
        while path not in self.page.lines and path:
            path = path[:-1]
        return self.page.lines.get(path, 0)

    def problem(self, what: str, hint: str = "", *keys: str | int) -> None:
        self.page.say(self.line(*keys), f"{self.called}{what}", hint)

    def note(self, what: str, hint: str = "", *keys: str | int) -> None:
        self.page.remark(self.line(*keys), f"{self.called}{what}", hint)

    def read(self, key: str, convert: Callable[[object, Meaning], T], *, required: bool = False) -> T | None:
        """The value of a key; None when it is missing, or wrong and reported."""
        if key not in self:
            if required:
                self.problem(say("'{key}' is missing", key=key))
            return None
        return self._convert(self._data[key], convert, key)

    def read_list(self, key: str, convert: Callable[[object, Meaning], T], *, single: bool = False) -> tuple[T, ...]:
        """The valid values of a list; each wrong one is reported. `single`: one value may be written without [ ]."""
        if key not in self:
            return ()
        raw = self._data[key]
        if not isinstance(raw, list):
            if not single:
                if raw != BROKEN:
                    self.problem(
                        say("'{key}' must be a list, not {kind}", key=key, kind=kind_of(raw)),
                        say("put it in [ ]"),
                        key,
                    )
                return ()
            found = self._convert(raw, convert, key)
            return () if found is None else (found,)
        if len(raw) > MOST_IN_A_LIST:
            self.problem(say("'{key}' has more than {most} values", key=key, most=MOST_IN_A_LIST), "", key)
        values = (self._convert(each, convert, key, index) for index, each in enumerate(raw[:MOST_IN_A_LIST]))
        return tuple(value for value in values if value is not None)

    def choice(self, key: str, options: Sequence[str], *, required: bool = False) -> str | None:
        """One of a few words, regardless of capitals."""
        by_word = {option.lower(): option for option in options}
        return self.read(key, lambda raw, meaning: _option(raw, by_word), required=required)

    def group(self, key: str) -> Table | None:
        """A { } group (or a [section.key]) of this table."""
        if key not in self:
            return None
        return self._table(self._data[key], key, key)

    def groups(self, key: str) -> list[Table]:
        """A list of { } groups (or [[section.key]] tables)."""
        if key not in self:
            return []
        raw = self._data[key]
        if not isinstance(raw, list):
            if raw != BROKEN:
                self.problem(
                    say("'{key}' must be a list, not {kind}", key=key, kind=kind_of(raw)),
                    say("put it in [ ]"),
                    key,
                )
            return []
        tables = [self._table(each, key, key, index) for index, each in enumerate(raw)]
        return [table for table in tables if table is not None]

    def close(self) -> None:
        """Report every key that nothing has read."""
        for key in self.keys():
            if key in self._known:
                continue
            hint = "" if self.page.full else nearest(key, self._known)
            self.problem(
                say("'{key}' is not known here", key=key),
                hint or say("known: {known}", known=", ".join(self._known)),
                key,
            )

    def _table(self, raw: object, called: str, *keys: str | int) -> Table | None:
        if isinstance(raw, dict):
            path = (*self.path, *keys)
            return Table(self.page, path, raw, f"{self.called}{called}: " if len(path) > 2 else "")
        if raw != BROKEN:
            self.problem(
                say("'{called}' must be a {{ }} group, not {kind}", called=called, kind=kind_of(raw)), "", *keys
            )
        return None

    def _convert(self, raw: object, convert: Callable[[object, Meaning], T], *keys: str | int) -> T | None:
        if raw == BROKEN:
            return None
        try:
            return convert(raw, self.page.meaning)
        except AlreadyToldError:
            return None
        except BadValueError as wrong:
            self.problem(f"{keys[0]}: {wrong}", wrong.hint, *keys)
        except ValueError as wrong:  # tracker.measure raises these with sentences of its own
            self.problem(f"{keys[0]}: {wrong}", "", *keys)
        return None


def _option(raw: object, by_word: Mapping[str, str]) -> str:
    word = " ".join(raw.lower().split()) if isinstance(raw, str) and len(raw) < 80 else ""
    if word not in by_word:
        raise BadValueError(
            say("can't be {kind}", kind=kind_of(raw)), say("one of: {values}", values=", ".join(by_word.values()))
        )
    return by_word[word]


def _clipped(sentence: str) -> str:
    shown = "".join(character if character.isprintable() else "\N{REPLACEMENT CHARACTER}" for character in sentence)
    return shown if len(shown) <= _LONGEST_SENTENCE else shown[: _LONGEST_SENTENCE - 1] + "…"
