"""How a length reads on a tape and an angle on a scale. Rounding happens only here."""

from __future__ import annotations

from fractions import Fraction
from math import floor

from msgspec import Struct

from tracker.measure.angle import Angle
from tracker.measure.length import MM_PER_INCH, Length, Units
from tracker.words import say

THIN = "\u2009"
SLASH = "\u2044"
MINUS = "\u2212"


class Mark(Struct, frozen=True):
    """The finest mark that a person uses on the tape: 1/16 of an inch, 1 mm, ..."""

    units: Units
    step: Fraction

    @property
    def length(self) -> Length:
        return Length.of(self.step, self.units)

    def __str__(self) -> str:
        if self.units == "in":
            return f"{self.step.numerator}/{self.step.denominator} in"
        return f"{_decimal(self.step)} mm"


SIXTEENTH = Mark("in", Fraction(1, 16))
SIXTY_FOURTH = Mark("in", Fraction(1, 64))
MILLIMETRE = Mark("mm", Fraction(1))
MARKS = (
    Mark("in", Fraction(1, 8)),
    SIXTEENTH,
    Mark("in", Fraction(1, 32)),
    SIXTY_FOURTH,
    MILLIMETRE,
    Mark("mm", Fraction(1, 2)),
)


FINEST = {"in": SIXTY_FOURTH, "mm": Mark("mm", Fraction(1, 10))}
"""The finest step that can still be set on a machine, in each system: finer than most tapes."""


SEEN_INCH = Fraction(1, 100)
"""Inches. A remainder smaller than this isn't shown on an inch tape."""


class Reading(Struct, frozen=True):
    """A length as the tape shows it.

    `whole`, `numerator` and `denominator` are what is drawn (0/1 when there is no fraction). `left_over` is the exact
    length minus what is shown: positive when the piece is longer than the mark.
    """

    units: Units
    negative: bool
    whole: int
    numerator: int
    denominator: int
    left_over: Length
    mark: Mark

    @property
    def sign(self) -> str:
        return MINUS if self.negative else ""

    @property
    def unit_sign(self) -> str:
        return "″" if self.units == "in" else "mm"

    @property
    def digits(self) -> str:
        """The number alone, typeset: `23 5⁄8` with a fraction slash, or `600.5`."""
        if self.units == "mm":
            return self.sign + _decimal(self.whole + Fraction(self.numerator, self.denominator))
        if not self.numerator:
            return f"{self.sign}{self.whole}"
        fraction = f"{self.numerator}{SLASH}{self.denominator}"
        return f"{self.sign}{self.whole}{THIN}{fraction}" if self.whole else f"{self.sign}{fraction}"

    @property
    def text(self) -> str:
        """For screens: `23 5⁄8″`, `600 mm`."""
        return f"{self.digits}″" if self.units == "in" else f"{self.digits} mm"

    @property
    def plain(self) -> str:
        """For files and terminals: `23 5/8"`, `600 mm`."""
        return plain_words(self.text)

    @property
    def hair(self) -> str:
        """The remainder in words: `0.2 mm over`, `a hair over (1⁄64″)`; empty when it is too small to see."""
        return hair_words(self.left_over, self.units)


def plain_words(text: str) -> str:
    """Screen text in plain characters for files and terminals: no typographic space, slash, inch mark or minus."""
    return text.replace(THIN, " ").replace(SLASH, "/").replace("″", '"').replace(MINUS, "-")


def hair_words(left_over: Length, units: Units) -> str:
    """How far a piece is over or under the mark that is shown; empty when nobody could see the difference.

    In tenths of a millimetre from 0.05 mm up; in inches from 1/100 in up, to the nearest 1/64.
    """
    small, over = small_words(left_over, units), left_over.mm > 0
    if units == "in":
        if abs(left_over.per("in")) < SEEN_INCH:
            return ""
        return say("a hair over ({length})", length=small) if over else say("a hair under ({length})", length=small)
    if not round(abs(left_over.mm) * 10):
        return ""
    return say("{length} over", length=small) if over else say("{length} under", length=small)


def small_words(length: Length, units: Units) -> str:
    """A length smaller than the tape's marks: to 0.1 mm, or to the nearest 1/64 in, but at least 1/64."""
    if units == "mm":
        return f"{_decimal(Fraction(round(abs(length.mm) * 10), 10))} mm"
    sixty_fourths = max(1, round(abs(length.per("in")) * 64))
    return read_length(Length.of(Fraction(sixty_fourths, 64), "in"), SIXTY_FOURTH).text


def read_as_written(length: Length, mark: Mark) -> Reading:
    """Read a length that a maker wrote down for a machine: on the shop's mark, or on the coarsest finer mark that shows
    it exactly, down to 1/64 in or 0.1 mm. So `1/64` doesn't become `0″`."""
    reading = read_length(length, mark)
    if reading.left_over.mm == 0:
        return reading
    finest, step = FINEST[mark.units].step, mark.step
    while step > finest:
        step = max(step / 2, finest)
        finer = read_length(length, Mark(mark.units, step))
        if finer.left_over.mm == 0:
            return finer
    return reading


def read_length(length: Length, mark: Mark) -> Reading:
    """The nearest mark of the tape, and the remainder. Halves go to the longer mark, because wood can be trimmed."""
    steps = abs(length.mm) / mark.length.mm
    count = int(steps + Fraction(1, 2))
    shown = count * mark.step
    negative = length.mm < 0 and count > 0
    whole, rest = divmod(shown, 1)
    exact = Length.of(-shown if negative else shown, mark.units)
    return Reading(mark.units, negative, int(whole), rest.numerator, rest.denominator, Length(length.mm) - exact, mark)


def read_angle(angle: Angle, step: float = 0.1) -> str:
    """Degrees to the finest step of the scale, without a trailing zero: `15`, `28.9`, never `-0`.

    `step` is the scale's: 0.1, 0.25, 0.5 or 1. Halves are rounded away from zero.
    """
    mark = Fraction(str(step))
    count = floor(abs(Fraction(angle)) / mark + Fraction(1, 2))
    text = _decimal(-count * mark if angle < 0 else count * mark)
    return text.replace("-", MINUS)


def feet_and_inches(length: Length, mark: Mark = SIXTEENTH) -> str:
    """`1′ 11 5⁄8″`; under a foot, inches alone."""
    inch_mark = mark if mark.units == "in" else SIXTEENTH
    reading = read_length(length, inch_mark)
    feet, whole = divmod(reading.whole, 12)
    if not feet:
        return reading.text
    rest = Reading("in", False, whole, reading.numerator, reading.denominator, reading.left_over, inch_mark)
    inch = f" {rest.text}" if whole or reading.numerator else ""
    return f"{reading.sign}{feet}′{inch}"


def _decimal(number: Fraction | int) -> str:
    """A decimal without trailing zeros: 600, 600.5, 0.25."""
    exact = Fraction(number)
    if exact.denominator == 1:
        return str(exact.numerator)
    return f"{float(exact):.4f}".rstrip("0").rstrip(".")


__all__ = [
    "MARKS",
    "MILLIMETRE",
    "MM_PER_INCH",
    "SIXTEENTH",
    "SIXTY_FOURTH",
    "Mark",
    "Reading",
    "feet_and_inches",
    "hair_words",
    "read_angle",
    "read_length",
    "small_words",
]
