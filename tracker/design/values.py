"""Single values of a build file: the ways to write a length, an angle, a count, a price or a time.

Each function takes a value from the TOML parser and raises BadValueError (or measure's ValueError) with a sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct, field

from tracker.design.errors import BadValueError
from tracker.design.formulas import Names, Number, evaluate
from tracker.design.kinds import Kind
from tracker.measure import Angle, Length, Span, Units, parse_angle, parse_length, parse_span
from tracker.words import say

LONGEST_VALUE = 60
LONGEST_NAME = 80
LONGEST_NOTE = 4000
LARGEST_NUMBER = 10**9
LONGEST_LENGTH = Length(Fraction(100_000))
_DIGITS = 30


class Meaning(Struct, frozen=True):
    """The meaning of bare numbers and names in this file."""

    units: Units = "in"
    sizes: Names = field(default_factory=dict)
    kinds: Mapping[str, Kind] = field(default_factory=dict)
    """What the sizes are, where that is known."""


Convert = Callable[[object, Meaning], object]


def is_formula(raw: object) -> bool:
    return isinstance(raw, str) and raw.lstrip().startswith("=")


def number(raw: object, meaning: Meaning, what: str = say("a number")) -> Number:
    """A bare number, exact; or the value of a formula."""
    if isinstance(raw, int) and not isinstance(raw, bool):
        if abs(raw) > LARGEST_NUMBER:
            raise BadValueError(say("the number is too large"))
        return Fraction(raw)
    if isinstance(raw, Decimal):
        return exact(raw)
    if isinstance(raw, str) and is_formula(raw):
        return evaluate(raw.strip()[1:], meaning.sizes)
    raise BadValueError(say("must be {what}, not {kind}", what=what, kind=kind_of(raw)))


def exact(raw: Decimal) -> Fraction:
    """A decimal as a fraction; refused when it isn't a number or is of absurd size."""
    if not raw.is_finite():
        raise BadValueError(say("must be an ordinary number"))
    if len(raw.as_tuple().digits) > _DIGITS or (raw and not -_DIGITS < raw.adjusted() < 10):
        raise BadValueError(say("the number is too large, or has too many digits"))
    return Fraction(raw)


def words(raw: object, what: str, longest: int = LONGEST_VALUE) -> str:
    """A string on one line."""
    if not isinstance(raw, str):
        raise BadValueError(say("must be {what} in quotes, not {kind}", what=what, kind=kind_of(raw)))
    if len(raw) > longest:
        raise BadValueError(say("is longer than {longest} characters", longest=longest))
    if not raw.isprintable():
        raise BadValueError(say("must be on one line, without control characters"))
    return raw.strip()


def name(raw: object, meaning: Meaning) -> str:
    found = words(raw, say("a name"), LONGEST_NAME)
    if not found:
        raise BadValueError(say("must not be empty"))
    return found


def note(raw: object, meaning: Meaning) -> str:
    """Free text; it may have several lines."""
    if not isinstance(raw, str):
        raise BadValueError(say("must be words in quotes, not {kind}", kind=kind_of(raw)))
    if len(raw) > LONGEST_NOTE:
        raise BadValueError(say("is longer than {longest_note} characters", longest_note=LONGEST_NOTE))
    if not all(character.isprintable() or character in "\n\t" for character in raw):
        raise BadValueError(say("has control characters in it"))
    return raw.strip()


def offset(raw: object, meaning: Meaning) -> Length:
    """A length that may be negative: a position measured from zero."""
    if isinstance(raw, str) and not is_formula(raw):
        text = words(raw, say("a length"))
        size = parse_length(text.removeprefix("-").removeprefix("−"), meaning.units)
        found = size if text[:1] not in ("-", "−") else -size
    else:
        found = Length.of(number(raw, meaning, say("a length")), meaning.units)
    return not_too_long(found)


def not_too_long(found: Length) -> Length:
    """The length itself, unless it is absurd."""
    # Compared as integers: a rack has thousands of lengths, and fractions are slow.
    if abs(found.mm.numerator) > LONGEST_LENGTH.mm.numerator * found.mm.denominator:
        raise BadValueError(say("is longer than 100 m"), say("is its unit right?"))
    return found


def length(raw: object, meaning: Meaning) -> Length:
    """A length of zero or more."""
    return not_negative(offset(raw, meaning))


def not_negative(found: Length) -> Length:
    """The length itself, unless it is less than zero."""
    if found.mm.numerator < 0:
        raise BadValueError(say("must not be less than zero"))
    return found


def positive_length(raw: object, meaning: Meaning) -> Length:
    found = length(raw, meaning)
    if not found:
        raise BadValueError(say("must be more than zero"))
    return found


def angle(raw: object, meaning: Meaning) -> Angle:
    """An angle in degrees."""
    if isinstance(raw, str) and not is_formula(raw):
        return parse_angle(words(raw, say("an angle")))
    return float(number(raw, meaning, say("an angle")))


def positive_angle(raw: object, meaning: Meaning) -> Angle:
    """An angle of more than 0 and less than 90 degrees."""
    found = angle(raw, meaning)
    if not 0 < found < 90:
        raise BadValueError(say("must be more than 0 and less than 90 degrees"))
    return found


def temperature(raw: object, meaning: Meaning) -> float:
    """Degrees Celsius, written as `"20 C"` or `"68 F"`; a bare number could be either."""
    text = words(raw, say("a temperature with its unit")).upper().replace("°", " ").split()
    if len(text) == 1 and text[0][-1] in "CF":
        text = [text[0][:-1], text[0][-1]]
    if len(text) != 2 or text[1] not in ("C", "F"):
        raise BadValueError(say("needs its unit"), say('such as "20 C" or "68 F"'))
    degrees = float(number(_decimal(text[0]), meaning, say("a temperature")))
    celsius = degrees if text[1] == "C" else (degrees - 32) / 1.8
    if not 0 <= celsius <= 60:
        raise BadValueError(say("is no temperature of a room"), say("from 0 to 60 °C"))
    return celsius


def kilograms(raw: object, meaning: Meaning) -> float:
    """Kilograms, written as `"40 kg"` or `"90 lb"` (a pound is 0.45359237 kg, international agreement of 1959)."""
    text = words(raw, say("a weight with its unit")).lower().split()
    if len(text) != 2 or text[1] not in ("kg", "lb"):
        raise BadValueError(say("needs its unit"), say('such as "40 kg" or "90 lb"'))
    found = float(number(_decimal(text[0]), meaning, say("a weight"))) * (1 if text[1] == "kg" else 0.45359237)
    if not 0 < found <= 5_000:
        raise BadValueError(say("must be more than 0 and at most 5,000 kg"))
    return found


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text)
    except ArithmeticError:
        raise BadValueError(say("'{text}' is not a number", text=text)) from None


def yes_or_no(raw: object, meaning: Meaning) -> bool:
    if not isinstance(raw, bool):
        raise BadValueError(say("must be true or false, not {kind}", kind=kind_of(raw)))
    return raw


def angle_within(most: float, least: float = 0) -> Callable[[object, Meaning], Angle]:
    """A reader of angles from `least` to `most` degrees."""

    def within(raw: object, meaning: Meaning) -> Angle:
        found = angle(raw, meaning)
        if not least <= found <= most:
            raise BadValueError(say("must be from {least:g} to {most:g} degrees", least=least, most=most))
        return found

    return within


def count_within(least: int, most: int) -> Callable[[object, Meaning], int]:
    """A reader of whole numbers. A formula's result may be off by the rounding of its trigonometry."""

    def within(raw: object, meaning: Meaning) -> int:
        found = number(raw, meaning, say("a whole number"))
        whole = round(found)
        if not -1e-9 < found - whole < 1e-9:
            raise BadValueError(say("must be a whole number"))
        if not least <= whole <= most:
            raise BadValueError(say("must be from {least} to {most}", least=least, most=most))
        return whole

    return within


def money(raw: object, meaning: Meaning) -> Decimal:
    """A price as written; the result of a formula is rounded to cents."""
    found = number(raw, meaning, say("a price"))
    if found < 0:
        raise BadValueError(say("must not be less than zero"))
    if found > LARGEST_NUMBER:
        raise BadValueError(say("is too large"))
    if isinstance(raw, int | Decimal):
        return Decimal(raw)
    return cents(Fraction(found))


def cents(amount: Fraction) -> Decimal:
    """Rounded to the nearest hundredth, halves up."""
    return Decimal(int(amount * 100 + Fraction(1, 2))).scaleb(-2)


def span(raw: object, meaning: Meaning) -> Span:
    """A time with its unit: more than zero and at most a year."""
    if not isinstance(raw, str):
        raise BadValueError(
            say("must be a time in quotes, not {kind}", kind=kind_of(raw)), say('such as "45 min" or "24 h"')
        )
    return at_most_a_year(parse_span(words(raw, say("a time"))))


def at_most_a_year(found: Span) -> Span:
    """The time itself, unless it is absurd."""
    if not 0 < found.seconds <= 366 * 86400:
        raise BadValueError(say("must be more than zero and at most a year"))
    return found


def kind_of(raw: object) -> str:
    """A plain name for a TOML value of the wrong kind."""
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, int | Decimal):
        return say("a number")
    if isinstance(raw, str):
        return f"'{raw}'" if len(raw) <= LONGEST_VALUE and raw.isprintable() else "words"
    if isinstance(raw, list):
        return say("a list")
    return say("a { } group") if isinstance(raw, dict) else say("a date")
