"""Cards, commands and pages of builds of every kind have the words they had when these were last read through.

`said.json` has a hash for each heading. After an intended change of the words, read the difference and store it:

    PYTHONPATH=tests:. python -m said.test_said show > before.txt     (on the commit before)
    PYTHONPATH=tests:. python -m said.test_said show > now.txt
    PYTHONPATH=tests:. python -m said.test_said keep

Unchanged doesn't mean right: the other tests check sizes, angles and settings.
"""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from random import Random

import pytest
from outlines.outline_kit import PANEL, random_outline
from plan.random_features import build_text, random_board
from said.spoilt import spoilt
from said.states import STATES, told_in
from said.whole_build import SECTIONS, told

HERE = Path(__file__).parent
KEPT = HERE / "said.json"
TEXTS = {
    file.stem: file.read_bytes()
    for folder in (HERE.parent / "samples" / "kept", HERE.parent / "samples" / "pieces", HERE / "builds")
    for file in sorted(folder.glob("*.toml"))
}
"""Builds that don't change when the samples do."""
FEW = ("check", "cards", "setups", "pages", "templates")
"""The words about random parts and curves."""
CURVE = '[[outlines]]\nid = "it"\nof = "panel"\n'
RANDOM = {
    **{f"random features {seed}": build_text(random_board(Random(seed))).encode() for seed in range(24)},
    **{f"random outline {seed}": f"{PANEL}{CURVE}{random_outline(Random(seed))}\n".encode() for seed in range(24)},
}
CHANGED = [f"spoilt {seed}" for seed in range(16)]
"""Every build with a mistake in its file: what is wrong with it, and the hints."""
CASES = [
    *((name, section) for name in TEXTS for section in SECTIONS),
    *((name, section) for name in RANDOM for section in FEW),
    *(("the table", state) for state in STATES),
    *(("wrong files", seed) for seed in CHANGED),
]


def lines_of_case(file: str, section: str) -> Iterator[str]:
    if section in STATES:
        yield from told_in(section)
    elif section in CHANGED:
        for name, text in TEXTS.items():
            yield f"-- {name}"
            yield from told(spoilt(text, Random(f"{name} {section}")), "check")
    else:
        yield from told((TEXTS | RANDOM)[file], section)


def under_headings(file: str, section: str) -> dict[str, list[str]]:
    """The lines of a section by their heading."""
    found: dict[str, list[str]] = {}
    lines = found.setdefault(section, [])
    for line in lines_of_case(file, section):
        if line.startswith("-- "):
            lines = found.setdefault(f"{section} {line[3:]}", [])
        else:
            lines.append(line)
    return found


def stamps(found: dict[str, list[str]]) -> dict[str, str]:
    return {
        heading: hashlib.sha256("\n".join(lines).encode()).hexdigest()[:12]
        for heading, lines in found.items() if lines
    }  # fmt: skip


@pytest.mark.parametrize(("file", "section"), CASES)
def test_it_says_what_it_said(file: str, section: str) -> None:
    found = under_headings(file, section)
    kept, now = json.loads(KEPT.read_text("utf-8"))[file][section], stamps(found)
    other = {heading: found.get(heading, [])[:40] for heading in kept | now if kept.get(heading) != now.get(heading)}
    assert not other, "\n".join(chain.from_iterable((f"== {name}", *lines) for name, lines in other.items()))


def main() -> None:
    """`show` prints all words, `keep` stores their hashes."""
    kept: dict[str, dict[str, dict[str, str]]] = {}
    for file, section in CASES:
        found = under_headings(file, section)
        kept.setdefault(file, {})[section] = stamps(found)
        if sys.argv[1:] == ["show"]:
            for heading, lines in found.items():
                print(f"== {file}: {heading}", *lines, sep="\n")
    if sys.argv[1:] == ["keep"]:
        KEPT.write_text(json.dumps(kept, indent=0, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    main()
