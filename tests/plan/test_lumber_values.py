"""Lumber sizes and board feet: every value of the published tables.

Softwood dressed dry, and a green 2 x 4: American Softwood Lumber Standard (PS 20); other green sizes from memory.
Hardwood, rough to surfaced on two sides (S2S) or one (S1S): the hardwood surfacing table of a general engineering
reference. Board foot: 144 cubic inches, nominal; one is 0.00235974 m³ and a cubic metre 423.776 of them (arithmetic).
Sawn European sizes: EN 1313-1 and -2, from memory.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from kit.build_text import one_wood
from made import WOOD
from msgspec.structs import replace

from tracker.design import load_build
from tracker.design.errors import BadValueError
from tracker.design.tables.lumber import dressed, section_named, sections, surface_measure
from tracker.design.tables.usual_waste import WASTES, customary_waste
from tracker.measure import Length, inches, millimetres, parse_length
from tracker.plan.boards import board_feet

THICKNESSES = {"1": "3/4", "2": "1 1/2", "3": "2 1/2", "4": "3 1/2"}
WIDTHS = {
    "2": "1 1/2", "3": "2 1/2", "4": "3 1/2", "6": "5 1/2", "8": "7 1/4", "10": "9 1/4", "12": "11 1/4",
    "14": "13 1/4", "16": "15 1/4",
}  # fmt: skip
DRY = [
    name
    for name, section in sections().items()
    if section.stock == "softwood" and name.partition("x")[0] in THICKNESSES and name != "1x1" and " " not in name
]


@pytest.mark.parametrize("name", DRY)
def test_softwood_dressed_dry(name: str) -> None:
    thick, _, wide = name.partition("x")
    section = section_named(name)
    assert (section.thickness, section.width) == (inches(THICKNESSES[thick]), inches(WIDTHS[wide]))


def test_every_dressed_size_of_the_standard_is_sold_in_some_section() -> None:
    sold = [name.partition("x") for name in DRY]
    assert {thick for thick, _, _ in sold} == set(THICKNESSES)
    assert {wide for _, _, wide in sold} == set(WIDTHS)


@pytest.mark.parametrize(("nominal", "inch"), [*THICKNESSES.items(), *WIDTHS.items(), ("5/4", "1")])
def test_the_rule_of_the_standard(nominal: str, inch: str) -> None:
    """1/4 in less under 2 in, 1/2 less under 8 in, 3/4 less for larger; 5/4 is 1 in."""
    assert inches(dressed(Fraction(nominal))) == inches(inch)


@pytest.mark.parametrize(
    ("name", "thickness", "width"),
    [
        ("2x4 green", "1 9/16", "3 9/16"),  # read in the standard
        ("1x6 green", "25/32", "5 5/8"),  # these and the rest: PS 20, from memory
        ("2x8 green", "1 9/16", "7 1/2"),
        ("4x10 green", "3 9/16", "9 1/2"),
        ("2x12 green", "1 9/16", "11 1/2"),
        ("5x5", "4 1/2", "4 1/2"),  # 5 in and thicker: 1/2 in off, green
        ("6x8", "5 1/2", "7 1/2"),
        ("8x12", "7 1/2", "11 1/2"),
    ],
)
def test_softwood_dressed_green(name: str, thickness: str, width: str) -> None:
    section = section_named(name)
    assert (section.thickness, section.width) == (inches(thickness), inches(width))


@pytest.mark.parametrize(
    ("rough", "two_sides", "one_side"),
    [
        ("3/8", "3/16", None), ("1/2", "5/16", "3/8"), ("5/8", "7/16", "1/2"), ("3/4", "9/16", "5/8"),
        ("4/4", "13/16", "7/8"), ("5/4", "1 1/16", "1 1/8"), ("6/4", "1 5/16", "1 3/8"), ("7/4", "1 1/2", None),
        ("8/4", "1 3/4", "1 13/16"), ("12/4", "2 3/4", "2 13/16"), ("14/4", "3 1/4", None),
        ("16/4", "3 3/4", "3 13/16"),
    ],
)  # fmt: skip
def test_hardwood_surfaced(rough: str, two_sides: str, one_side: str | None) -> None:
    assert section_named(f"{rough} S2S").thickness == inches(two_sides)
    if one_side:
        assert section_named(f"{rough} s1s").thickness == inches(one_side) == inches(two_sides) + inches("1/16")
    else:
        assert f"{rough} S1S" not in sections()


@pytest.mark.parametrize("rough", ["4/4", "5/4", "6/4", "7/4", "8/4", "12/4", "14/4", "16/4"])
def test_quarters_are_surfaced_on_two_sides_unless_they_say_so(rough: str) -> None:
    plain, said = section_named(rough), section_named(f"{rough} S2S")
    assert replace(plain, name=said.name) == said
    assert plain.width is None


@pytest.mark.parametrize("rough", ["3/8", "1/2", "5/8", "3/4"])
def test_thin_stock_says_how_it_is_surfaced(rough: str) -> None:
    """`3/4` could be taken for the real size, but rough 3/4 in is surfaced to 9/16."""
    with pytest.raises(BadValueError) as refused:
        section_named(rough)
    assert f'"{rough} S2S"' in refused.value.hint


def test_hardwood_surfaced_on_four_sides_is_three_quarters_thick() -> None:
    """Common practice, no source."""
    assert {sections()[f"4/4x{wide}"].thickness for wide in ("2", "4", "6", "8", "12")} == {inches("3/4")}


def test_sawn_softwood_of_europe() -> None:
    """EN 1313-1, from memory: check before quoting."""
    for thick in (16, 19, 22, 25, 32, 38, 44, 50, 63, 75, 100):
        for wide in (75, 300):
            section = section_named(f"{thick} x {wide} mm")
            assert section == section_named(f"{thick}x{wide}")
            assert (section.thickness, section.width) == (millimetres(thick), millimetres(wide))


@pytest.mark.parametrize("thick", [20, 27, 32, 40, 50, 60, 65, 70, 80, 100, 26, 38, 52, 63])
def test_sawn_hardwood_of_europe(thick: int) -> None:
    """EN 1313-2, then those of the British trade; from memory: check before quoting."""
    section = section_named(f"{thick}mm")
    assert (section.name, section.thickness, section.width) == (f"{thick} mm", millimetres(thick), None)


@pytest.mark.parametrize("written", ["25x150 in", "2x4 mm", "27", "27x150", "9/4", "3/4 S4S", "2x4 wet"])
def test_sizes_that_nobody_sells_are_refused(written: str) -> None:
    with pytest.raises(BadValueError):
        section_named(written)


def test_a_build_file_may_name_them() -> None:
    text = (
        one_wood("Box", "mm", "deal", "Scots pine", 'section = "25x150"', 'lengths = ["1.8 m"]')
        + """\
[woods.lid]
species = "white oak"
section = "1/2 S2S"
width = 150
lengths = ["4 ft"]
price_per_board_foot = 12
"""
    )
    loaded = load_build(text + '[[parts]]\nid = "side"\nwood = "deal"\nlength = 400\n')
    assert loaded.build is not None, loaded.problems
    assert (loaded.build.part("side").thickness, loaded.build.part("side").width) == (millimetres(25), millimetres(150))
    lid = loaded.build.wood("lid")
    assert lid.thickness == inches("5/16")
    # counted 1 in thick: 150 mm x 4 ft
    assert float(lid.prices[0]) == pytest.approx(12 * (150 / 25.4) * 48 / 144, abs=5e-3)


@pytest.mark.parametrize(
    ("section", "width", "length", "feet"),
    [
        ("1x6", "5 1/2", "8 ft", Fraction(4)),
        ("5/4", "7 1/2", "10 ft", Fraction("7.8125")),
        ("8/4", "9", "12 ft", Fraction(18)),
        ("1/2 S2S", "6", "8 ft", Fraction(4)),  # stock under 1 in counts as 1 in
        ("3/4 S1S", "6", "8 ft", Fraction(4)),
    ],
)
def test_board_feet(section: str, width: str, length: str, feet: Fraction) -> None:
    wood = replace(WOOD, section=section, width=inches(width), thickness=section_named(section).thickness)
    assert board_feet(wood, parse_length(length, "in")) == feet


@pytest.mark.parametrize(
    ("section", "width", "length", "feet"),
    [
        ("4/4", "7 1/2", "10 ft", 6),  # a face of 6.25 square feet counts as 6
        ("5/4", "7 1/2", "10 ft", Fraction("7.5")),  # and is then taken times the thickness
        ("8/4", "9", "12 ft", 18),
        ("3/4 S2S", "7", "11 ft", 6),  # 6.42; under 1 in counts as 1 in
        ("6/4", "6 1/2", "12 ft", 9),  # 6.5: the even one
    ],
)
def test_a_tally_rounds_the_face_and_then_takes_the_thickness(
    section: str, width: str, length: str, feet: Fraction
) -> None:
    """Grading rules, from memory."""
    assert section_named(section).tally(inches(width), parse_length(length, "in")) == feet


def test_surface_measure() -> None:
    """Width in inches times length in feet by 12, to a whole number: grading rules, from memory."""
    assert [surface_measure(Fraction(wide), Fraction(8)) for wide in (6, 7, 8, 9, 10)] == [4, 5, 5, 6, 7]


def test_a_cubic_metre_of_full_size_stock_is_423_776_board_feet() -> None:
    """An 8/4 rough board is 2 in thick and 12 in wide: a cubic metre of that section."""
    wood = replace(WOOD, section="8/4", width=inches(12), thickness=inches(2))
    metre = Length(Fraction(10**9) / (inches(2).mm * inches(12).mm))
    feet = board_feet(wood, metre)
    assert feet is not None
    assert float(feet) == pytest.approx(423.776, abs=5e-4)
    assert 1 / float(feet) == pytest.approx(0.00235974, abs=5e-9)


def test_customary_waste() -> None:
    """Common practice, no source."""
    assert [(waste.least, waste.most) for waste in WASTES] == [
        (5, 10), (10, 15), (20, 25), (25, 30), (40, 50), (50, 100),
    ]  # fmt: skip
    said = {name: customary_waste(section_named(name)) for name in ("2x4", "4/4x6", "8/4", "4/4 S1S", "25x150")}
    assert [waste and waste.least for waste in said.values()] == [5, 10, 20, 20, None]
    assert all("no source" in waste.words for waste in WASTES)
