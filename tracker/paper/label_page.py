"""One page of labels, in 1-bit dots."""

from __future__ import annotations

from collections.abc import Sequence

from PIL import Image

from tracker.cards.labels.label import Label
from tracker.paper.face import face
from tracker.paper.sheets import INCH, Sheet

PageLabels = tuple[int, Sequence[Label]]
"""The first place that is filled, and the labels of one page."""


def draw_page(page: PageLabels, sheet: Sheet, dpi: int) -> Image.Image:
    """One 1-bit page."""
    mm = dpi / INCH
    picture = Image.new("1", (round(sheet.page[0] * mm), round(sheet.page[1] * mm)), 1)
    start, labels = page
    for place, label in enumerate(labels, start):
        left, top = sheet.corner(place)
        picture.paste(face(label, sheet, dpi), (round(left * mm), round(top * mm)))
    return picture
