"""Every notation of a length is read exactly, and nothing else is read as a length.

Units: the inch is 25.4 mm exactly, the foot 12 of them (International yard and pound agreement, 1959).
"""

from __future__ import annotations

import os
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.measure import Length, Units, inches, millimetres, parse_length

INCH = Fraction(254, 10)


def mixed(value: Fraction, between: str = " ") -> str:
    """`23 5/8`, `5/8`, `23`."""
    whole, rest = divmod(value, 1)
    fraction = f"{rest.numerator}/{rest.denominator}"
    if not rest:
        return str(whole)
    return f"{whole}{between}{fraction}" if whole else fraction


def glyph(value: Fraction) -> str:
    glyphs = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 5: "⅝", 6: "¾", 7: "⅞"}
    whole, rest = divmod(value, 1)
    return f"{whole or ''}{glyphs.get(int(rest * 8), '')}" if rest * 8 in glyphs else mixed(value)


def decimal(value: Fraction) -> str:
    """Exact: the value must have a finite decimal."""
    scaled = value * 10**9
    assert scaled.denominator == 1
    return f"{int(scaled) // 10**9}.{int(scaled) % 10**9:09d}"


def feet(value: Fraction, pattern: str) -> str:
    whole, rest = divmod(value, 12)
    return pattern.format(whole, mixed(rest))


# Each writes a number of inches, with the unit in which a bare number is then read.
EVERY = int(os.environ.get("KERFCARD_EVERY", "11"))
"""The step between two tried values of a whole tape."""
INCH_NOTATIONS: dict[str, Callable[[Fraction], str]] = {
    "fraction": mixed,
    "dash": lambda value: mixed(value, "-"),
    "glyph": glyph,
    "decimal": decimal,
    "inch sign": lambda value: f'{mixed(value)}"',
    "typographic sign": lambda value: f"{mixed(value)}″",
    "fraction slash": lambda value: mixed(value).replace("/", "⁄"),
    "thin space": lambda value: mixed(value, "\u2009"),
    "in": lambda value: f"{mixed(value)} in",
    "inches": lambda value: f"{mixed(value)}inches",
    "feet and inches": lambda value: feet(value, "{}' {}\""),
    "feet, dash, inches": lambda value: feet(value, "{}'-{}\""),
    "ft in": lambda value: feet(value, "{} ft {} in"),
    "typographic feet": lambda value: feet(value, "{}′ {}″"),
    "feet alone": lambda value: f"{mixed(value / 12)} ft",
}
MM_NOTATIONS: dict[str, Callable[[Fraction], str]] = {
    "bare": decimal,
    "mm": lambda value: f"{decimal(value)} mm",
    "fraction of mm": lambda value: f"{mixed(value)}mm",
    "cm": lambda value: f"{decimal(value / 10)} cm",
    "m": lambda value: f"{decimal(value / 1000)} m",
}


@pytest.mark.parametrize("notation", INCH_NOTATIONS)
def test_64ths_of_an_inch_up_to_eighty_feet_are_exact_in_every_notation(notation: str) -> None:
    """Every 11th of 61,440 values, so that each fraction meets each number of inches and most of the feet; all of them:
    `KERFCARD_EVERY=1 pytest tests/measure/test_length.py`, 921,600 in 15 notations."""
    write = INCH_NOTATIONS[notation]
    wrong = [
        count
        for count in range(0, 80 * 12 * 64, EVERY)
        if parse_length(write(Fraction(count, 64)), "in").mm != count * INCH / 64
    ]
    assert wrong == []


@pytest.mark.parametrize("notation", MM_NOTATIONS)
def test_tenths_of_a_millimetre_up_to_four_metres_are_exact_in_every_notation(notation: str) -> None:
    """Every 11th of 40,000 values in each of 5 notations."""
    write = MM_NOTATIONS[notation]
    wrong = [
        count
        for count in range(0, 40_000, EVERY)
        if parse_length(write(Fraction(count, 10)), "mm").mm != Fraction(count, 10)
    ]
    assert wrong == []


@settings(max_examples=2000, deadline=None)
@given(
    whole=st.integers(0, 10**9 - 1),
    numerator=st.integers(0, 999_999),
    denominator=st.integers(1, 999_999),
    unit=st.sampled_from([("", None), (" in", INCH), ('"', INCH), ("mm", Fraction(1)), (" cm", Fraction(10))]),
    units=st.sampled_from(["in", "mm"]),
)
def test_any_fraction_in_any_unit_is_exact(
    whole: int, numerator: int, denominator: int, unit: tuple[str, Fraction | None], units: Units
) -> None:
    sign, scale = unit
    scale = scale or (INCH if units == "in" else Fraction(1))
    read = parse_length(f"{whole} {numerator}/{denominator}{sign}", units)
    assert read.mm == (whole + Fraction(numerator, denominator)) * scale


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("23 5/8", "600.075"),
        ("1' 11 5/8\"", "600.075"),
        ("1'-11 5/8\"", "600.075"),
        ("1'-11⅝\"", "600.075"),
        ("6 ft", "1828.8"),
        ("6 ft.", "1828.8"),
        ("600 mm", "600"),
        ("60 cm", "600"),
        ("0.6 m", "600"),
        ("1 m 20 cm 3 mm", "1203"),
        (" 23-⅝ ", "600.075"),
        (".5", "12.7"),
        ("1½'", "457.2"),
    ],
)
def test_what_a_cut_list_says(text: str, mm: str) -> None:
    assert parse_length(text, "in").mm == Fraction(mm)


@pytest.mark.parametrize(
    "text",
    [
        "", "   ", "-5", "−5", "5-", "-", "--", "5 -", "five", "5 furlongs", "5 M", "1/0", "3 1/0", "1/", "/2", "1//2",
        "1.2.3", "5,5", "1e9", "inf", "nan", "0x10", "½½", "12 5/8 3/4", "12 5 mm", "5 in 3 ft", "4 in 4 in", "6' 5 6'",
        "1'-", "1'--5\"", "1-2", "9999999999 mm", "9999999999", "9" * 1000, "5" + " " * 100, "٣", "5\n\x00", "= 5",
    ],
)  # fmt: skip
def test_odd_input_is_an_error_with_a_short_sentence(text: str) -> None:
    with pytest.raises(ValueError, match=r"length|zero|unit") as told:
        parse_length(text, "in")
    assert len(str(told.value)) < 150


@settings(max_examples=2000, deadline=None)
@given(st.text(alphabet="0123456789 /.-'\"⅝½ftincm°\t", max_size=30) | st.text(max_size=70))
def test_whatever_is_typed_is_a_length_that_is_not_negative_or_a_sentence(text: str) -> None:
    try:
        length = parse_length(text, "mm")
    except ValueError:
        return
    assert length.mm >= 0


def test_lengths_add_up_without_drift() -> None:
    """1/64 in and 0.1 mm, added and subtracted a hundred thousand times, give zero."""
    total = Length(Fraction(0))
    for _ in range(100_000):
        total = total + inches("1/64") + millimetres(Fraction(1, 10))
    assert total - inches("1/64") * 100_000 - millimetres(10_000) == Length(Fraction(0))


def test_both_tapes_lie_on_the_grid_and_a_blank_is_rounded_up_and_a_board_down() -> None:
    assert inches("1/64").grid_up() == inches("1/64").grid_down() == 127
    assert millimetres(Fraction(1, 10)).grid_up() == 32
    third = millimetres(Fraction(1, 3))
    assert (third.grid_down(), third.grid_up()) == (106, 107)
