"""What a maker reads about a mistake in a build file: each sentence in full with its hint, at its line; and nothing
where a value is just within its limit.

In `sentences.txt` each case is a line with the part of the file that its text belongs to, and the text (`¶` ends one,
`«3 × a»` is `aaa`, with the number in place of each `#`). What is said follows, indented: the line of the file, the
sentence and the hint.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tracker.design import load_build

CASES = Path(__file__).with_name("sentences.txt")
WOOD = 'species = "white oak"\nthickness = 40\nwidth = 200\nlengths = ["3 m"]\n'


def build_file(where: str, text: str) -> str:
    """`rough` and `assembly2` replace the lines of the wood and of what is joined; the others are added."""
    more = {where: f"{text}\n"}
    by = "" if "by = " in text and where == "assembly" else 'by = "dry"\n'
    return (
        f'[build]\nname = "Said"\nunits = "mm"\n[woods.oak]\n{more.get("rough", WOOD)}{more.get("wood", "")}'
        f'[[parts]]\nid = "rail"\nwood = "oak"\nlength = 600\n{more.get("part", "")}'
        '[[parts]]\nid = "other"\nwood = "oak"\nlength = 600\nwidth = 40\n'
        f'[[assemblies]]\nid = "frame"\n{by}{more.get("assembly2", "joins = { other = 1 }")}\n'
        f"{more.get('assembly', '')}{more.get('rest', '')}"
    )


def expanded(text: str) -> str:
    """The text of a case with its repetitions written out."""

    def written(match: re.Match[str]) -> str:
        return "".join(match[2].replace("#", str(at)) for at in range(int(match[1])))

    return re.sub("«([0-9]+) × ([^»]*)»", written, text.replace(" ¶ ", "\n"))


def told(where: str, text: str) -> list[tuple[str, str, str]]:
    """Each problem and note: the beginning of its line, the sentence and the hint."""
    file = build_file(where, text)
    lines = file.splitlines()
    return [
        (lines[each.line - 1][:24] if each.line else "", each.what, each.hint)
        for each in load_build(file).problems
        if each.what != "no assembly joins 'rail'"
    ]


def cases() -> Iterator[tuple[str, str, list[str]]]:
    place, text, said = "", "", list[str]()
    for line in CASES.read_text("utf-8").splitlines():
        if line.startswith("    "):
            said.append(line[4:])
            continue
        if place:
            yield place, text, said
        place, _, text = (each.strip() for each in line.partition(":"))
        said = []
    yield place, text, said


@pytest.mark.parametrize(("where", "text", "said"), list(cases()))
def test_what_is_said_about_a_mistake(where: str, text: str, said: list[str]) -> None:
    assert [" | ".join(each).rstrip(" |") for each in told(where, expanded(text))] == said
