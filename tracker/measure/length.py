"""Exact lengths.

A length is a rational number of millimetres. An inch is 25.4 mm (International yard and pound agreement, 1959), so
every mark of an inch or millimetre tape is exact.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from tracker.words import say

Units = Literal["in", "mm"]

MM_PER_INCH = Fraction(254, 10)
GRID = 320
"""Grid lines in a millimetre. 1/64 in is 127 of them and 0.1 mm is 32, so the marks of both tapes are on the grid."""


class Length(Struct, frozen=True, order=True):
    """An exact length. `mm` is in millimetres; remainders and offsets may be negative."""

    mm: Fraction

    def __add__(self, other: Length) -> Length:
        return Length(self.mm + other.mm)

    def __sub__(self, other: Length) -> Length:
        return Length(self.mm - other.mm)

    def __neg__(self) -> Length:
        return Length(-self.mm)

    def __abs__(self) -> Length:
        return Length(abs(self.mm))

    def __mul__(self, times: int | Fraction) -> Length:
        return Length(self.mm * times)

    __rmul__ = __mul__

    def __truediv__(self, by: int | Fraction) -> Length:
        return Length(self.mm / by)

    def __bool__(self) -> bool:
        return bool(self.mm)

    def __float__(self) -> float:
        """The length in millimetres."""
        return float(self.mm)

    def per(self, units: Units) -> Fraction:
        """The length as a number of `units`."""
        return self.mm / MM_PER_INCH if units == "in" else self.mm

    def grid_up(self) -> int:
        """Whole 1/320 mm, rounded up: used for what a blank needs."""
        return math.ceil(self.mm * GRID)

    def grid_down(self) -> int:
        """Whole 1/320 mm, rounded down: used for what a board is sure to have."""
        return math.floor(self.mm * GRID)

    @classmethod
    def of(cls, number: int | float | Fraction, units: Units) -> Length:
        """The length for a bare number in `units`. A float counts as the exact value it holds."""
        exact = number if isinstance(number, Fraction) else Fraction(number)
        return cls(exact * MM_PER_INCH) if units == "in" else cls(exact)


ZERO = Length(Fraction(0))


def inches(number: int | float | Fraction | str) -> Length:
    """`inches("23 5/8")`, `inches(23.625)`."""
    return parse_length(number, "in") if isinstance(number, str) else Length.of(number, "in")


def millimetres(number: int | float | Fraction) -> Length:
    """`millimetres(600)`."""
    return Length.of(number, "mm")


def of_grid(number: int) -> Length:
    """The length for a number of whole 1/320 mm, as facts store it."""
    return Length.of(number, "mm") / GRID


_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
    "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅒": "1/10",
}  # fmt: skip
_SIGNS = str.maketrans(
    {"⁄": "/", "″": '"', "”": '"', "′": "'", "’": "'", "\u2009": " ", "\u202f": " ", "\u00a0": " ", "‐": "-", "–": "-"}
)
_LONGEST = 60
"""Characters. A longer text isn't a length, and would only make a long error message."""
_FOOT = MM_PER_INCH * 12
_UNIT = {
    '"': MM_PER_INCH,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    "'": _FOOT,
    "ft": _FOOT,
    "foot": _FOOT,
    "feet": _FOOT,
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}
# Digits are bounded: a length of twenty digits is a typing slip, and unbounded integers are a way to attack.
_NUMBER = (
    r"(?:(?P<whole>[0-9]{1,9})(?:[ ]+|[ ]*-[ ]*)(?P<num>[0-9]{1,6})/(?P<den>[0-9]{1,6})"
    r"|(?P<num2>[0-9]{1,6})/(?P<den2>[0-9]{1,6})"
    r"|(?P<dec>[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}))"
)
_TERM = re.compile(rf"\s*{_NUMBER}\s*(?P<unit>[A-Za-z]+\.?|\"|')?\s*")
_AFTER_FEET = re.compile(r"-\s*(?=[0-9.])")
"""The dash of `1'-11 5/8"`."""


def parse_length(text: str, units: Units) -> Length:
    """Read one length as written on a cut list, e.g. `23 5/8`, `1' 11 5/8"`, `1'-11 5/8"`, `600 mm`, `23⅝`.

    A number without a unit is in `units`. Raises ValueError, with a sentence for the user, when the text can't be read.
    """
    if len(text) > _LONGEST:
        raise ValueError(say("this is too long for a length"))
    plain = text.translate(_SIGNS).replace("''", '"')
    for sign, fraction in _VULGAR.items():
        plain = plain.replace(sign, f" {fraction} ")
    plain = plain.strip()
    if not plain:
        raise ValueError(say("a length is missing"))
    total = Fraction(0)
    at = 0
    seen: list[Fraction] = []
    while at < len(plain):
        term = _TERM.match(plain, at)
        if term is None or term.end() == at:
            raise ValueError(say("can't read {text!r} as a length", text=text))
        if term["unit"] is None and (seen or term.end() < len(plain)):
            raise ValueError(say("can't read {text!r} as a length: one of its numbers has no unit", text=text))
        scale = _scale(term["unit"], text, seen, units)
        total += _value(term, text) * scale
        seen.append(scale)
        at = term.end()
        dash = _AFTER_FEET.match(plain, at) if scale == _FOOT and term["unit"] else None
        at = dash.end() if dash else at
    return Length(total)


def _scale(unit: str | None, text: str, seen: list[Fraction], units: Units) -> Fraction:
    if unit is None:
        return MM_PER_INCH if units == "in" else Fraction(1)
    name = unit.rstrip(".")
    scale = _UNIT.get(name.lower() if name != "M" else name)
    if scale is None:
        raise ValueError(say("{unit!r} is not a unit of length", unit=unit))
    if seen and scale >= seen[-1]:  # 5 in 3 ft, 4 in 4 in
        raise ValueError(say("can't read {text!r} as a length: units must get smaller", text=text))
    return scale


def _value(term: re.Match[str], text: str) -> Fraction:
    if term["dec"] is not None:
        return Fraction(term["dec"])
    num, den = term["num"] or term["num2"], term["den"] or term["den2"]
    if int(den) == 0:
        raise ValueError(say("{text!r} divides by zero", text=text))
    return Fraction(term["whole"] or 0) + Fraction(int(num), int(den))
