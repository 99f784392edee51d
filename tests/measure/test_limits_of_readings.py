"""Every word for a unit, and each limit of what is read and shown: just within it, and just beyond."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from tracker.measure import Length, Mark, Span, inches, millimetres, parse_angle, parse_length, parse_span, read_length
from tracker.measure.angle import slope
from tracker.measure.length import ZERO, of_grid
from tracker.measure.span import rough
from tracker.measure.tape_reading import (
    MARKS,
    MILLIMETRE,
    SIXTEENTH,
    SIXTY_FOURTH,
    feet_and_inches,
    hair_words,
    plain_words,
    read_angle,
    read_as_written,
    small_words,
)

MINUTE, HOUR, DAY = 60, 3600, 86_400


@pytest.mark.parametrize(
    ("words", "seconds"),
    [
        ("s sec second seconds", 1), ("min mins minute minutes", MINUTE), ("h hr hrs hour hours", HOUR),
        ("d day days", DAY), ("week weeks", 7 * DAY),
    ],
)  # fmt: skip
def test_every_word_for_a_unit_of_time(words: str, seconds: int) -> None:
    for word in words.split():
        assert parse_span(f"2 {word}") == parse_span(f"2{word.upper()}") == Span(2 * seconds)


@pytest.mark.parametrize(
    ("words", "mm"),
    [('" in inch inches ″ ”', "25.4"), ("' ft foot feet ′ ’", "304.8"), ("mm MM", "1"), ("cm", "10"), ("m", "1000")],
)
def test_every_word_for_a_unit_of_length(words: str, mm: str) -> None:
    """The inch is 25.4 mm and the foot 12 inches (International yard and pound agreement, 1959)."""
    for word in words.split():
        assert parse_length(f"2 {word}", "mm").mm == parse_length(f"2{word}", "in").mm == 2 * Fraction(mm)


GLYPHS = "½ 1/2 ¼ 1/4 ¾ 3/4 ⅛ 1/8 ⅜ 3/8 ⅝ 5/8 ⅞ 7/8 ⅓ 1/3 ⅔ 2/3 ⅕ 1/5 ⅖ 2/5 ⅗ 3/5 ⅘ 4/5 ⅙ 1/6 ⅚ 5/6 ⅒ 1/10"


def test_every_fraction_that_has_a_character_of_its_own() -> None:
    """The Unicode standard, Number Forms."""
    words = GLYPHS.split()
    for glyph, fraction in zip(words[::2], words[1::2], strict=True):
        assert parse_length(f"3{glyph}", "mm").mm == 3 + Fraction(fraction)


def test_sixty_characters_are_read_and_one_more_is_not() -> None:
    assert parse_span("5 min".ljust(60)) == Span(300)
    assert parse_length("5".rjust(60), "mm") == millimetres(5)
    assert parse_angle("5".rjust(60)) == 5
    for parse, what in (
        (parse_span, "a time"),
        (parse_angle, "an angle"),
        (lambda t: parse_length(t, "mm"), "a length"),
    ):
        with pytest.raises(ValueError, match=f"^this is too long for {what}$"):
            parse("5".rjust(61))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "a time is missing"), ("soon", "can't read 'soon' as a time"),
        ("5 moons", "'moons' is not a unit of time"),
        ("5 min 1 h", "can't read '5 min 1 h' as a time: units must get smaller"),
        ("1 h 2 hours", "can't read '1 h 2 hours' as a time: units must get smaller"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_time(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        parse_span(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "a length is missing"), ("wide", "can't read 'wide' as a length"), ("1/0", "'1/0' divides by zero"),
        ("5 yards", "'yards' is not a unit of length"),
        ("5 6", "can't read '5 6' as a length: one of its numbers has no unit"),
        ("5 ft 6", "can't read '5 ft 6' as a length: one of its numbers has no unit"),
        ("5 in 6 in", "can't read '5 in 6 in' as a length: units must get smaller"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_length(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        parse_length(text, "in")


def test_what_is_wrong_with_an_angle() -> None:
    for text, said in (("1:0", "the slope '1:0' has no run"), ("steep", "can't read 'steep' as an angle")):
        with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
            parse_angle(text)
    with pytest.raises(ValueError, match=r"^90° has no slope 1 : n$"):
        slope(90)
    assert slope(89.9) == pytest.approx(0.001745, abs=1e-6)
    assert slope(0.1) == pytest.approx(572.957, abs=1e-3)


def test_lengths_are_added_turned_and_divided_exactly() -> None:
    foot = inches(12)
    assert foot / 8 == inches("1 1/2") == Fraction(1, 8) * foot == foot * Fraction(1, 8)
    assert abs(-foot) == abs(foot) == foot
    assert (-foot).mm == Fraction(-3048, 10) == (inches(1) - foot - inches(1)).mm
    assert bool(foot)
    assert not ZERO
    assert not foot - foot
    assert (foot.per("in"), foot.per("mm")) == (12, Fraction(3048, 10))
    assert of_grid(-127) == -inches("1/64")
    assert inches(23.625) == inches("23 5/8")


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "0 s"), (59, "59 s"), (HOUR + 1, "1 h 1 s"), (DAY, "24 h"), (DAY + MINUTE, "1 day 1 min"),
     (DAY + HOUR, "1 day 1 h"), (DAY + 1, "1 day 1 s"), (2 * DAY, "2 days"), (2 * DAY + 3 * HOUR, "2 days 3 h")],
)  # fmt: skip
def test_a_span_in_words(seconds: int, text: str) -> None:
    assert Span(seconds).text == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(60, "1 min"), (61, "2 min"), (59 * MINUTE, "59 min"), (59 * MINUTE + 1, "1 h"), (23 * HOUR + 3540, "23 h 59 min"),
     (23 * HOUR + 3541, "1 day"), (DAY + 1, "1 day"), (DAY + HOUR, "1 day 1 h"), (2 * DAY - 1, "2 days")],
)  # fmt: skip
def test_what_is_left_is_rounded_up_to_the_minute(seconds: int, text: str) -> None:
    assert rough(seconds) == text


@pytest.mark.parametrize(
    ("length", "mark", "text"),
    [
        (inches("5/16"), SIXTEENTH, "5⁄16″"), (inches("5/32"), SIXTEENTH, "5⁄32″"),
        (inches("1/64"), MARKS[0], "1⁄64″"),
        (inches("1/128"), SIXTEENTH, "0″"),
        (inches("33/128"), SIXTY_FOURTH, "17⁄64″"),
        (inches("1/3"), SIXTEENTH, "5⁄16″"),
        (millimetres(Fraction(1, 2)), MILLIMETRE, "0.5 mm"), (millimetres(Fraction(1, 4)), MILLIMETRE, "0.25 mm"),
        (millimetres(Fraction(7, 10)), MILLIMETRE, "0.7 mm"), (millimetres(Fraction(7, 100)), MILLIMETRE, "0 mm"),
    ],
)  # fmt: skip
def test_a_length_for_a_machine_keeps_its_own_mark(length: Length, mark: Mark, text: str) -> None:
    """Down to 1/64 in, or to 0.1 mm; what no such mark shows is read on the shop's."""
    assert read_as_written(length, mark).text == text


@pytest.mark.parametrize(
    ("length", "text"),
    [(inches("1/64"), "1⁄64″"), (ZERO, "1⁄64″"), (-inches("3/128"), "1⁄32″"), (inches("7/64"), "7⁄64″")],
)
def test_a_small_length_is_at_least_a_sixty_fourth(length: Length, text: str) -> None:
    assert small_words(length, "in") == text


def test_a_small_length_in_tenths_of_a_millimetre() -> None:
    assert [small_words(millimetres(Fraction(each, 100)), "mm") for each in (-26, 24, 100)] == [
        "0.3 mm", "0.2 mm", "1 mm",
    ]  # fmt: skip


def test_a_hundredth_of_an_inch_is_shown_and_less_is_not() -> None:
    assert hair_words(inches("1/100"), "in") == "a hair over (1⁄64″)"
    assert hair_words(inches("999/100000"), "in") == ""
    assert hair_words(-inches("1/100"), "in") == "a hair under (1⁄64″)"
    assert hair_words(millimetres(Fraction(-51, 1000)), "mm") == "0.1 mm under"
    assert hair_words(millimetres(Fraction(49, 1000)), "mm") == ""


def test_marks_and_readings_in_words() -> None:
    assert [str(mark) for mark in MARKS] == ["1/8 in", "1/16 in", "1/32 in", "1/64 in", "1 mm", "0.5 mm"]
    reading = read_length(-inches("23 5/8"), SIXTEENTH)
    assert (reading.plain, reading.unit_sign, reading.whole, reading.numerator) == ('-23 5/8"', "″", 23, 5)
    assert read_length(millimetres(Fraction(-25, 2)), MARKS[5]).plain == "-12.5 mm"
    assert read_length(millimetres(12), MILLIMETRE).unit_sign == "mm"
    assert plain_words("−1\u20095⁄8″") == '-1 5/8"'
    assert read_length(-inches("1/64"), SIXTEENTH).sign == "", "there is no negative zero"
    assert feet_and_inches(inches("12 1/4"), MILLIMETRE) == "1′ 1⁄4″", "in feet a metric tape counts sixteenths"
    assert feet_and_inches(inches("11 31/32")) == "1′"
    assert read_angle(0.05) == "0.1"
    assert read_angle(-0.05) == "−0.1"
