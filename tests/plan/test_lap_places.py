"""Where the trenches of half-laps are, at slanted ends and on both hands, and the limits of their places.

A strip 600 × 80 × 20 mm, its end A mitred by 30° or bevelled by 45°: 80 · tan 30° = 46.188, and so is 40 / sin 60°."""

from __future__ import annotations

import pytest
from test_laps import HEAD

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.plan.feasibility import check
from tracker.plan.laps import LapShape, laps_of

SLANT = 46.188
SQUARE = '{ end = "A", from_end = 100, crosses = "other" }'


def strip(laps: str, end: str = "") -> Build:
    text = f"""{HEAD}[[parts]]
id = "strip"
name = "Strip"
left = 1
right = 1
wood = "oak"
length = 600
width = 80
thickness = 20
{end}
laps = [{laps}]
[[parts]]
id = "other"
name = "Other"
wood = "oak"
length = 600
width = 40
thickness = 20
"""
    build = load_build(text).build
    assert build is not None
    return build


def shoulders(lap: LapShape) -> list[float]:
    return [round(x, 3) for pair in lap.shoulders for x in pair]


@pytest.mark.parametrize(
    ("laps", "end", "left"),
    [
        (
            '{ end = "A", from_end = 100, crosses = "other", angle = 60 }',
            'end_a = { miter = 30, long = "far" }',
            [100 + SLANT, 100 + 2 * SLANT, 100 + 2 * SLANT, 100 + 3 * SLANT],
        ),
        (SQUARE, 'end_a = { miter = 30, long = "near" }', [100, 100, 140, 140]),
        (SQUARE, 'end_a = { bevel = 45, long_face = "top" }', [100, 100, 140, 140]),
        (
            '{ end = "A", from_end = 100, crosses = "other", face = "bottom" }',
            'end_a = { bevel = 45, long_face = "top" }',
            [120, 120, 160, 160],
        ),
        ('{ end = "B", from_end = 100, crosses = "other" }', "", [500, 500, 460, 460]),
        (
            '{ end = "B", from_end = 100, crosses = "other", angle = 60 }',
            "",
            [500, 500 - SLANT, 500 - SLANT, 500 - 2 * SLANT],
        ),
    ],
)  # fmt: skip
def test_shoulders_from_the_end_along_the_edge_where_they_are_measured(laps: str, end: str, left: list[float]) -> None:
    """A right-hand piece is its mirror image: there they are measured along the far edge."""
    build = strip(laps, end)
    (mine,), (mirrored,) = (laps_of(build, build.part("strip"), hand) for hand in ("left", "right"))
    assert shoulders(mine) == pytest.approx(left, abs=2e-3)
    assert shoulders(mirrored) == pytest.approx([left[1], left[0], left[3], left[2]], abs=2e-3)
    assert (mine.edge, mirrored.edge) == ("near", "far")


@pytest.mark.parametrize(
    ("laps", "end", "said"),
    [
        ('{ end = "A", from_end = 0, crosses = "other" }', "", ""),
        ('{ end = "A", from_end = 560, crosses = "other" }', "", ""),
        ('{ end = "A", from_end = "560.1 mm", crosses = "other" }', "", "runs off the piece"),
        ('{ end = "B", from_end = "560.1 mm", crosses = "other" }', "", "runs off the piece"),
        # at half its depth the bevelled end is 10 mm in; the top face is the longer one
        ('{ end = "A", from_end = 10, crosses = "other" }', "end_a = { bevel = 45 }", ""),
        ('{ end = "A", from_end = "9.9 mm", crosses = "other" }', "end_a = { bevel = 45 }", "runs off the piece"),
        ('{ end = "A", from_end = 10, crosses = "other", face = "bottom" }', "end_a = { bevel = 45 }", ""),
        ('{ end = "A", from_end = 0, crosses = "other", face = "bottom" }', "end_a = { bevel = 45 }", ""),
        ('{ end = "A", from_end = 50, crosses = "other" }, { end = "A", from_end = 90, crosses = "other" }', "", ""),
        (
            '{ end = "A", from_end = 50, crosses = "other" }, { end = "A", from_end = "89.9 mm", crosses = "other" }',
            "",
            "runs into another",
        ),
        (
            '{ end = "A", from_end = 90, crosses = "other" }, '
            '{ end = "A", from_end = "50.1 mm", crosses = "other", face = "bottom" }',
            "",
            "runs into another",
        ),
        ('{ end = "B", from_end = 90, crosses = "other" }, { end = "B", from_end = 50, crosses = "other" }', "", ""),
    ],
)
def test_where_a_trench_may_be(laps: str, end: str, said: str) -> None:
    build = strip(laps, end)
    found = [each.what for each in check(build) if each.kind == "problem" and "lap" in each.what]
    assert (found == []) is not bool(said)
    assert all(said in each for each in found)
    assert len(found) <= 1
