"""Each limit of a line of holes from both sides, with the whole sentence and its hint.

The rail is 20 mm thick and 100 wide; its end B meets the leg, 40 × 40 mm, 10 mm behind its front. A number 8 screw is
0.060 + 8 · 0.013 in = 4.166 mm thick (ANSI B18.6.1, from memory)."""

from __future__ import annotations

from pathlib import Path

import pytest
from place.test_screw_solids import BEFORE
from place.test_wrong_screws import PLACE, D, P, row, said

S = 'kind = "screw", end = "B", from_end = 20, gauge = 8'
B = 'kind = "bolt", end = "B", from_end = 20, from_edge = 30, diameter = 6'
OWN = "problem"


@pytest.mark.parametrize(
    ("fits", "beyond", "what", "hint", "kind"),
    [
        # the near edge is 3 mm from the shank at 5.083 from the edge, and 0 at 2.083
        (
            S + ", from_edge = 5.1, screw = 30", S + ", from_edge = 5, screw = 30",
            "Rail: screw at end B: 2.9 mm clear between its shank and the near edge of Rail", "another place", "note",
        ),
        (
            S + ", from_edge = 5.1, screw = 30", S + ", from_edge = 2, screw = 30",
            "Rail: screw at end B: its shank comes out of the near edge of Rail by 0.1 mm", "another place", OWN,
        ),
        # the leg's back is 40 mm behind the rail
        (
            S + ", from_edge = 30, screw = 57", S + ", from_edge = 30, screw = 57.1",
            "Rail: screw at end B: 2.9 mm clear between its thread and the top face of Leg",
            "a shorter screw, or another place", "note",
        ),
        (
            S + ", from_edge = 30, screw = 20.1", S + ", from_edge = 30, screw = 20",
            "Rail: a screw 20 mm long ends in its own piece", "it goes through 20 mm first", OWN,
        ),
        (
            S + ", from_edge = 30, screw = 15.1, recess = 5", S + ", from_edge = 30, screw = 15, recess = 5",
            "Rail: a screw 15 mm long ends in its own piece", "it goes through 15 mm first", OWN,
        ),
        (
            S + ", from_edge = 30, screw = 30, recess = 19.9, plug = 10",
            S + ", from_edge = 30, screw = 30, recess = 20, plug = 10",
            "Rail: its recess is deeper than the piece", "the piece is 20 mm there", OWN,
        ),
        (
            S + ", from_edge = 30, screw = 30, recess = 5, plug = 4.2",
            S + ", from_edge = 30, screw = 30, recess = 5, plug = 4.1",
            "Rail: its plug is no wider than its screw", "", OWN,
        ),
        (
            B + ", length = 60, counterbore = 6.1, recess = 5", B + ", length = 60, counterbore = 6, recess = 5",
            "Rail: its counterbore is no wider than its bolt", "", OWN,
        ),
    ],
)  # fmt: skip
def test_a_screw_or_a_bolt_through_the_rail_into_the_leg(
    fits: str, beyond: str, what: str, hint: str, kind: str, tmp_path: Path
) -> None:
    check(fits, beyond, what, hint, kind, BEFORE, tmp_path)


@pytest.mark.parametrize(
    ("fits", "beyond", "what", "hint", "kind"),
    [
        (
            D + ", from_edge = 30, diameter = 8, length = 40, depth = 39.9",
            D + ", from_edge = 30, diameter = 8, length = 40, depth = 40",
            "Rail: a dowel 40 mm long ends in its own hole", "half of it goes into each piece", OWN,
        ),
        (
            P + ", from_edge = 30, shoulder = 12, screw = 12.1", P + ", from_edge = 30, shoulder = 12, screw = 12",
            "Rail: a screw 12 mm long ends in its own piece", "its seat is 12 mm from the end", OWN,
        ),
        # 10 mm less 4.75 cos 15° over sin 15° is 20.91 mm
        (
            P + ", from_edge = 30, shoulder = 20.9, screw = 35", P + ", from_edge = 30, shoulder = 21, screw = 35",
            "Rail: the pocket's seat isn't all in the wood", "20.9 mm from the end is the most", OWN,
        ),
        (
            P + ", from_edge = 30, shoulder = 6, screw = 20", P + ", from_edge = 30, shoulder = 5.9, screw = 20",
            "Rail: the screw's head has 5.9 mm of wood before it", "6 mm is the least", "note",
        ),
        # under a bore of d at 6 mm: 10 + 6 sin 15° - d / 2 · cos 15° is 3 at d = 17.71; its seat is at most
        # (10 - d / 2 · cos 15°) / sin 15°, which is 6 at 17.49
        (
            P + ", from_edge = 30, shoulder = 6, bore = 17.4, screw = 20",
            P + ", from_edge = 30, shoulder = 6, bore = 17.6, screw = 20",
            "Rail: the pocket's seat isn't all in the wood", "5.8 mm from the end is the most", OWN,
        ),
    ],
)  # fmt: skip
def test_a_dowel_or_a_pocket_at_the_end_of_the_rail(
    fits: str, beyond: str, what: str, hint: str, kind: str, tmp_path: Path
) -> None:
    check(fits, beyond, what, hint, kind, PLACE, tmp_path)


def check(fits: str, beyond: str, what: str, hint: str, kind: str, place: str, folder: Path) -> None:
    after_the_number = what.rpartition(" mm ")[2]
    found, _ = said(row(fits), folder, place=place)
    assert not [each for each in found if each.what.endswith(after_the_number)], found
    found, line = said(row(beyond), folder, place=place)
    assert [(each.line, each.hint, each.kind) for each in found if each.what == what] == [(line, hint, kind)], found


def test_stock_too_thick_for_any_usual_pocket_screw(tmp_path: Path) -> None:
    found, line = said(
        row(P + ", from_edge = 30"), tmp_path, rail='length = 300\nthickness = 5\nroute = ["cut"]', place=PLACE
    )
    ours = [(each.line, each.what, each.hint, each.kind) for each in found if "practice has no screw" in each.what]
    assert ours == [
        (line, "Rail: practice has no screw for stock of that thickness", 'say it: screw = "1 1/4"', "note")
    ]
