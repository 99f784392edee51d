"""From the bytes of a build file to its values and their lines, with everything that isn't TOML told at once.

A file may come from a stranger: its size, line length, dotted keys and nesting are bounded before the parser sees it
(a dotted key of 100 kB would hold the standard library's parser for half a minute).
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any

from tracker.design.lines import Path, Scan, TooDeepError
from tracker.design.problems import Problem

LARGEST_FILE = 256_000
LONGEST_LINE = 4_000
MOST_DOTS = 8
_MOST_SYNTAX_PROBLEMS = 20
_WORK = 512_000
"""Characters that are parsed again and again, at most, to find further syntax problems."""

_NAME = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_DOTTED = re.compile(rf"(?:^|[{{,\[])[ \t]*+{_NAME}(?:[ \t]*+\.[ \t]*+{_NAME}){{{MOST_DOTS + 1},}}+[ \t]*+[=\]]")
_PAIR = re.compile(rf"[ \t]*+({_NAME}(?:[ \t]*+\.[ \t]*+{_NAME})*+)[ \t]*+=")
_HEADER = re.compile(rf"[ \t]*+\[\[?[ \t]*+{_NAME}(?:[ \t]*+\.[ \t]*+{_NAME})*+[ \t]*+\]")
_BROKEN_HEADER = re.compile(r"\s*\[+\s*([A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*)")
_AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_NUL = "\\u0000"
"""What the parser reads as `tracker.design.table.BROKEN`; no file may hold it."""
_LISTS = ("parts", "assemblies", "rack", "hardware")


@dataclass(frozen=True, slots=True)
class Document:
    """The values, the line of each, and the problems. `readable` is False when nothing can be said of the values."""

    data: dict[str, Any] = field(default_factory=dict)
    lines: dict[Path, int] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    readable: bool = True


def read_document(source: str | bytes) -> Document:
    """Parse the text of a build file. Never raises."""
    text = _decoded(source)
    if isinstance(text, Problem):
        return Document(problems=(text,), readable=False)
    refusals = _refusals(text)
    if refusals:
        return Document(problems=tuple(refusals), readable=False)
    return _parse(text)


def _decoded(source: str | bytes) -> str | Problem:
    if len(source) > LARGEST_FILE:
        return Problem(0, f"the file is larger than {LARGEST_FILE // 1000} kB", "is it a build file?")
    try:
        text = source if isinstance(source, str) else source.decode("utf-8")
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        return Problem(line, "this line has signs that can't be read", "save the file as UTF-8")
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def _refusals(text: str) -> list[Problem]:
    problems = []
    for line, written in enumerate(text.split("\n"), 1):
        if len(written) > LONGEST_LINE:
            problems.append(Problem(line, f"the line is longer than {LONGEST_LINE} characters"))
        elif _NUL in written:
            problems.append(Problem(line, f"{_NUL} can't stand in a build file"))
        elif written.count(".") > MOST_DOTS and _DOTTED.search(written):
            problems.append(Problem(line, f"a key has more than {MOST_DOTS} dots"))
        if len(problems) == _MOST_SYNTAX_PROBLEMS:
            break
    return problems


def _parse(text: str) -> Document:
    problems: list[Problem] = []
    work = 0
    try:
        while True:
            scan = Scan(text)
            work += len(text)
            try:
                data = tomllib.loads(text, parse_float=_decimal)
                return Document(data, scan.lines, tuple(problems))
            except ValueError as error:
                problem, mended = _mend(text, scan, str(error), len(problems))
                problems.append(problem)
            if mended == text or work > _WORK or len(problems) == _MOST_SYNTAX_PROBLEMS:
                problems.append(Problem(0, "the rest was not read: mend these lines first", kind="note"))
                return Document(problems=tuple(problems), readable=False)
            text = mended
    except TooDeepError as deep:
        problems.append(Problem(deep.line, "brackets or dots are nested too deep"))
    except RecursionError:
        problems.append(Problem(0, "brackets are nested too deep"))
    return Document(problems=tuple(problems), readable=False)


def _decimal(written: str) -> Decimal:
    try:
        return Decimal(written)
    except InvalidOperation:  # an exponent of absurd size; refused where the value is read
        return Decimal("NaN")


def _mend(text: str, scan: Scan, error: str, count: int) -> tuple[Problem, str]:
    """Say what the parser stumbled over, and put something harmless in its place."""
    lines = text.split("\n")
    place = _AT.search(error)
    if place is None or place[1] is None:
        line, offset = len(lines), len(text)
    else:
        line = int(place[1])
        offset = sum(len(each) + 1 for each in lines[: line - 1]) + int(place[2]) - 1
    start = max((each for each in scan.starts if each <= offset), default=0)
    first = text.count("\n", 0, start)  # the statement's first line, counted from 0
    last = first + 1
    while last < len(lines) and not (_PAIR.match(lines[last]) or _HEADER.match(lines[last])):
        last += 1
    if not first < line <= last or place is None or place[1] is None:  # noticed only in the next statement
        line = first + 1
    what, hint = _sentence(error, lines[line - 1])
    twice = "overwrite" in error or "twice" in error or "declare" in error or "immutable" in error
    mended = [_harmless(lines[first], twice, count), *[""] * (last - first - 1)]
    return Problem(line, what, hint), "\n".join([*lines[:first], *mended, *lines[last:]])


def _harmless(statement: str, twice: bool, count: int) -> str:
    """A statement that can stand where a broken one stood, so that what follows keeps its section."""
    header = _BROKEN_HEADER.match(statement)
    if header:
        name = header[1]
        mended = f"[[{name}]]" if name in _LISTS else f"[{name}]"
        return mended if mended != statement.strip() and (name in _LISTS or not twice) else f'["\\u0000{count}"]'
    pair = _PAIR.match(statement)
    return f'{pair[1]} = "{_NUL}"' if pair and not twice else ""


def _sentence(error: str, written: str) -> tuple[str, str]:
    for part, what, hint in _SENTENCES:
        if part in error:
            return what, hint
    value = written.partition("=")[2]
    if "Expected newline" in error and re.match(r"\s*[0-9]", value):
        return "can't read what follows the number", 'put fractions and units in quotes: "23 5/8", "600 mm"'
    if "Expected newline" in error:
        return "can't read what follows the value", 'inside quotes, write inches as \\" or as in'
    if "Invalid value" in error:
        return "can't read this value", 'put words, fractions and units in quotes: "23 5/8"'
    return "can't read this line", "a line is [section], or key = value"


_SENTENCES = (
    ("Cannot overwrite", "this key is already set above", "each key stands once in its section"),
    ("twice", "this section is already given above", "a part of its own begins with [[parts]]"),
    ("Cannot declare", "this section is already given above", "a part of its own begins with [[parts]]"),
    ("immutable", "this section is already given above", ""),
    ("Unclosed array", "a [ isn't closed, or a comma is missing", "[1, 2, 3]"),
    ("Unclosed inline table", "a { isn't closed, or a comma is missing", "{ miter = 15, bevel = 10 }"),
    ("Unterminated string", "a quote mark isn't closed", ""),
    ("Illegal character '\\n'", "a quote mark isn't closed on its line", ""),
    ("Illegal character", "there is a sign here that a build file can't hold", "type the line again"),
    ("Expected '='", "an = is missing after the key", ""),
    ("Expected ']", "a section's brackets don't match", "[build], or [[parts]]"),
    ("Unescaped '\\\\'", "a \\ stands alone in quotes", "leave it out, or write \\\\"),
    ("Duplicate inline table key", "a key stands twice in this { } group", ""),
)
