"""Label sheets as PDF and PNG: 1-bit at the printer's own dots, so the scale is exact and every edge is sharp."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import BinaryIO

from PIL import Image, ImageDraw

from tracker.cards.labels.label import Label
from tracker.paper import type as setting
from tracker.paper.face import face_ink
from tracker.paper.ink import Group, printed
from tracker.paper.pdf import PdfPages
from tracker.paper.sheets import DPIS, INCH, Sheet
from tracker.words import say

PageLabels = tuple[int, list[Label]]
"""The first place to fill, and the labels of one page."""

TEST_SIDES = (100.0, 50.0, 20.0)
"""The possible sides, in millimetres, of the test square, which gets the largest that fits on the page."""


def label_pages(labels: Iterable[Label], sheet: Sheet, *, dpi: int = 300, start: int = 0) -> Iterator[Image.Image]:
    """One 1-bit page at a time; the first label goes to place `start` (0 is the top left) of a used sheet.

    Raises ValueError for a place that the sheet doesn't have, or a resolution that no printer has.
    """
    if dpi not in DPIS:
        raise ValueError(say("{dpi} dots to the inch is not one of {known}", dpi=dpi, known=", ".join(map(str, DPIS))))
    if not 0 <= start < sheet.places:
        raise ValueError(
            say(
                "{sheet} has places 1 to {places}; there is no place {start}",
                sheet=sheet.name,
                places=sheet.places,
                start=start + 1,
            )
        )
    size = _page_size(sheet, dpi)
    return (printed(size, _page_ink(page, sheet, dpi)) for page in _batches(iter(labels), sheet, start))


def _page_size(sheet: Sheet, dpi: int) -> tuple[int, int]:
    """The size of a page in dots."""
    mm = dpi / INCH
    return round(sheet.page[0] * mm), round(sheet.page[1] * mm)


def _page_ink(page: PageLabels, sheet: Sheet, dpi: int) -> Iterator[Group]:
    """Everything printed on one page, label by label."""
    mm = dpi / INCH
    start, labels = page
    for place, label in enumerate(labels, start):
        left, top = sheet.corner(place)
        yield (round(left * mm), round(top * mm)), face_ink(label, sheet, dpi)


def _batches(labels: Iterator[Label], sheet: Sheet, start: int) -> Iterator[PageLabels]:
    while batch := list(islice(labels, sheet.places - start)):
        yield start, batch
        start = 0


def write_label_pdf(
    file: BinaryIO, labels: Iterable[Label], sheet: Sheet, *, dpi: int = 300, start: int = 0, title: str = say("Labels")
) -> int:
    """Write the sheets to an open binary file, page by page; returns the number of pages.

    Raises ValueError like `label_pages`, and, before anything is written, when there are no labels.
    """
    label_pages((), sheet, dpi=dpi, start=start)
    pdf: PdfPages | None = None
    for page in _batches(iter(labels), sheet, start):
        pdf = pdf or PdfPages(file, title)
        pdf.add_inked(_page_size(sheet, dpi), dpi, _page_ink(page, sheet, dpi))
    if pdf is None:  # a PDF must have a page
        raise ValueError(say("there is no label to print"))
    return pdf.finish()


def missing_signs(labels: Iterable[Label]) -> str:
    """A sentence about the characters on labels that no font here has; empty where all will print."""
    found = setting.missing("".join(f"{each.title}{each.build}{''.join(each.lines)}" for each in labels))
    return say("No font here has {found}: a box prints instead.", found=" ".join(found)) if found else ""


def label_sheet_pngs(labels: Iterable[Label], sheet: Sheet, *, dpi: int = 300, start: int = 0) -> Iterator[bytes]:
    """The sheets as PNG files, one for each page, with the resolution stored in them."""
    return (_png(page, dpi) for page in label_pages(labels, sheet, dpi=dpi, start=start))


def measuring_page_pdf(sheet: Sheet, *, dpi: int = 300) -> bytes:
    """A page with every label's outline and a square to measure with a rule, before a sheet is used."""
    file = io.BytesIO()
    pdf = PdfPages(file, say("Measuring page"))
    pdf.add(_measuring_page(sheet, dpi), dpi)
    pdf.finish()
    return file.getvalue()


def _measuring_page(sheet: Sheet, dpi: int) -> Image.Image:
    mm = dpi / INCH
    page = Image.new("1", _page_size(sheet, dpi), 1)
    draw = ImageDraw.Draw(page)
    for place in range(sheet.places):
        left, top = sheet.corner(place)
        right, bottom = left + sheet.label[0], top + sheet.label[1]
        draw.rectangle((left * mm, top * mm, right * mm - 1, bottom * mm - 1), outline=0)
    side = next((side for side in TEST_SIDES if side <= min(sheet.page) - 8), TEST_SIDES[-1])
    left, top = (sheet.page[0] - side) / 2, (sheet.page[1] - side) / 2
    draw.rectangle(_square(left, top, side, mm), fill=1, outline=0, width=max(1, round(0.2 * mm)))
    words = (
        say("This square is {side:g} mm wide and high.", side=side),
        say("Measure it with a rule."),
        say("If it isn't, print at 100 %."),
    )
    for row, text in enumerate(words):
        fitted, size = setting.fit(text, "bold", round(4 * mm), round(1.2 * mm), (side - 2) * mm)
        setting.put(draw, (left + 1) * mm, (top + side * (0.3 + 0.2 * row)) * mm, fitted, "bold", size)
    return page


def _square(left: float, top: float, side: float, mm: float) -> tuple[int, int, int, int]:
    """`side` is the distance from the outer edge of one line to the outer edge of the other."""
    x, y, dots = round(left * mm), round(top * mm), round(side * mm)
    return x, y, x + dots - 1, y + dots - 1


def _png(picture: Image.Image, dpi: int) -> bytes:
    file = io.BytesIO()
    picture.save(file, "PNG", dpi=(dpi, dpi))
    return file.getvalue()
