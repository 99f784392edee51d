"""Each limit of a part from both sides: what just fits has no problem, and what just doesn't is told in full.

The wood is 1x6 (3/4 × 5 1/2 in), at most 72 in long with trims of 1/2 in: 71 in clear. The saw swings to 50° and tilts
to 45°."""

from __future__ import annotations

import pytest
from test_feasibility import HEAD, line_of, told

from tracker.design.load import load_build
from tracker.plan.feasibility import check

OVER = 'holes = [{ kind = "through", end = "A", diameter = "1/2", %s }]'
BLIND = 'holes = [{ kind = "blind", end = "B", diameter = "1/2", from_edge = 2, from_end = 3, depth = "%s" }]'


@pytest.mark.parametrize(
    ("fits", "beyond", "key", "said", "hint"),
    [
        (
            "length = 71",
            "length = '71 1/16'",
            "length",
            'rail: its blank is 71 1/16", and no board of oak gives more than 71"',
            "the end trim is lost at both ends of a board",
        ),
        (
            "length = 60\nallowance = 11",
            "length = 60\nallowance = '11 1/16'",
            "length",
            'rail: its blank is 71 1/16", and no board of oak gives more than 71"',
            "the end trim is lost at both ends of a board",
        ),
        (
            "length = 20\n" + OVER % 'from_edge = "5/16", from_end = 2',
            "length = 20\n" + OVER % 'from_edge = "1/4", from_end = 2',
            "holes",
            "rail: hole 1 at end A is off the piece",
            'it is 5 1/2" wide',
        ),
        (
            "length = 20\n" + OVER % 'from_edge = "5 3/16", from_end = 2',
            "length = 20\n" + OVER % 'from_edge = "5 1/4", from_end = 2',
            "holes",
            "rail: hole 1 at end A is off the piece",
            'it is 5 1/2" wide',
        ),
        (
            "length = 20\n" + OVER % 'from_edge = 2, from_end = "5/16"',
            "length = 20\n" + OVER % 'from_edge = 2, from_end = "1/4"',
            "holes",
            "rail: hole 1 at end A is off the piece",
            "it runs past an end or into a taper",
        ),
        (
            "length = 20\n" + BLIND % "11/16",
            "length = 20\n" + BLIND % "3/4",
            "holes",
            "rail: hole 1 at end B comes out at the other face",
            'the piece is 3/4" thick',
        ),
        (
            "length = 20\ntapers = [{ edges = 'far', end = 'B', start = 4, leave = '1/16' }]",
            "length = 20\ntapers = [{ edges = 'far', end = 'B', length = 4, angle = 60 }]",
            "tapers",
            "rail: the taper is deeper than the board",
            'the board is 5 1/2" wide',
        ),
        (
            "length = 20\ntapers = [{ edges = 'far', end = 'B', length = 20, leave = 3 }]",
            "length = 20\ntapers = [{ edges = 'far', end = 'B', length = '20 1/16', leave = 3 }]",
            "tapers",
            "rail: the taper is longer than the piece",
            'it is 20 1/16" long',
        ),
    ],
)
def test_just_within_and_just_beyond(fits: str, beyond: str, key: str, said: str, hint: str) -> None:
    assert told(fits) == []
    (found,) = told(beyond)
    assert (found.line, found.what, found.hint, found.kind) == (line_of(beyond, key), said, hint, "problem")


def test_ends_that_meet_in_a_point_and_ends_that_cross() -> None:
    """Two mitres of 45° on 5 1/2 in take 11 in of the shorter edge."""
    meet = "length = 11\nend_a = { miter = 45 }\nend_b = { miter = 45 }"
    assert told(meet) == []
    (found,) = told(meet.replace("11", "'10 7/8'"))
    assert (found.what, found.hint) == (
        'rail: its ends cross, by 1/8"', "make it longer or narrower, or the angles smaller",
    )  # fmt: skip
    assert found.line == line_of(meet, "end_b"), "end B, unless only end A is mitred"


def test_a_blank_that_lies_across_the_board() -> None:
    """A piece 5 in long with its grain across: 1/2 in more is there on a board of 5 1/2 in, and no more."""
    lines = "length = 5\nwidth = 20\ngrain = 'across'\nallowance = %s"
    assert told(lines % "'1/2'") == []
    (found,) = told(lines % "'9/16'")
    assert found.kind == "note"
    assert found.what == 'rail: its blank is to be 5 9/16" across the board, and oak is 5 1/2" wide'
    assert found.hint == "the allowance is on the length, which lies across the board: less of it is to be had"


def test_a_longer_board_on_the_rack_counts_with_its_own_trim_and_without_its_defects() -> None:
    """80 in with trims of 2 in and a defect from 10 to 12: from 12 to 78 are 66, so the dealer's 71 in remain the most;
    with the defect at 3 to 4 it is 74."""
    rack = '[[rack]]\nwood = "oak"\nname = "R1"\nlength = 80\nend_trim = 2\ndefects = [[%s, %s]]\n'
    for at, most in (((10, 12), 71), ((3, 4), 74)):
        for length, few in ((str(most), 0), (f"'{most} 1/16'", 1)):
            loaded = load_build(HEAD + f"length = {length}\n" + rack % at)
            assert loaded.build is not None, loaded.problems
            problems = check(loaded.build)
            assert len(problems) == few
            assert all(f'no board of oak gives more than {most}"' in each.what for each in problems)


def test_a_slanted_piece_shorter_than_six_inches_needs_a_jig() -> None:
    assert told("length = 6\nend_a = { miter = 10 }") == []
    assert told("length = '5 15/16'") == [], "a square one is done when it is cut from the board"
    (found,) = told("length = '5 15/16'\nend_a = { miter = 10 }")
    assert (found.kind, found.what) == ("note", "rail: too short to hold by hand at the saw: clamp it in a jig")
    assert found.hint == "common practice; follow the saw's manual"


@pytest.mark.parametrize(("angle", "few"), [("miter = 50", 0), ("miter = 51", 1), ("bevel = 45", 0), ("bevel = 46", 1)])
def test_the_ends_of_the_saws_scales(angle: str, few: int) -> None:
    found = told(f"length = 24\nend_b = {{ {angle} }}")
    assert len(found) == few
    assert all((each.kind, each.line) == ("note", 17) for each in found)
