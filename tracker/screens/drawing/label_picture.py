"""A label as it is printed, in the colours of the screen: on the dark one white paper would be glaring."""

from __future__ import annotations

import io

from kivy.core.image import Image as CoreImage
from kivy.graphics.texture import Texture
from PIL import Image, ImageOps

from tracker.cards.labels.labels_of_run import labels_for
from tracker.paper.face import face_ink
from tracker.paper.ink import printed
from tracker.paper.sheets import DEFAULT_A4, DEFAULT_LETTER, INCH, sheet_named
from tracker.work.run import Run

DPI = 300


def label_picture(run: Run, key: str, ink: str, paper: str) -> bytes:
    """A PNG of the label of a piece or an assembly, on the sheet that suits the units. `ink` and `paper` are colours
    such as `#1E1812`. For any thread."""
    sheet = sheet_named(DEFAULT_LETTER if run.build.units == "in" else DEFAULT_A4)
    size = (round(sheet.label[0] * DPI / INCH), round(sheet.label[1] * DPI / INCH))
    (label,) = labels_for(run, [key])
    dots = printed(size, [((0, 0), face_ink(label, sheet, DPI))]).convert("L")
    drawn: Image.Image = ImageOps.colorize(dots, black=ink, white=paper)
    file = io.BytesIO()
    drawn.save(file, "PNG")
    return file.getvalue()


def texture_of(png: bytes) -> Texture:
    """For Kivy's thread."""
    return CoreImage(io.BytesIO(png), ext="png").texture
