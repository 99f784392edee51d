"""Reads printed templates: PDFium draws every page at 600 dpi, and the line is measured in dots."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot

import numpy as np
import pypdfium2
from msgspec import Struct
from outline_kit import made
from scipy.ndimage import map_coordinates
from shapely.geometry import LineString
from shapely.geometry import Point as ShapelyPoint

from tracker.cards.template.template import Sheet, large_sheet, sheets
from tracker.paper.template import template_pdf
from tracker.plan.convex import Point
from tracker.plan.outline import Outlined

DPI = 600
DOTS = DPI / 25.4
EVERY = 3.0
REACH = 0.45
"""How far the line is looked for on each side, in millimetres."""


class Read(Struct):
    """The error of the line at each place in mm, and how many places of the outline were on a sheet."""

    off: list[float]
    seen: int
    places: int

    @property
    def worst(self) -> float:
        return max(self.off)


def read_sheets(outline: str, paper: str, printer: float = 1.0, scale: float = 1.0) -> Read:
    """Print an outline on a printer that prints everything `printer` times its size, and measure it."""
    each = made(outline)
    pages = (large_sheet(each, "it", "mm", scale),) if paper == "whole" else sheets(each, "it", paper, "mm", scale)
    document = pypdfium2.PdfDocument(template_pdf([sheet.page for sheet in pages], "it"))
    assert len(document) == len(pages)
    places = list(_places(each))
    off: list[float] = []
    seen: set[int] = set()
    for number, sheet in enumerate(pages):
        dark = _dark(document[number])
        for at, (point, normal) in enumerate(places):
            if not _on(sheet, point):
                continue
            found = _off(dark, sheet, point, normal, 1 / printer)
            if found is not None:
                off.append(found)
                seen.add(at)
    return Read(off, len(seen), len(places))


def _places(each: Outlined) -> Iterator[tuple[Point, Point]]:
    """Places along every loop, EVERY apart, with a unit normal; none where a seam's dashes run into the line."""
    seams = [LineString(seam) for seam in each.seams]
    for loop in each.loops:
        for segment in loop:
            count = max(1, int(segment.length / EVERY))
            for step in range(count):
                t = (step + 0.5) / count
                x, y = segment.way(t)
                if all(seam.distance(ShapelyPoint(segment.at(t))) > 1.0 for seam in seams):
                    yield segment.at(t), (-y / hypot(x, y), x / hypot(x, y))


def _on(sheet: Sheet, p: Point, inset: float = 2.0) -> bool:
    (x, y), (wide, high) = sheet.panel, sheet.size
    return x + inset < p[0] < x + wide - inset and y + inset < p[1] < y + high - inset


def _dark(page: pypdfium2.PdfPage) -> np.ndarray:
    picture = np.asarray(page.render(scale=DPI / 72, grayscale=True).to_numpy(), float)
    return 255.0 - (picture[..., 0] if picture.ndim == 3 else picture)


def _off(dark: np.ndarray, sheet: Sheet, point: Point, normal: Point, size: float) -> float | None:
    """The distance of the line's middle from its place by the ruler; None near another line.

    `size` is how large the file must draw a length of 1. The place of the line on paper follows from the frame's
    corner: 10 mm from the left, 27 mm from the paper's foot.
    """
    steps = np.linspace(-REACH, REACH, 91)
    x = (point[0] - sheet.panel[0] + 10.0 + steps * normal[0]) * size
    y = (point[1] - sheet.panel[1] + 27.0 + steps * normal[1]) * size
    rows = dark.shape[0] - y * DOTS - 0.5
    profile = map_coordinates(dark, [rows, x * DOTS - 0.5], order=1, mode="nearest")
    if profile.sum() < 200:
        return REACH
    if (profile > 100).sum() * 0.01 > 0.4:
        return None
    return abs(float((profile * steps).sum() / profile.sum()))


def shared_crosses(pages: Sequence[Sheet]) -> float:
    """How far apart, at most, two neighbours put the cross that they share, in mm."""
    by_place = {sheet.panel: sheet for sheet in pages}
    worst = 0.0
    for (x, y), sheet in by_place.items():
        for ox, oy in by_place:
            if oy == y and 0 < ox - x < sheet.size[0]:
                worst = max(worst, abs(x + sheet.size[0] - 5 - (ox + 5)))
            if ox == x and 0 < oy - y < sheet.size[1]:
                worst = max(worst, abs(y + sheet.size[1] - 5 - (oy + 5)))
    return worst
