"""Grades of rough hardwood: least width and length of the boards, and the clear share of a board.

Shares and least widths: hardwood grading rules as a general engineering reference gives them (read). Least lengths of
boards and of their clear cuttings, and the number of cuttings: from memory. Extra wood bought: common practice, no
source.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.design.tables.usual_waste import WASTES, Waste
from tracker.measure import Length, inches

SOURCE = "hardwood grading rules"


class Grade(Struct, frozen=True):
    """`clear` is the least share of a board that is free of defects, in up to `cuttings` clear pieces, each at least
    `cutting` long. `over` is the extra usually bought, in percent."""

    name: str
    clear: float
    narrowest: Length
    shortest: Length
    cutting: Length
    cuttings: int
    over: Waste


GRADES = (
    Grade("FAS", 0.833, inches(6), inches(96), inches(60), 4, WASTES[3]),
    Grade("No. 1 Common", 0.666, inches(3), inches(48), inches(24), 5, WASTES[4]),
)
WIDEST = inches(10)
"""The greatest width assumed for a board of random width; common practice, no source."""
NARROWEST = inches(4)


def grade_named(name: str) -> Grade | None:
    """The grade of a name, regardless of capitals: `fas`, `no. 1 common`, `1 common`."""
    wanted = "".join(sign for sign in name.casefold() if sign.isalnum()).removeprefix("no")
    return next(
        (
            each
            for each in GRADES
            if "".join(s for s in each.name.casefold() if s.isalnum()).removeprefix("no") == wanted
        ),
        None,
    )
