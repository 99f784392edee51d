"""A line that isn't TOML: its message, and a replacement that lets the rest be read."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tracker.design.problems import Problem
from tracker.words import say

LISTS = ("parts", "assemblies", "rack", "hardware")
"""The sections written with double brackets."""

NUL = "\\u0000"
"""`tracker.design.toml.table.BROKEN` as it is written in TOML."""

NAME = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_DOTTED = rf"{NAME}(?:[ \t]*+\.[ \t]*+{NAME})*+"
_PAIR = re.compile(rf"[ \t]*+({_DOTTED})[ \t]*+=")
_HEADER = re.compile(rf"[ \t]*+\[\[?[ \t]*+{_DOTTED}[ \t]*+\]")
_BROKEN_HEADER = re.compile(r"\s*\[+\s*([A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*)")
_AT = re.compile(r" \(at line (\d+), column (\d+)\)$")

_KEY_TWICE = say("this key is already set above")
_SECTION_TWICE = say("this section is already given above")


def repair(text: str, starts: Sequence[int], error: str, count: int) -> tuple[Problem, str]:
    """Report the parser's error, and replace the bad statement with a harmless one.

    `starts` are the offsets at which statements begin, `error` the parser's message, `count` the number of problems so
    far. The returned text has the same number of lines.
    """
    lines = text.split("\n")
    place = _AT.search(error)
    line = int(place[1]) if place else len(lines) + 1  # the error is at the end of the text
    offset = sum(len(each) + 1 for each in lines[: line - 1]) + (int(place[2]) if place else 0) - 1
    start = max((each for each in starts if each <= offset), default=0)
    first = text.count("\n", 0, start)  # the statement's first line, counted from 0
    end = first + 1
    while end < len(lines) and not (_PAIR.match(lines[end]) or _HEADER.match(lines[end])):
        end += 1
    if not first < line <= end:  # the parser noticed it only in a later statement
        line = first + 1
    what, hint = _sentence(error, lines[line - 1])
    harmless = _harmless(lines[first], what in (_KEY_TWICE, _SECTION_TWICE), count)
    repaired = [*lines[:first], harmless, *[""] * (end - first - 1), *lines[end:]]
    return Problem(line, what, hint), "\n".join(repaired)


def _harmless(statement: str, twice: bool, count: int) -> str:
    """A valid statement in place of a broken one, so that the lines after it keep their section."""
    header = _BROKEN_HEADER.match(statement)
    if header:
        name = header[1]
        repaired = f"[[{name}]]" if name in LISTS else f"[{name}]"
        return repaired if repaired != statement.strip() and (name in LISTS or not twice) else f'["{NUL}{count}"]'
    pair = _PAIR.match(statement)
    return f'{pair[1]} = "{NUL}"' if pair and not twice else ""


def _sentence(error: str, written: str) -> tuple[str, str]:
    """The parser's message in words that a maker understands."""
    for part, what, hint in _SENTENCES:
        if part in error:
            return what, hint
    if "Expected newline" in error and re.match(r"\s*[0-9]", written.partition("=")[2]):
        return say("can't read what follows the number"), say('put fractions and units in quotes: "23 5/8", "600 mm"')
    if "Expected newline" in error:
        return say("can't read what follows the value"), say('inside quotes, write inches as \\" or as in')
    if "{" in written and "}" not in written:
        return say("a { isn't closed on its line"), say("a { } group must be on one line")
    if "Invalid value" in error:
        return say("can't read this value"), say('put words, fractions and units in quotes: "23 5/8"')
    return say("can't read this line"), say("a line is [section], or key = value")


_SENTENCES = (
    ("Cannot overwrite", _KEY_TWICE, say("each key may be given once in its section")),
    ("Cannot declare", _SECTION_TWICE, say("a part of its own begins with [[parts]]")),
    ("twice", _SECTION_TWICE, say("a part of its own begins with [[parts]]")),
    ("immutable", _SECTION_TWICE, ""),
    ("Unclosed array", say("a [ isn't closed, or a comma is missing"), "[1, 2, 3]"),
    ("Unclosed inline table", say("a { isn't closed, or a comma is missing"), "{ miter = 15, bevel = 10 }"),
    ("Unterminated string", say("a quote mark isn't closed"), ""),
    ("Expected \"'''\"", say("a quote mark isn't closed"), ""),
    ('Expected "\'"', say("a quote mark isn't closed on its line"), ""),
    ("Illegal character '\\n'", say("a quote mark isn't closed on its line"), ""),
    ("Illegal character", say("there is a character here that a build file can't hold"), say("type the line again")),
    ("Expected '='", say("an = is missing after the key"), ""),
    ("Expected ']", say("a section's brackets don't match"), "[build], or [[parts]]"),
    ("Unescaped '\\\\'", say("a \\ is alone in quotes"), say("leave it out, or write \\\\")),
    ("Duplicate inline table key", say("a key is given twice in this { } group"), ""),
)
