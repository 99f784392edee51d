"""The lines of the command for screws, dowels and bolts, whole: a rail of 20 × 100 mm on a leg of 40 × 40.

The rail's top edge is flush with the top of the leg, and its face is 10 mm behind the leg's.
"""

from __future__ import annotations

import pytest
from place.test_wrong_screws import HEAD, PLACE, row

from tracker.cards.reports.screws import screws_lines
from tracker.design.load import load_build

POCKETS = 'kind = "pocket", end = "both", from_edge = 30'
DOWEL = 'kind = "dowel", end = "B", face = "end", from_edge = 30, diameter = 8, from_face = 10, length = 40'
SCREW = 'kind = "screw", end = "B", face = "top", from_edge = 30, from_end = 50, screw = 30, temporary = true'
HOLE = 'features = [{ kind = "dowel", on = "near", from = { A = 40, bottom = 20 }, diameter = 8, depth = 21 }]'
FROM_EDGE = "30 mm from the near edge"
BORES = "its bore and the bore from Rail"
MATE = "into the near edge of Leg, 30 mm from end A, 20 mm from the bottom face, 20 mm deep"


@pytest.mark.parametrize(
    ("holes", "leg", "long", "expected"),
    [
        # The two bores of a short piece cross: they overlap by their whole diameter of 3/8 in.
        (
            POCKETS, "", 90,
            [
                "Rail: pocket screws, 30 mm long, No. 8 (gauge and length: common practice)",
                f"  Rail, end A, {FROM_EDGE}: into nothing known; NO ROOM: {BORES} overlap by 9.5 mm",
                f"  Rail, end B, {FROM_EDGE}: 14 mm into Leg; NO ROOM: {BORES} overlap by 9.5 mm",
            ],
        ),
        # 10 mm from a face of the rail, less half its thickness; half of its length is in the leg.
        (
            DOWEL, "", 300,
            [
                "Rail: dowels, 40 mm long, 8 mm thick",
                f"  Rail, end B, {FROM_EDGE}: {MATE}; least clearance 6 mm: its dowel and the bottom face of Rail",
            ],
        ),
        # A dowel hole of the leg 10 mm below it: 10 less twice 4.
        (
            DOWEL, HOLE, 300,
            [
                "Rail: dowels, 40 mm long, 8 mm thick",
                f"  Rail, end B, {FROM_EDGE}: {MATE}; least clearance 2 mm: its dowel and the dowel from Leg",
            ],
        ),
        # 30 mm less half of 4.17 (No. 8: 0.164 in)
        (
            SCREW, "", 300,
            [
                "Rail: screws, 30 mm long, No. 8 (gauge: common practice)",
                f"  Rail, 50 mm from end B, {FROM_EDGE}: into nothing known; least clearance 27.9 mm: its shank and the"
                " near edge of Rail; comes out once the glue is dry",
            ],
        ),
    ],
)  # fmt: skip
def test_each_line_says_where_it_goes_and_what_is_nearest(holes: str, leg: str, long: int, expected: list[str]) -> None:
    rail = f'[[parts]]\nid = "rail"\nname = "Rail"\nwood = "oak"\nlength = {long}\n{row(holes)}\n'
    loaded = load_build(f"{HEAD}{leg}\n{rail}{PLACE}")
    assert loaded.build is not None, loaded.problems
    assert list(screws_lines(loaded.build)) == expected
