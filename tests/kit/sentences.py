"""Cases of what is said about a text, kept in a file.

Each case is a line with the part of the file that its text belongs to, and the text (`¶` ends one, `«3 × a»` is `aaa`,
with the number in place of each `#`). What is said follows, indented: the line of the file, the sentence and the hint.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from tracker.design.problems import Problem


def cases(path: Path) -> Iterator[tuple[str, str, list[str]]]:
    """Each case: the part of the file, the text, and what is said."""
    place, text, said = "", "", list[str]()
    for line in path.read_text("utf-8").splitlines():
        if line.startswith("    "):
            said.append(line[4:])
            continue
        if place:
            yield place, expanded(text), said
        place, _, text = (each.strip() for each in line.partition(":"))
        said = []
    yield place, expanded(text), said


def keep(path: Path, said: Callable[[str, str], list[str]]) -> None:
    """Write the file again with what is said now; the difference is to be read."""
    lines = []
    for line in path.read_text("utf-8").splitlines():
        if not line.startswith("    "):
            place, _, text = (each.strip() for each in line.partition(":"))
            lines += [line, *(f"    {each}" for each in said(place, expanded(text)))]
    path.write_text("\n".join(lines) + "\n", "utf-8")


def expanded(text: str) -> str:
    """The text with its repetitions written out."""

    def written(match: re.Match[str]) -> str:
        return "".join(match[2].replace("#", str(at)) for at in range(int(match[1])))

    return re.sub("«([0-9]+) × ([^»]*)»", written, text.replace(" ¶ ", "\n"))


def as_lines(problems: Iterable[Problem], file: str) -> list[str]:
    """Problems and notes as such a file holds them."""
    lines = file.splitlines()
    found = ((lines[each.line - 1][:24] if each.line else "", each.what, each.hint) for each in problems)
    return [" | ".join(each).rstrip(" |") for each in found]
