"""How an outline is divided over sheets of paper."""

from __future__ import annotations

from math import ceil

from msgspec import Struct

from tracker.plan.convex import Point

INCH = 25.4
PAPERS: dict[str, Point] = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "Letter": (8.5 * INCH, 11 * INCH),
    "Tabloid": (11 * INCH, 17 * INCH),
}
"""Width and height: ISO 216, and ANSI/ASME Y14.1 (A and B)."""
MARGIN = 10.0
"""The margin, in millimetres, that printers can't reach."""
FOOT = 17.0
"""Reserved below the drawing for words and the rule."""
OVERLAP = 10.0
PAD = 3.0
"""The space around the outline."""


class Tiling(Struct, frozen=True, kw_only=True):
    """`columns` × `rows` tiles, each `size` of the panel, on `paper` upright or sideways.

    The lower left tile begins at `origin`. Lengths are true lengths: `paper` is divided by the correction for a printer
    that shrinks.
    """

    paper: Point
    size: Point
    columns: int
    rows: int
    origin: Point

    def corner(self, column: int, row: int) -> Point:
        """Where a tile begins on the panel; row 0 is at the bottom."""
        step = (self.size[0] - OVERLAP, self.size[1] - OVERLAP)
        return (self.origin[0] + column * step[0], self.origin[1] + row * step[1])

    def name(self, column: int, row: int) -> str:
        """`B2`: rows by letters from the top, columns by numbers from the left."""
        first, last = divmod(self.rows - 1 - row, 26)
        return f"{chr(64 + first) if first else ''}{chr(65 + last)}{column + 1}"


def tiling(extent: tuple[float, float, float, float], paper: str, scale: float = 1.0) -> Tiling:
    """The fewest sheets, upright or sideways, that cover an extent. `scale` is the factor that enlarges the drawing."""
    x0, y0, x1, y1 = extent[0] - PAD, extent[1] - PAD, extent[2] + PAD, extent[3] + PAD
    across, up = PAPERS[paper][0] / scale, PAPERS[paper][1] / scale
    found = []
    for wide, high in ((across, up), (up, across)):
        size = (wide - 2 * MARGIN, high - 2 * MARGIN - FOOT)
        columns = max(1, ceil((x1 - x0 - OVERLAP) / (size[0] - OVERLAP) - 1e-9))
        rows = max(1, ceil((y1 - y0 - OVERLAP) / (size[1] - OVERLAP) - 1e-9))
        covered = (columns * (size[0] - OVERLAP) + OVERLAP, rows * (size[1] - OVERLAP) + OVERLAP)
        origin = ((x0 + x1 - covered[0]) / 2, (y0 + y1 - covered[1]) / 2)
        found.append(Tiling(paper=(wide, high), size=size, columns=columns, rows=rows, origin=origin))
    return min(found, key=lambda each: each.columns * each.rows)
