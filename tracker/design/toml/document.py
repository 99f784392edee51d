"""From the bytes of a build file to its values and their lines. Reports everything that isn't TOML at once.

A file may come from a stranger: its size, line length, dotted keys and nesting are bounded before it is parsed (a
dotted key of 100 kB would keep the standard library's parser busy for half a minute).
"""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal, InvalidOperation
from typing import Any

from msgspec import Struct, field

from tracker.design.problems import Problem
from tracker.design.toml.positions import Path, Scan, TooDeepError
from tracker.design.toml.recovery import NAME, NUL, repair
from tracker.words import say

LARGEST_FILE = 256_000
LONGEST_LINE = 4_000
MOST_DOTS = 8
_MOST_SYNTAX_PROBLEMS = 20
_WORK = 512_000
"""The most characters that are parsed again to find further syntax errors."""

_DOTS = re.compile(rf"(?:^|[{{,\[])[ \t]*+{NAME}(?:[ \t]*+\.[ \t]*+{NAME}){{{MOST_DOTS + 1},}}+[ \t]*+[=\]]")


class Document(Struct, frozen=True):
    """The values, the line of each, and the problems. `readable` is False when the values can't be used."""

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
        return Problem(
            0,
            say("the file is larger than {largest_file} kB", largest_file=LARGEST_FILE // 1000),
            say("is it a build file?"),
        )
    try:
        text = source if isinstance(source, str) else source.decode("utf-8")
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        return Problem(line, say("this line has characters that can't be read"), say("save the file as UTF-8"))
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def _refusals(text: str) -> list[Problem]:
    problems = []
    for line, written in enumerate(text.split("\n"), 1):
        if len(written) > LONGEST_LINE:
            problems.append(Problem(line, say("the line is longer than {most} characters", most=LONGEST_LINE)))
        elif NUL in written or "\\U00000000" in written:  # NUL marks a broken value below
            problems.append(Problem(line, say("{nul} can't be in a build file", nul=NUL)))
        elif written.count(".") > MOST_DOTS and _DOTS.search(written):
            problems.append(Problem(line, say("a key has more than {most_dots} dots", most_dots=MOST_DOTS)))
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
                problem, repaired = repair(text, scan.starts, str(error), len(problems))
                problems.append(problem)
            if repaired == text or work > _WORK or len(problems) == _MOST_SYNTAX_PROBLEMS:
                problems.append(Problem(0, say("the rest was not read: fix these lines first"), kind="note"))
                return Document(problems=tuple(problems), readable=False)
            text = repaired
    except TooDeepError as deep:
        problems.append(Problem(deep.line, say("brackets or dots are nested too deep")))
    except RecursionError:
        problems.append(Problem(0, say("brackets are nested too deep")))
    return Document(problems=tuple(problems), readable=False)


def _decimal(written: str) -> Decimal:
    try:
        return Decimal(written)
    except InvalidOperation:  # an exponent of absurd size, refused where the value is read
        return Decimal("NaN")
