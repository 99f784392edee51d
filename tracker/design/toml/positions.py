"""The line of each key of a build file. The standard library's TOML parser reads values but keeps no lines.

The scanner assumes that the text is valid TOML (`document` parses it first), so it only has to find where keys,
strings, brackets and comments begin and end. On invalid text it stops early and never loops.
"""

from __future__ import annotations

import re
import tomllib
from typing import TypeAlias

from tracker.words import say

Path: TypeAlias = tuple[str | int, ...]
"""Where a value is in the file: `("parts", 0, "end_b", "miter")`."""

DEEPEST = 24
"""The deepest nesting of keys and brackets; a build file never needs more, and more would only cost time."""

_BLANK = re.compile(r"(?:[ \t\n]++|#[^\n]*+)*+")
_SPACE = re.compile(r"[ \t]*+")
_KEY = re.compile(r"""[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+'""")
_SCALAR = re.compile(
    r'''"""(?:[^\\]|\\.)*?""""{0,2}'''  # up to two quote marks may stand right before the closing three
    r"""|'''.*?''''{0,2}"""
    r'''|"(?:[^"\\\n]|\\.)*+"'''
    r"""|'[^'\n]*+'"""
    r"""|[^"'\[\]{},#\n][^,\]}#\n]*+""",
    re.DOTALL,
)
_NUMBERS = re.compile(r"\[[ \t0-9.,+-]*+\]")
"""A list of plain numbers on one line; its commas tell how many there are."""
_CLOSE = re.compile(r"\]{1,2}")
_EQUALS = re.compile(r"[ \t]*+=[ \t]*+")
_DOT = re.compile(r"[ \t]*+\.[ \t]*+")


class TooDeepError(ValueError):
    """Keys or brackets are nested beyond `DEEPEST`; `line` says where."""

    def __init__(self, line: int) -> None:
        super().__init__(line)
        self.line = line


class Scan:
    """One walk over the text. `lines` has the line of every key, table and array element, and `starts` the offset at
    which each statement begins. Raises TooDeepError."""

    def __init__(self, text: str) -> None:
        self.lines: dict[Path, int] = {}
        self.starts: list[int] = []
        self._text, self._at, self._line = text, 0, 1
        self._counts: dict[Path, int] = {}  # how many tables each [[array of tables]] has so far
        try:
            self._statements()
        except TooDeepError:
            raise
        except ValueError:  # not valid TOML from here on; keep what was found so far
            pass

    def _statements(self) -> None:
        table: Path = ()
        while self._next(_BLANK) != "":
            self.starts.append(self._at)
            if self._text.startswith("[[", self._at):
                self._move(2)
                table = self._array_header()
                self._take(_CLOSE)
            elif self._text.startswith("[", self._at):
                self._move(1)
                table = self._resolve(self._key())
                self._mark(table)
                self._take(_CLOSE)
            else:
                self._pair(table)

    def _array_header(self) -> Path:
        *outer, name = self._key()
        array = (*self._resolve(tuple(outer)), name)
        index = self._counts.get(array, 0)
        self._counts[array] = index + 1
        table = (*array, index)
        self._mark(table)
        return table

    def _resolve(self, key: tuple[str, ...]) -> Path:
        """The path that a header means; inside an array of tables, that of its latest table."""
        path: Path = ()
        for name in key:
            path = (*path, name)
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        return path

    def _pair(self, table: Path) -> None:
        path = (*table, *self._key())
        self._mark(path)
        self._take(_EQUALS)
        self._value(path)

    def _value(self, path: Path) -> None:
        if len(path) > DEEPEST:
            raise TooDeepError(self._line)
        opening = self._next(_SPACE)
        numbers = _NUMBERS.match(self._text, self._at) if opening == "[" else None
        if numbers is not None:
            self._at = numbers.end()
            found = sum(not each.isspace() and each != "" for each in numbers[0][1:-1].split(","))
            for index in range(found):
                self.lines.setdefault((*path, index), self._line)
        elif opening == "[":
            self._move(1)
            index = 0
            while self._next(_BLANK) not in ("]", ""):
                self._mark((*path, index))
                self._value((*path, index))
                index += 1
                self._comma()
            self._move(1)
        elif opening == "{":
            self._move(1)
            while self._next(_BLANK) not in ("}", ""):
                self._pair(path)
                self._comma()
            self._move(1)
        else:
            self._take(_SCALAR)

    def _comma(self) -> None:
        if self._next(_BLANK) == ",":
            self._move(1)

    def _key(self) -> tuple[str, ...]:
        names = []
        self._next(_SPACE)
        while True:
            names.append(_unquoted(self._take(_KEY)))
            if len(names) > DEEPEST:
                raise TooDeepError(self._line)
            dot = _DOT.match(self._text, self._at)
            if dot is None:
                self._next(_SPACE)
                return tuple(names)
            self._at = dot.end()

    def _mark(self, path: Path) -> None:
        for size in range(len(path), 0, -1):
            if path[:size] in self.lines:  # then so is everything that contains it
                break
            self.lines[path[:size]] = self._line

    def _next(self, skip: re.Pattern[str]) -> str:
        """Skip, and return the next character; empty at the end of the text."""
        self._take(skip)
        return self._text[self._at : self._at + 1]

    def _move(self, count: int) -> None:
        self._at += count

    def _take(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self._text, self._at)
        if found is None:
            raise ValueError(say("line {line} is not TOML", line=self._line))
        self._line += found[0].count("\n")
        self._at = found.end()
        return found[0]


def _unquoted(key: str) -> str:
    if key[0] not in "\"'":
        return key
    return next(iter(tomllib.loads(f"{key} = 0")))
