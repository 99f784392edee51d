"""Mates: sizes agree within the play, or follow from the mate; a mismatch is reported with both lines."""

from __future__ import annotations

import pytest
from kit.build_text import one_wood

from tracker.design import load_build
from tracker.measure import millimetres

FILE = (
    one_wood("Frame", "mm", "oak", "white oak", "thickness = 22", "width = 60", 'lengths = ["3 m"]')
    + """\
[[parts]]
id = "stile"
name = "Stile"
wood = "oak"
length = 700
features = [
  { kind = "mortise", on = "near", from = { A = 10 }, length = 40, width = 8, depth = 32, count = 2, spacing = 100 },
  { kind = "groove", on = "far", width = 6, depth = 9 },
]
[[parts]]
id = "rail"
name = "Rail"
wood = "oak"
length = 400
features = [
  { kind = "tenon", on = "A", ROW },
]
"""
)


def told(row: str) -> list[str]:
    problems = load_build(FILE.replace("ROW", row)).problems
    return [f"{each.line}: {each.what}" for each in problems if each.kind == "problem"]


def tenon(row: str) -> tuple[float | None, ...]:
    build = load_build(FILE.replace("ROW", row)).build
    assert build is not None, told(row)
    made = build.part("rail").features[0]
    return tuple(None if size is None else float(size) for size in (made.length, made.width, made.thickness))


def test_what_is_left_out_follows() -> None:
    assert tenon('fits = "stile.mortise 2"') == (32.0, 40.0, 8.0)
    assert tenon('fits = "stile.mortise 1", play = 0.2, length = 30') == (30.0, 39.8, 7.8)
    assert tenon('fits = "stile.groove 1", width = 60') == (9.0, 60.0, 6.0)


def test_what_is_written_agrees_within_the_play() -> None:
    assert tenon('fits = "stile.mortise 1", length = 30, width = 40, thickness = 8') == (30.0, 40.0, 8.0)
    assert tenon('fits = "stile.mortise 1", play = 0.3, length = 30, width = 39.7, thickness = 8') == (30.0, 39.7, 8.0)
    assert millimetres(8) == millimetres(8.0)


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ('fits = "stile.mortise 1", thickness = 8.5',
         "24: Rail: tenon: its thickness is 0.5 mm more than the width of the mortise on line 15"),
        ('fits = "stile.mortise 1", width = 38, play = 1',
         "24: Rail: tenon: its width is 2 mm less than the length of the mortise on line 15"),
        ('fits = "stile.mortise 1", length = 33', "24: Rail: tenon is longer than the mortise on line 15 is deep"),
        ('fits = "stile.mortise 3"', "24: Rail: tenon: fits: there is no stile.mortise 3"),
        ('fits = "style.mortise 1"', "24: Rail: tenon: fits: no part is called 'style'"),
        ('fits = "the mortise"', "24: Rail: tenon: fits: 'the mortise' names no feature"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_told_with_both_lines(row: str, problem: str) -> None:
    assert told(row)[:1] == [problem]
