"""What a maker reads about a mistake in a build file: each sentence in full with its hint, at its line; and nothing
where a value is just within its limit. The cases are in `sentences.txt`; `kit.sentences` says how."""

from __future__ import annotations

from pathlib import Path

import pytest
from kit.sentences import as_lines, cases, keep

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


def told(where: str, text: str) -> list[str]:
    file = build_file(where, text)
    return as_lines((each for each in load_build(file).problems if each.what != "no assembly joins 'rail'"), file)


@pytest.mark.parametrize(("where", "text", "said"), list(cases(CASES)))
def test_what_is_said_about_a_mistake(where: str, text: str, said: list[str]) -> None:
    assert told(where, text) == said


if __name__ == "__main__":
    keep(CASES, told)
