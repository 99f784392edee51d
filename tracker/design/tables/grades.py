"""Grades of rough hardwood: how wide and long its boards are at least, and what of a board is clear.

Shares and least widths: hardwood grading rules as a general engineering reference gives them (read); least lengths of
boards and of their clear cuttings, and how many of those, from memory. What is bought over: common practice, no source.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.design.tables.usual_waste import WASTES, Waste
from tracker.measure import Length, inches

SOURCE = "hardwood grading rules"


class Grade(Struct, frozen=True):
    """`clear` is the part of a board that is free of defects at least, in up to `cuttings` clear pieces, each at least
    `cutting` long; `over` what is usually bought over."""

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
"""What a board of random width is taken to measure at the most; common practice, no source."""
NARROWEST = inches(4)


def grade_named(name: str) -> Grade | None:
    """However it is capitalised: `fas`, `no. 1 common`, `1 common`."""
    wanted = "".join(sign for sign in name.casefold() if sign.isalnum()).removeprefix("no")
    return next(
        (
            each
            for each in GRADES
            if "".join(s for s in each.name.casefold() if s.isalnum()).removeprefix("no") == wanted
        ),
        None,
    )
