"""Label sheets and rolls: the positions of the labels, and the size of the code.

The names are our own: the paper, then columns by rows. The measures are those of common die-cut sheets (common
practice, no source): measure a sheet of your own with a rule against the measuring page before printing on it.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.paper.qr import ACROSS, MODULES
from tracker.words import say

INCH = 25.4
DPIS = (203, 300, 600)
"""Resolutions of label and office printers."""
GOOD_SIDE = 20.0
"""The side of a code, in millimetres without its quiet zone, that reads well through dust at arm's length."""
EDGE = 0.5
"""Kept free between the quiet zone and the cut, because paper shifts in the printer."""
CAPTION = 3.4
"""The room under the code for the same characters in plain type."""


class Sheet(Struct, frozen=True, kw_only=True):
    """A page of equal labels. All measures are in millimetres, from the top left corner of the page."""

    name: str
    words: str
    page: tuple[float, float]
    columns: int
    rows: int
    label: tuple[float, float]
    first: tuple[float, float] = (0.0, 0.0)
    """The top left corner of the first label."""
    pitch: tuple[float, float] = (0.0, 0.0)
    """The distance from one label to the next, across and down."""

    @property
    def places(self) -> int:
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """The top left corner of place 0, 1, …, counted in rows from the top left."""
        row, column = divmod(place, self.columns)
        return self.first[0] + column * self.pitch[0], self.first[1] + row * self.pitch[1]

    def module_dots(self, dpi: int) -> int:
        """Whole printer dots per module: the fewest that make the code readable, or as many as the label has room for.

        At most half of the label's width is used for the code.
        """
        dot = INCH / dpi
        wanted = -int(-GOOD_SIDE // (MODULES * dot))
        room = min(self.label[0] / 2, self.label[1] - 2 * EDGE)
        return max(1, min(wanted, int(room / (ACROSS * dot))))

    def code_side(self, dpi: int) -> float:
        """The side of the printed code without its quiet zone."""
        return MODULES * self.module_dots(dpi) * INCH / dpi

    def small_code(self, dpi: int) -> bool:
        """Whether the label is too small for a code that reads well through dust."""
        return self.code_side(dpi) < GOOD_SIDE


def _letter(columns: int, rows: int, label: tuple[float, float], first: tuple[float, float], across: float) -> Sheet:
    """US letter, measures in inches; the labels touch from row to row."""
    return Sheet(
        name=f"letter-{columns}x{rows}",
        words=say(
            "Letter, {count} labels of {width:g} × {height:.3g} in",
            count=columns * rows,
            width=label[0],
            height=label[1],
        ),
        page=(8.5 * INCH, 11 * INCH),
        columns=columns,
        rows=rows,
        label=(label[0] * INCH, label[1] * INCH),
        first=(first[0] * INCH, first[1] * INCH),
        pitch=(across * INCH, label[1] * INCH),
    )


def _a4(columns: int, rows: int, label: tuple[float, float], first: tuple[float, float], across: float) -> Sheet:
    """A4, measures in millimetres; the labels touch from row to row."""
    return Sheet(
        name=f"a4-{columns}x{rows}",
        words=say(
            "A4, {count} labels of {width:g} × {height:g} mm", count=columns * rows, width=label[0], height=label[1]
        ),
        page=(210.0, 297.0),
        columns=columns,
        rows=rows,
        label=label,
        first=first,
        pitch=(across, label[1]),
    )


def _roll(width: float, height: float) -> Sheet:
    """One label per page."""
    return Sheet(
        name=f"roll-{width:g}x{height:g}",
        words=say("Roll, labels of {width:g} × {height:g} mm", width=width, height=height),
        page=(width, height),
        columns=1,
        rows=1,
        label=(width, height),
    )


SHEETS: tuple[Sheet, ...] = (
    _letter(2, 5, (4, 2), (5 / 32, 0.5), 4 + 3 / 16),
    _letter(2, 7, (4, 4 / 3), (5 / 32, 5 / 6), 4 + 3 / 16),
    _letter(3, 10, (2.625, 1), (3 / 16, 0.5), 2.75),
    _a4(2, 4, (99.1, 67.7), (4.65, 13.1), 101.6),
    _a4(2, 7, (99.1, 38.1), (4.65, 15.15), 101.6),
    _a4(3, 7, (63.5, 38.1), (7.2, 15.15), 66.05),
    _a4(3, 8, (70.0, 37.0), (0.0, 0.5), 70.0),
    _a4(4, 10, (48.5, 25.4), (8.0, 21.5), 48.5),
    _roll(57, 32),
    _roll(62, 40),
    _roll(102, 51),
)
DEFAULT_LETTER = "letter-2x7"
DEFAULT_A4 = "a4-2x7"


def sheet_named(name: str) -> Sheet:
    """The sheet of that name. Raises ValueError, with the existing names, for the user."""
    for sheet in SHEETS:
        if sheet.name == name.strip().lower():
            return sheet
    raise ValueError(
        say(
            "there is no sheet {name!r}; choose one of {sheets}",
            name=name,
            sheets=", ".join(sheet.name for sheet in SHEETS),
        )
    )
