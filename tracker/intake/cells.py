"""What a cell means: a length with or without a unit, a count, a fraction that a spreadsheet took for a date."""

from __future__ import annotations

import datetime
import re
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from tracker.intake.sheets import Cell
from tracker.measure.length import parse_length

Unit = Literal["", "in", "mm", "cm", "m", "ft"]
"""A unit as written; "" where there is none."""
MM: dict[str, Fraction] = {
    "in": Fraction(254, 10), "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "ft": Fraction(3048, 10)
}  # fmt: skip
_NAMES: dict[str, Unit] = {
    "mm": "mm", "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in", "zoll": "in",
    "pouces": "in", "pollici": "in", "pulgadas": "in", "tum": "in", "ft": "ft", "feet": "ft", "'": "ft",
}  # fmt: skip
_UNIT_IN_WORDS = re.compile(
    r"(?i)(?:\(|\[|\bin\s|\b|/)\s*(mm|cm|m|inch|inches|in|ft|feet|zoll|pouces|pollici|pulgadas|tum|\"|″|')\s*(?:\)|\]|\.|$)"
)
_OWN_UNIT = re.compile(r"(?i)(mm|cm|m|in|inch|inches|ft|\"|')\.?$")
_SIGNS = str.maketrans({"\u00a0": " ", "\u2009": " ", "\u202f": " ", "”": '"', "“": '"', "″": '"', "’": "'", "′": "'"})
_COUNT = re.compile(r"(?i)\s*(\d{1,3})(?:[.,]0+)?\s*(?:x|off|pcs?\.?|stk?\.?|st\.?|pz\.?|uds?\.?|pieces)?\s*$")
_NOTHING = ("", "-", "—", "–", "n/a", "none")


def text_of(cell: Cell) -> str:
    """The cell as text; empty for an empty cell."""
    return "" if cell is None else str(cell).strip()


def is_blank(cell: Cell) -> bool:
    return text_of(cell).lower() in _NOTHING


def unit_in(words: str) -> Unit:
    """The unit at the end of a heading such as `Length (mm)` or `Width in.`; "" where there is none."""
    found = _UNIT_IN_WORDS.search(words.strip())
    return _NAMES[found[1].lower()] if found else ""


def unit_named(words: str) -> Unit:
    """The unit in a cell of its own, as in a column of units."""
    return _NAMES.get(words.strip().lower().rstrip("."), "")


def count_of(cell: Cell) -> int | None:
    """`4`, `4.0`, `4x`, `4 off`, `4 Stk.`; None for anything else."""
    found = _COUNT.match(text_of(cell))
    return int(found[1]) if found else None


def length_of(cell: Cell, unit: Unit, decimal_comma: bool = False) -> tuple[Fraction, str]:
    """The length in millimetres, exact, and a remark where the cell had to be interpreted.

    A unit in the cell overrides the column's; without either the length is in inches. Raises ValueError, with a
    sentence, when the cell isn't a length.
    """
    if isinstance(cell, datetime.datetime | datetime.date):
        return _date(cell, unit)
    if isinstance(cell, bool) or is_blank(cell):
        raise ValueError("is empty")
    if isinstance(cell, int | float):
        return _number(cell, unit)
    return _written(text_of(cell), unit, decimal_comma)


@lru_cache(maxsize=4096)
def _written(text: str, unit: Unit, decimal_comma: bool) -> tuple[Fraction, str]:
    """A length in words; the same words come again and again in a list."""
    text = text.translate(_SIGNS)
    if text.startswith("="):
        raise ValueError("is a formula, which isn't worked out here")
    if decimal_comma:
        text = re.sub(r"(?<=\d)\.(?=\d{3}\b)", "", text).replace(",", ".")
    elif re.fullmatch(r"\d{1,3}(,\d{3})+(\.\d+)?(\D.*)?", text):
        text = text.replace(",", "")
    elif re.match(r"\d+,\d{1,2}(\D|$)", text):
        text = text.replace(",", ".")
    text = re.sub(r"(?i)\binch(es)?\b\.?$", "in", text)
    if _OWN_UNIT.search(text):
        return parse_length(text.rstrip("."), "in").mm, ""
    if unit in ("cm", "m", "ft"):
        return parse_length(f"{text} {unit}", "mm").mm, ""
    return parse_length(text, "mm" if unit == "mm" else "in").mm, ""


def _number(value: float, unit: Unit) -> tuple[Fraction, str]:
    """Clean up a float: a spreadsheet's 0.30000000000000004 becomes 0.3, the nearest 1/6400 in or hundredth of a
    millimetre if it is near."""
    if not -1e7 < value < 1e7:
        raise ValueError("is too large for a length")
    finest = 6400 if unit in ("in", "ft", "") else 100
    near = Fraction(value).limit_denominator(finest)
    remark = ""
    if abs(float(near) - value) > 1e-6 * max(1.0, abs(value)):
        near, remark = Fraction(repr(value)), "is on no mark of a tape"
    return near * MM[unit or "in"], remark


def _date(day: datetime.datetime | datetime.date, unit: Unit) -> tuple[Fraction, str]:
    """A date read back as a fraction: 3/4 typed into a spreadsheet becomes the fourth of March, and 1/16 the first of
    January 2016."""
    as_year = day.day == 1 and day.year % 100 in (16, 32, 64)
    text = f"{day.month}/{day.year % 100}" if as_year else f"{day.month}/{day.day}"
    other = "" if as_year else f", or {day.day}/{day.month}?"
    found = parse_length(f"{text} in" if unit in ("in", "") else f"{text} {unit}", "in").mm
    return found, f"the spreadsheet made a date of it: read as {text}{other}"
