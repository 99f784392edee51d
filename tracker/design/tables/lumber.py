"""Nominal sizes of lumber, their actual sizes, and the volume they are sold as.

Softwood boards and dimension lumber, dry (19 % or less) and green: American Softwood Lumber Standard sizes (PS 20); the
dry 5/4 and 6/4, the green sizes other than 2 x 4, and timbers of 5 in and more from memory. Hardwood surfaced on two
sides (S2S) or one (S1S): the hardwood surfacing table of a general engineering reference; 10/4 from memory. Hardwood
sold surfaced on four sides ("4/4 x 6") is 3/4 thick and as wide as softwood: trade custom, from memory. European sawn
sizes at 20 % moisture: EN 1313-1 (softwood) and EN 1313-2 (hardwood), from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

from tracker.design.errors import BadValueError
from tracker.design.name_lookup import nearest
from tracker.measure import Length, inches, millimetres

Stock = Literal["softwood", "hardwood S4S", "hardwood S2S", "hardwood S1S", "sawn"]

_WIDTHS = {
    "1": ("1", "2", "3", "4", "6", "8", "10", "12"),
    "5/4": ("2", "3", "4", "6", "8", "10", "12"),
    "6/4": ("2", "3", "4", "6", "8", "10", "12"),
    "2": ("2", "3", "4", "6", "8", "10", "12", "14"),
    "3": ("3", "4", "6", "8", "10", "12", "14", "16"),
    "4": ("4", "6", "8", "10", "12", "14", "16"),
}
_TIMBERS = {"5": ("5", "6", "8"), "6": ("6", "8", "10", "12"), "8": ("8", "10", "12")}
_GREEN = {
    "1": "25/32", "2": "1 9/16", "3": "2 9/16", "4": "3 9/16", "6": "5 5/8", "8": "7 1/2", "10": "9 1/2",
    "12": "11 1/2", "14": "13 1/2", "16": "15 1/2",
}  # fmt: skip
_THIN = {"3/8": "3/16", "1/2": "5/16", "5/8": "7/16", "3/4": "9/16"}
_SURFACED = {
    "4/4": "13/16", "5/4": "1 1/16", "6/4": "1 5/16", "7/4": "1 1/2", "8/4": "1 3/4", "10/4": "2 1/4",
    "12/4": "2 3/4", "14/4": "3 1/4", "16/4": "3 3/4",
}  # fmt: skip
_ONE_SIDE = ("1/2", "5/8", "3/4", "4/4", "5/4", "6/4", "8/4", "12/4", "16/4")
_SAWN_SOFTWOOD = (
    (16, 19, 22, 25, 32, 38, 44, 47, 50, 63, 75, 100),
    (75, 100, 115, 125, 150, 175, 200, 225, 250, 275, 300),
)
_SAWN_HARDWOOD = (19, 20, 25, 26, 27, 32, 38, 40, 50, 52, 60, 63, 65, 70, 75, 80, 100)
"""The thicknesses of EN 1313-2, and 19, 25, 26, 38, 52, 63 and 75 mm of the British and import trade."""
_CROSS = re.compile(r"\s*[x×X]\s*")
_UNIT = re.compile(r"\s*(in|mm|\")\Z")


class Section(Struct, frozen=True):
    """What a nominal size means; nominal sizes in inches.

    `width` and `nominal_width` are None for hardwood by its thickness, which comes in random widths.
    """

    name: str
    thickness: Length
    width: Length | None
    nominal_thickness: Fraction
    nominal_width: Fraction | None
    stock: Stock

    def board_feet(self, width: Length, length: Length) -> Fraction:
        """Board feet of a board of this section, by its nominal size: 144 cubic inches each. Stock under 1 in counts as
        1 in.

        `width` is used where the section has none. (Wood Handbook; grading rules, from memory.)
        """
        return self._sold_thick * self._sold_wide(width) * length.per("in") / 144

    def tally(self, width: Length, length: Length) -> Fraction:
        """Board feet as a dealer tallies them board by board: the surface measure times the thickness."""
        return self._sold_thick * surface_measure(self._sold_wide(width), length.per("in") / 12)

    @property
    def _sold_thick(self) -> Fraction:
        return max(self.nominal_thickness, Fraction(1))

    def _sold_wide(self, width: Length) -> Fraction:
        return self.nominal_width or width.per("in")


def surface_measure(width_in: Fraction, length_ft: Fraction) -> int:
    """The area of a board's face in whole square feet; a half is rounded to the even number. (Grading rules, from
    memory.)"""
    return round(width_in * length_ft / 12)


def dressed(nominal: Fraction) -> Fraction:
    """The dressed, dry size of softwood with a nominal thickness or width in inches: 1/4 less under 2 in, 1/2 less
    under 8 in, 3/4 less from 8 in up. (American Softwood Lumber Standard.)"""
    return nominal - (Fraction(1, 4) if nominal < 2 else Fraction(1, 2) if nominal < 8 else Fraction(3, 4))


def _sections() -> Iterator[Section]:
    for thick, widths in _WIDTHS.items():
        for wide in widths:
            yield _crossed(thick, wide, "softwood", dressed(Fraction(thick)), dressed(Fraction(wide)))
            if thick in _GREEN and wide in _GREEN and wide != "1":
                yield _green(f"{thick}x{wide} green", thick, wide, inches(_GREEN[thick]), inches(_GREEN[wide]))
    for thick, widths in _TIMBERS.items():  # dressed green, 1/2 in less
        for wide in widths:
            half = inches("1/2")
            yield _green(f"{thick}x{wide}", thick, wide, inches(thick) - half, inches(wide) - half)
    for wide in _WIDTHS["1"][1:]:
        yield _crossed("4/4", wide, "hardwood S4S", dressed(Fraction(1)), dressed(Fraction(wide)))
    yield from _surfaced()
    thicknesses, widths_mm = _SAWN_SOFTWOOD
    for mm in thicknesses:
        for wide_mm in widths_mm:
            yield _sawn(f"{mm}x{wide_mm}", mm, wide_mm)
    for mm in _SAWN_HARDWOOD:
        yield _sawn(f"{mm} mm", mm, None)


def _crossed(thick: str, wide: str, stock: Stock, thickness: Fraction, width: Fraction) -> Section:
    name = f"{thick}x{wide}"
    return Section(name, inches(thickness), inches(width), Fraction(thick), Fraction(wide), stock)


def _green(name: str, thick: str, wide: str, thickness: Length, width: Length) -> Section:
    return Section(name, thickness, width, Fraction(thick), Fraction(wide), "softwood")


def _surfaced() -> Iterator[Section]:
    """Names of thin stock must say how it is surfaced: `3/4` alone would be read as the actual size."""
    for rough, thickness in {**_THIN, **_SURFACED}.items():
        two_sides = inches(thickness)
        for name in (f"{rough} S2S", rough) if rough in _SURFACED else (f"{rough} S2S",):
            yield Section(name, two_sides, None, Fraction(rough), None, "hardwood S2S")
        if rough in _ONE_SIDE:
            one_side = two_sides + inches("1/16")
            yield Section(f"{rough} S1S", one_side, None, Fraction(rough), None, "hardwood S1S")


def _sawn(name: str, thick: int, wide: int | None) -> Section:
    thickness, width = millimetres(thick), millimetres(wide) if wide else None
    return Section(name, thickness, width, thickness.per("in"), width.per("in") if width else None, "sawn")


@cache
def sections() -> dict[str, Section]:
    """All sections by name. Made on first use, since many builds name none."""
    return {section.name: section for section in _sections()}


@cache
def _by_folded_name() -> dict[str, Section]:
    return {name.casefold(): section for name, section in sections().items()}


def section_named(written: str) -> Section:
    """The section of a nominal size: `1x6`, `2 x 4`, `2x4 green`, `5/4x6`, `8/4`, `3/4 S2S`, `25x150`, `27 mm`.

    Raises BadValueError.
    """
    plain = _CROSS.sub("x", written.strip()).casefold()
    bare = _UNIT.sub("", plain)
    unit = plain.removeprefix(bare).strip()
    by_name = _by_folded_name()
    found = by_name.get(bare) or (by_name.get(f"{bare} mm") if unit == "mm" else None)
    # 2x4 mm isn't a 2x4, and 25x150 in isn't a board
    if found is None or (unit and (unit == "mm") != (found.stock == "sawn")):
        raise BadValueError(f"no nominal size is called '{written}'", _hint(bare))
    return found


def _hint(plain: str) -> str:
    if f"{plain} S2S" in sections():
        return f'rough hardwood of that size is "{plain} S2S"; or give thickness and width'
    thick, crossed, _ = plain.partition("x")
    alike = [name for name in sections() if name.startswith(f"{thick}x") and "green" not in name]
    if crossed and alike:
        return f"there are {', '.join(alike)}; or give thickness and width"
    return nearest(plain, sections()) or 'such as "1x6", "2x4", "5/4x6" or "8/4"; or give thickness and width'
