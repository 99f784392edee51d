"""Nominal sizes of lumber and what they measure once dressed.

Softwood boards and dimension lumber, dry (19 % or less): American Softwood Lumber Standard sizes (PS 20); the rows for
5/4 and 6/4 from memory. Hardwood by quarters, surfaced two sides (S2S): the hardwood S1S/S2S surfacing table of a
general engineering reference; 10/4 from memory. Hardwood that is sold surfaced on four sides ("4/4 x 6") is 3/4 thick
and as wide as softwood: trade custom, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from tracker.design.errors import BadValueError
from tracker.design.formulas import nearest
from tracker.measure import Length, inches

_DRESSED = {
    "1": "3/4", "5/4": "1", "6/4": "1 1/4", "2": "1 1/2", "3": "2 1/2", "4": "3 1/2", "6": "5 1/2", "8": "7 1/4",
    "10": "9 1/4", "12": "11 1/4", "14": "13 1/4", "16": "15 1/4",
}  # fmt: skip
_WIDTHS = {
    "1": ("1", "2", "3", "4", "6", "8", "10", "12"),
    "5/4": ("2", "3", "4", "6", "8", "10", "12"),
    "6/4": ("2", "3", "4", "6", "8", "10", "12"),
    "2": ("2", "3", "4", "6", "8", "10", "12", "14"),
    "3": ("3", "4", "6", "8", "10", "12", "14", "16"),
    "4": ("4", "6", "8", "10", "12", "14", "16"),
}
_SURFACED = {
    "4/4": "13/16", "5/4": "1 1/16", "6/4": "1 5/16", "7/4": "1 1/2", "8/4": "1 3/4", "10/4": "2 1/4",
    "12/4": "2 3/4", "14/4": "3 1/4", "16/4": "3 3/4",
}  # fmt: skip
_CROSS = re.compile(r"\s*[x×X]\s*")


@dataclass(frozen=True, slots=True)
class Section:
    """What a nominal size means. `width` and `nominal_width` are None for hardwood by quarters, of random width."""

    name: str
    thickness: Length
    width: Length | None
    nominal_thickness: Fraction
    nominal_width: Fraction | None


def _sections() -> dict[str, Section]:
    known: dict[str, Section] = {}
    for thick, widths in _WIDTHS.items():
        for wide in widths:
            known[f"{thick}x{wide}"] = Section(
                f"{thick}x{wide}", inches(_DRESSED[thick]), inches(_DRESSED[wide]), Fraction(thick), Fraction(wide)
            )
    for wide in _WIDTHS["1"][1:]:
        four_sides = known[f"1x{wide}"]
        known[f"4/4x{wide}"] = Section(
            f"4/4x{wide}", four_sides.thickness, four_sides.width, Fraction(1), Fraction(wide)
        )
    # a 1x1 is 3/4 square, and a 2x2 1 1/2 square: below 2 in the thickness rule holds for the width too
    for quarters, surfaced in _SURFACED.items():
        known[quarters] = Section(quarters, inches(surfaced), None, Fraction(quarters), None)
    return known


SECTIONS = _sections()


def section_named(written: str) -> Section:
    """The section of a nominal size: `1x6`, `2 x 4`, `5/4x6`, `8/4`. Raises BadValueError."""
    plain = _CROSS.sub("x", written.strip().removesuffix("in").removesuffix('"').strip())
    if plain in SECTIONS:
        return SECTIONS[plain]
    hint = nearest(plain, SECTIONS) or 'such as "1x6", "2x4", "5/4x6" or "8/4"; or give thickness and width'
    raise BadValueError(f"no nominal size is called '{written}'", hint)
