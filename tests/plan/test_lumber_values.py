"""Lumber sizes and board feet: every value of the published tables.

Softwood dressed dry: American Softwood Lumber Standard (PS 20). Hardwood, rough to surfaced two sides (S2S): the
hardwood surfacing table of a general engineering reference. Board foot: 144 cubic inches, nominal; one is 0.00235974 m³
and a cubic metre 423.776 of them (arithmetic).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from made import WOOD

from tracker.design.lumber import SECTIONS, section_named
from tracker.measure import Length, inches, parse_length
from tracker.plan.boards import board_feet

THICKNESSES = {"1": "3/4", "2": "1 1/2", "3": "2 1/2", "4": "3 1/2"}
WIDTHS = {
    "2": "1 1/2", "3": "2 1/2", "4": "3 1/2", "6": "5 1/2", "8": "7 1/4", "10": "9 1/4", "12": "11 1/4",
    "14": "13 1/4", "16": "15 1/4",
}  # fmt: skip


@pytest.mark.parametrize("name", [name for name in SECTIONS if name.partition("x")[0] in THICKNESSES and name != "1x1"])
def test_softwood_dressed_dry(name: str) -> None:
    thick, _, wide = name.partition("x")
    section = section_named(name)
    assert (section.thickness, section.width) == (inches(THICKNESSES[thick]), inches(WIDTHS[wide]))


def test_every_dressed_size_of_the_standard_is_sold_in_some_section() -> None:
    sold = [name.partition("x") for name in SECTIONS if "x" in name]
    assert {thick for thick, _, _ in sold} >= set(THICKNESSES)
    assert {wide for _, _, wide in sold} >= set(WIDTHS)


@pytest.mark.parametrize(
    ("rough", "surfaced"),
    [
        ("4/4", "13/16"), ("5/4", "1 1/16"), ("6/4", "1 5/16"), ("7/4", "1 1/2"), ("8/4", "1 3/4"), ("12/4", "2 3/4"),
        ("16/4", "3 3/4"),
    ],
)  # fmt: skip
def test_hardwood_surfaced_two_sides(rough: str, surfaced: str) -> None:
    assert section_named(rough).thickness == inches(surfaced)


@pytest.mark.parametrize(
    ("section", "width", "length", "feet"),
    [
        ("1x6", "5 1/2", "8 ft", Fraction(4)),
        ("5/4", "7 1/2", "10 ft", Fraction("7.8125")),
        ("8/4", "9", "12 ft", Fraction(18)),
    ],
)
def test_board_feet(section: str, width: str, length: str, feet: Fraction) -> None:
    wood = replace(WOOD, section=section, width=inches(width), thickness=section_named(section).thickness)
    assert board_feet(wood, parse_length(length, "in")) == feet


def test_a_cubic_metre_of_full_size_stock_is_423_776_board_feet() -> None:
    """An 8/4 rough board is 2 in thick and 12 in wide: a cubic metre of that section."""
    wood = replace(WOOD, section="8/4", width=inches(12), thickness=inches(2))
    metre = Length(Fraction(10**9) / (inches(2).mm * inches(12).mm))
    feet = board_feet(wood, metre)
    assert feet is not None
    assert float(feet) == pytest.approx(423.776, abs=5e-4)
    assert 1 / float(feet) == pytest.approx(0.00235974, abs=5e-9)
