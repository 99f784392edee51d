"""Glue of pieces of which nothing says how they meet: each rule of the estimate, with areas worked out by hand."""

from __future__ import annotations

from math import cos, radians

import pytest
from test_consumables import GLUED, INCH, build

from tracker.plan.consumables import estimated_joint_area, finish_needed, glue_needed, piece_area


def part(id_: str, quantity: int, length: int, more: str = "") -> str:
    return f'[[parts]]\nid = "{id_}"\nquantity = {quantity}\nwood = "oak"\nlength = {length}\n{more}\n'


def top(joins: str, id_: str = "top") -> str:
    return f'[[assemblies]]\nid = "{id_}"\njoins = {{ {joins} }}\n{GLUED}'


def area(parts: str, joins: str, more: str = "") -> float:
    """Square inches; the boards are 4 × 3/4 in."""
    made = build(parts, more + top(joins))
    return estimated_joint_area(made, made.assembly("top")) / INCH**2


MITRED = 'end_a = { miter = 45, long = "far" }\nend_b = { miter = 45, long = "near" }'
ACROSS = 4 * 0.75 / cos(radians(45))
"""A mitred end: the section over the cosine."""


@pytest.mark.parametrize(
    ("parts", "joins", "wanted"),
    [
        # one board alone has no joint
        (part("a", 1, 30), "a = 1", 0),
        # two boards alone: one seam, 30 × 3/4; and a longer beside a shorter one: the shorter edge
        (part("a", 2, 30), "a = 2", 30 * 0.75),
        (part("a", 1, 30, 'sequence = "s"') + part("b", 1, 20, 'sequence = "s"'), "a = 1, b = 1", 20 * 0.75),
        # a chevron, 34 tip to tip: a seam along the edges, and both ends of each piece, which aren't square
        (part("a", 2, 30, MITRED + '\nsequence = "s"'), "a = 2", 34 * 0.75 + 2 * 2 * ACROSS),
        # a corner joint: ends meet each other, so each joint has half of two ends
        (part("a", 4, 20, "joint = { kind = 'corner', angle = 90 }"), "a = 4", 4 * ACROSS),
        # short pieces on a rail: the greater of both ends (6) and an edge; the largest one needs none of its own
        (part("a", 1, 30) + part("b", 2, 6), "a = 1, b = 2", 2 * 6),
        (part("a", 1, 30) + part("b", 2, 10), "a = 1, b = 2", 2 * 7.5),
        # two boards on a ground whose face (4 × 30) is just half of theirs: seam and ground; then on a smaller one
        (part("g", 1, 30) + part("a", 2, 30, 'sequence = "s"'), "g = 1, a = 2", 30 * 0.75 + 120 + 30 * 0.75),
        (part("g", 1, 29) + part("a", 2, 30, 'sequence = "s"'), "g = 1, a = 2", 30 * 0.75 + 29 * 0.75),
        (part("g", 1, 90) + part("a", 2, 30, 'sequence = "s"'), "g = 1, a = 2", 30 * 0.75 + 240 + 90 * 0.75),
        # two of a part aren't a ground
        (part("g", 2, 30) + part("a", 2, 30, 'sequence = "s"'), "g = 2, a = 2", 30 * 0.75 + 2 * 30 * 0.75),
    ],
)  # fmt: skip
def test_each_rule(parts: str, joins: str, wanted: float) -> None:
    assert area(parts, joins) == pytest.approx(wanted, rel=1e-6)


def test_an_inner_assembly_is_glued_along_its_longest_edge() -> None:
    """A frame of 30 and 10, twice, and a rail of 12: two of 30 · 3/4 and one of 12 · 3/4, less the largest."""
    inner = top("a = 1, b = 1", "frame")
    found = area(part("a", 2, 30) + part("b", 2, 10) + part("c", 1, 12), "frame = 2, c = 1", inner)
    assert found == pytest.approx(30 * 0.75 + 12 * 0.75)


def test_glue_for_as_many_copies_as_there_are_pieces_and_finish_for_all_of_them() -> None:
    """Twice a frame of three in a stand: six pieces a stand. Eleven are enough for one, twelve for two."""
    frame = top("a = 3", "frame")
    stand = top("frame = 2", "stand") + 'finish = { kind = "Danish oil", coats = 2 }\n'
    for quantity, copies in ((6, 1), (11, 1), (12, 2)):
        made = build(part("a", quantity, 30), frame + stand)
        (need,) = glue_needed(made)
        seams = copies * (2 * 2 * 30 * 0.75 + 30 * 0.75)
        assert need.area == pytest.approx(seams * INCH**2)
        (oil,) = finish_needed(made)
        assert oil.area == pytest.approx(quantity * piece_area(made.part("a")))
        assert oil.coats == 2


def test_without_a_finish_spares_need_none() -> None:
    assert finish_needed(build(part("a", 9, 30), top("a = 3"))) == ()
