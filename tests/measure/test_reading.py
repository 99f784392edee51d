"""Readings on a tape: rounded once to a mark that exists, with the remainder.

Marks of tapes and scales: common practice, no source (inch tapes 1/16, often 1/32; metric 1 mm; scales 0.1 to 0.5°).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from readings import round_once_and_read_back

from tracker.measure import Length, Mark, inches, millimetres, parse_length, read_angle, read_length
from tracker.measure.tape_reading import MARKS, MILLIMETRE, SIXTEENTH, feet_and_inches, hair_words

THIRTYSECOND, SIXTYFOURTH = MARKS[2], MARKS[3]


@pytest.mark.parametrize("mark", MARKS, ids=str)
def test_readings_round_once_and_read_back(mark: Mark) -> None:
    """A part of the million of `python tests/measure/readings.py`."""
    assert round_once_and_read_back(mark, 3_000) == 3_000


def test_no_mark_is_shown_as_8_16_or_24_16_16() -> None:
    """Every 64th and its neighbours up to 18 in: the fraction is in lowest terms and below one."""
    for count in range(18 * 64):
        for nudge in (-1, 0, 1):
            length = Length(max(Fraction(0), Fraction(count * 127 + nudge, 320)))
            for mark in MARKS[:4]:
                fraction = read_length(length, mark).plain.rstrip('"').split()[-1]
                if "/" in fraction:
                    numerator, denominator = map(int, fraction.split("/"))
                    assert numerator % 2 == 1
                    assert numerator < denominator <= 64


@pytest.mark.parametrize(
    ("length", "mark", "digits", "hair"),
    [
        (inches("23 5/8"), SIXTEENTH, "23\u20095⁄8", ""),
        (inches("8/16"), SIXTEENTH, "1⁄2", ""),
        (inches("24 31/32"), SIXTEENTH, "25", "a hair under (1⁄32″)"),
        (inches("24 127/128"), SIXTEENTH, "25", ""),
        (inches("23 41/64"), SIXTEENTH, "23\u20095⁄8", "a hair over (1⁄64″)"),
        (millimetres(Fraction(6004, 10)), MILLIMETRE, "600", "0.4 mm over"),
        (millimetres(Fraction(6005, 10)), MARKS[5], "600.5", ""),
        (-inches("1/16"), SIXTEENTH, "−1⁄16", ""),
        (-inches("1/100"), SIXTEENTH, "0", "a hair under (1⁄64″)"),
        (inches("99/10000"), SIXTEENTH, "0", ""),
        (inches("15/16"), MARKS[0], "1", "a hair under (1⁄16″)"),
        (millimetres(Fraction(5996, 10)), MILLIMETRE, "600", "0.4 mm under"),
        (Length(Fraction(0)), SIXTEENTH, "0", ""),
    ],
)
def test_what_the_card_shows(length: Length, mark: Mark, digits: str, hair: str) -> None:
    reading = read_length(length, mark)
    assert (reading.digits, reading.hair) == (digits, hair)


def test_rounding_once_is_not_rounding_twice() -> None:
    """7/128 in is nearer 1/16 than 0 on the 1/8 tape's neighbours: through 1/16 first it would be 1/8."""
    length = inches("7/128")
    assert read_length(length, MARKS[0]).plain == '0"'
    once = read_length(length, SIXTEENTH)
    assert read_length(inches("1/16"), MARKS[0]).plain == '1/8"'
    assert once.plain == '1/16"'


def test_the_nearest_thirtysecond_is_never_more_than_0_397_mm_off() -> None:
    """1/64 in = 0.397 mm: arithmetic."""
    worst = max(abs(read_length(Length(Fraction(n, 320)), THIRTYSECOND).left_over) for n in range(32_000))
    assert float(worst) == pytest.approx(0.397, abs=5e-4)


@settings(max_examples=500, deadline=None)
@given(st.integers(0, 64 * 12 * 50), st.sampled_from(MARKS[:4]))
def test_feet_and_inches_read_back_and_never_show_twelve_inches(count: int, mark: Mark) -> None:
    length = Length(Fraction(count * 127, 320))
    text = feet_and_inches(length, mark)
    assert parse_length(text, "in") == parse_length(read_length(length, mark).plain, "in")
    assert " 12" not in text.replace("\u2009", " ")


def test_feet_and_inches_in_words() -> None:
    assert feet_and_inches(inches("23 5/8")) == "1′ 11\u20095⁄8″"
    assert feet_and_inches(inches("5/8")) == "5⁄8″"
    assert feet_and_inches(inches("23 127/128")) == "2′"
    assert feet_and_inches(-inches("13")) == "−1′ 1″"


def test_what_nobody_can_see_is_not_named() -> None:
    assert hair_words(millimetres(Fraction(4, 100)), "mm") == ""
    assert hair_words(millimetres(Fraction(6, 100)), "mm") == "0.1 mm over"
    assert hair_words(-millimetres(1), "mm") == "1 mm under"


@pytest.mark.parametrize(
    ("angle", "step", "text"),
    [
        (15.0, 0.1, "15"), (28.8791, 0.1, "28.9"), (28.85, 0.1, "28.9"), (28.8791, 0.25, "29"), (28.7, 0.25, "28.75"),
        (28.7, 0.5, "28.5"), (28.7, 1, "29"), (0.04, 0.1, "0"), (-0.04, 0.1, "0"), (-7.5, 0.1, "−7.5"),
        (-0.5, 0.1, "−0.5"), (0.5, 0.1, "0.5"),
        (44.99999999999999, 0.1, "45"), (9.96, 0.1, "10"),
    ],
)  # fmt: skip
def test_what_the_scale_shows(angle: float, step: float, text: str) -> None:
    assert read_angle(angle, step) == text


@given(st.floats(-90, 90), st.sampled_from([0.1, 0.25, 0.5, 1.0]))
def test_a_shown_angle_is_the_nearest_mark_of_the_scale(angle: float, step: float) -> None:
    shown = float(read_angle(angle, step).replace("−", "-"))
    assert abs(shown - angle) <= step / 2 + 1e-9
    assert abs(shown / step - round(shown / step)) < 1e-6
