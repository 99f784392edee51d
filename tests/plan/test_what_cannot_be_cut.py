"""What can't be cut as it is written, in full, just beyond each limit; and nothing just within it. The cases are in
`cannot_be_cut.txt`; `kit.sentences` says how.

The piece is 600 × 80 × 20 mm, its wood 3 m long, 200 mm wide and 40 mm thick; 15 mm are trimmed off each end of a
board.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from kit.sentences import as_lines, cases, keep

from tracker.design import load_build
from tracker.plan.feasibility import check

CASES = Path(__file__).with_name("cannot_be_cut.txt")


def build_file(where: str, text: str) -> str:
    """`size` replaces the length of the piece; the others are added."""
    more = {where: f"{text}\n"}
    return (
        '[build]\nname = "Cut"\nunits = "mm"\n[woods.oak]\nspecies = "white oak"\nthickness = 40\nwidth = 200\n'
        f'lengths = ["3 m", "2 m"]\n{more.get("wood", "")}[[parts]]\nid = "rail"\nwood = "oak"\nwidth = 80\n'
        f"thickness = 20\n{more.get('size', 'length = 600')}\n{more.get('part', '')}"
        '[[parts]]\nid = "other"\nwood = "oak"\nlength = 600\nwidth = 60\nthickness = 20\n'
        'laps = [{ end = "A", from_end = 100, crosses = "rail", face = "bottom" }]\n'
    )


def told(where: str, text: str) -> list[str]:
    file = build_file(where, text)
    loaded = load_build(file)
    assert loaded.build is not None, loaded.problems
    return as_lines((each for each in check(loaded.build) if each.what.startswith("rail: ")), file)


@pytest.mark.parametrize(("where", "text", "said"), list(cases(CASES)))
def test_what_is_said_about_a_piece_that_cannot_be_cut(where: str, text: str, said: list[str]) -> None:
    assert told(where, text) == said


if __name__ == "__main__":
    keep(CASES, told)
