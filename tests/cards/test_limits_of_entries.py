"""Each limit of what can be typed, just within it and just beyond, with the words that say so."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tracker.cards.glueup.air import HUMIDITY, temperature_entry, to_celsius
from tracker.cards.glueup.prove import load_words, question, spread, tolerance
from tracker.cards.keypad.decimal import DecimalEntry
from tracker.cards.keypad.length import KeyFace, TapeEntry, difference_words, doubt_of, signed, tape_card
from tracker.cards.keypad.moisture import moisture_entry
from tracker.cards.keypad.number import NumberEntry
from tracker.cards.keypad.span import SpanEntry
from tracker.cards.keypad.span import doubt_of as span_doubt
from tracker.cards.words import capital, inside
from tracker.measure import Length, Mark, Span, inches, millimetres
from tracker.measure.length import ZERO
from tracker.measure.tape_reading import MARKS, MILLIMETRE, SIXTEENTH, SIXTY_FOURTH

HALF, TENTH = MARKS[5], Mark("mm", Fraction(1, 10))


def keys(entry: TapeEntry, *typed: str) -> TapeEntry:
    for key in typed:
        entry = entry.press(key)
    return entry


@pytest.mark.parametrize(
    ("actual", "said"),
    [
        (3000, "About ten times what was planned?"), (2999, "Too far off even for a rough cut."),
        (120, "About a tenth of what was planned?"), (121, "Too far off even for a rough cut."), (603, ""), (597, ""),
    ],
)  # fmt: skip
def test_five_times_too_long_or_too_short_is_taken_for_a_slip_of_ten(actual: int, said: str) -> None:
    assert doubt_of(millimetres(600), millimetres(actual)) == said
    assert doubt_of(ZERO, millimetres(actual)) == "", "nothing was planned"


@pytest.mark.parametrize(
    ("mark", "typed", "block"),
    [
        (SIXTEENTH, (), "Type the whole inches, or a fraction."),
        (MILLIMETRE, (), "Type the millimetres."),
        (SIXTEENTH, ("0",), "No length begins with 0."),
        (SIXTEENTH, ("1", "2", "3"), ""),
        (SIXTEENTH, ("1", "2", "3", "4"), "No more than 3 digits: no board is so long."),
        (MILLIMETRE, ("1", "2", "3", "0"), ""),
        (MILLIMETRE, ("1", "2", "3", "4", "5"), "No more than 4 digits: no board is so long."),
        (SIXTEENTH, ("9", "1/32"), "This tape has no such mark."),
        (SIXTEENTH, ("9", "1/16"), "How many sixteenths?"),
        (SIXTEENTH, ("9", "1/2"), "How many halves?"),
        (SIXTEENTH, ("9", "1/4"), "How many quarters?"),
        (SIXTEENTH, ("9", "1/8"), "How many eighths?"),
        (SIXTY_FOURTH, ("9", "1/32"), "How many thirty-seconds?"),
        (SIXTY_FOURTH, ("9", "1/64"), "How many sixty-fourths?"),
        (SIXTEENTH, ("9", "1/8", "7"), "How many eighths?"),
        (SIXTEENTH, ("9", "1/8", "+1/8", "7"), "The fraction is complete: save, or erase."),
        (SIXTEENTH, ("1/8", "+1/8"), ""),
        (HALF, ("+1/2",), ""),
    ],
)
def test_what_stops_an_entry_on_the_tape(mark: Mark, typed: tuple[str, ...], block: str) -> None:
    entry = keys(TapeEntry(mark=mark), *typed)
    assert entry.block == block
    assert (entry.length is None) == (entry.reading is None) == bool(block)


def test_a_tape_has_the_keys_of_its_marks() -> None:
    """A tape in tenths of a millimetre has nine of them between two millimetres."""
    assert [face.text for face in TapeEntry(mark=TENTH).fraction_keys] == [f"+ 0.{each}" for each in range(1, 10)]
    assert TapeEntry(mark=HALF).fraction_keys == (KeyFace("+1/2", "+ 0.5"),)
    assert [face.text for face in TapeEntry(mark=MARKS[0]).fraction_keys] == ["1⁄2", "1⁄4", "1⁄8"]
    quarters = keys(TapeEntry(mark=SIXTEENTH), "5", "1/4")
    assert quarters.numerator_keys == (KeyFace("+1/4", "1⁄4"), KeyFace("+3/4", "3⁄4"))
    assert quarters.takes("+3/4")
    assert not quarters.takes("5")
    done = quarters.press("+3/4")
    assert (done.length, done.numerator_keys, done.whole, done.denominator) == (inches("5 3/4"), (), "5", 4)
    assert not keys(TapeEntry(mark=SIXTEENTH), "0").takes("5"), "it is stopped until it is erased"
    assert "".join(face.key for face in done.digit_keys) == "1234567890"


@pytest.mark.parametrize(
    ("off", "mark", "words", "sign"),
    [
        (Fraction(1, 10), HALF, "as planned", "as planned"),
        (Fraction(1, 4), HALF, "0.5 mm more than planned", "+0.5 mm"),
        (Fraction(-3, 4), HALF, "1 mm less than planned", "−1 mm"),
        (Fraction(-254, 160), SIXTEENTH, "1⁄16″ less than planned", "−1⁄16″"),
        (Fraction(254, 10), SIXTEENTH, "1″ more than planned", "+1″"),
    ],
)
def test_a_difference_is_said_with_its_direction(off: Fraction, mark: Mark, words: str, sign: str) -> None:
    planned, actual = millimetres(600), Length(600 + off)
    assert (difference_words(planned, actual, mark), signed(planned, actual, mark)) == (words, sign)


def test_where_nothing_was_planned_nothing_is_compared() -> None:
    card = tape_card("Board", "Length", ZERO, keys(TapeEntry(mark=HALF), "5"))
    assert (card.planned, card.said, card.tone, card.doubt) == ("", "", "ready", "")
    stopped = tape_card("Leg", "Length", millimetres(5), keys(TapeEntry(mark=HALF), "0"))
    assert (stopped.planned, stopped.said, stopped.tone) == ("planned 5 mm", "No length begins with 0.", "caution")


def test_decimals_and_leading_noughts() -> None:
    entry = DecimalEntry(least=0, most=250)
    for typed, key, taken in (
        ("", ".", False), ("5", ".", True), ("5.", ".", False), ("5.", "1", True), ("5.1", "1", False),
        ("0", "1", False), ("0", ".", True), ("25", "0", True), ("250", "0", False),
    ):  # fmt: skip
        assert DecimalEntry(least=0, most=250, typed=typed).takes(key) == taken, (typed, key)
    assert entry.press("5").press(".").press("2").press("9").value == 5.2, "one decimal"
    assert DecimalEntry(least=0, most=9, decimals=2, typed="5.2").press("9").value == 5.29
    assert entry.press("5").erase().typed == ""
    assert [DecimalEntry(least=4, most=30, typed=each).value for each in ("4", "30", "30.1", "3.9")] == [
        4,
        30,
        None,
        None,
    ]
    assert DecimalEntry(least=0.5, most=30, typed="31").block == "From 0.5 to 30."
    assert moisture_entry().block == ""


def test_whole_numbers_have_as_many_digits_as_their_bounds() -> None:
    for typed, key, taken in (
        ("", "-", True), ("1", "-", False), ("-", "1", True), ("-12", "0", True), ("-120", "0", False),
        ("0", "1", False), ("60", "1", True),
    ):  # fmt: skip
        assert NumberEntry(least=-120, most=60, typed=typed).takes(key) == taken, (typed, key)
    assert not NumberEntry(least=0, most=9).takes("-")
    bounds = {each: NumberEntry(least=-30, most=60, typed=each).value for each in ("-30", "-31", "60", "61", "-")}
    assert bounds == {"-30": -30, "-31": None, "60": 60, "61": None, "-": None}
    assert NumberEntry(least=-30, most=60, typed="-").block == ""
    assert (HUMIDITY.least, HUMIDITY.most) == (1, 100)


def test_a_shop_is_no_colder_and_no_warmer_than_this() -> None:
    """-30 to 60 °C in either unit, and freezing and boiling as everybody knows them."""
    celsius, fahrenheit = temperature_entry("mm"), temperature_entry("in")
    assert (celsius.least, celsius.most) == (-30, 60)
    assert (to_celsius(fahrenheit.least, "in"), to_celsius(fahrenheit.most, "in")) == (-30, 60)
    assert (to_celsius(32, "in"), to_celsius(212, "in"), to_celsius(68, "in"), to_celsius(7, "mm")) == (0, 100, 20, 7)


def test_spans_have_three_digits_and_end_with_seconds() -> None:
    def typed(*keys: str) -> SpanEntry:
        entry = SpanEntry()
        for key in keys:
            entry = entry.press(key)
        return entry

    assert typed("1", "2", "3", "4", "min").text == "123 min"
    assert typed("0", "5", "s", "6").text == "5 s"
    assert typed("3", "6", "6", "days").span == Span(366 * 86_400)
    assert (typed("3", "6", "7", "days").span, typed("3", "6", "7", "days").block) == (
        None, "No glue or finish takes longer than a year.",
    )  # fmt: skip
    assert SpanEntry().block == "Type what the label says: a number, then its unit."
    assert typed("5").block == "Days, hours or minutes?"
    assert typed("5", "min", "1", "h").text == "5 min 1", "only a smaller unit may follow"
    assert span_doubt(Span(60), Span(300)) == "Much longer than 1 min: sure?"
    assert span_doubt(Span(60), Span(299)) == span_doubt(Span(300), Span(61)) == ""
    assert span_doubt(Span(300), Span(60)) == "Much shorter than 5 min: sure?"


@pytest.mark.parametrize(
    ("check", "ask", "readings"),
    [
        ("carries 80 kg", "load", 0), ("sits well", "load", 0), ("all alike three ways", "lengths", 3),
        ("equal four ways", "lengths", 4), ("same six ways", "lengths", 6), ("Diagonals", "lengths", 2),
        ("square", "lengths", 2), ("gap within 1/64", "lengths", 1), ("stands flat", "nothing", 0),
        ("all alike five ways", "lengths", 5), ("all alike two ways", "lengths", 2),
    ],
)  # fmt: skip
def test_what_a_check_asks_for(check: str, ask: str, readings: int) -> None:
    assert question(check) == (ask, readings)


def test_tolerances_spreads_and_loads() -> None:
    assert tolerance("within 1/32", "in") == inches("1/32")
    assert tolerance("Within 2 mm of it", "in") == millimetres(2)
    assert tolerance("within reach", "in") is tolerance("within 1/0", "in") is None
    assert spread([millimetres(5)]) == millimetres(5)
    assert spread([millimetres(5), millimetres(9), millimetres(7)]) == millimetres(4)
    assert load_words(80, 10, "mm") == "80 kg for 10 min"
    assert load_words(80, None, "in") == "80 lb"
    assert load_words(None, 5, "mm") == "for 5 min"
    assert load_words(0, 0, "mm") == ""


def test_a_sentence_and_its_beginning() -> None:
    assert (capital("side 1"), inside("Side 1"), capital(""), inside("")) == ("Side 1", "side 1", "", "")
