"""A picture in, codes out: the general decoder first, then cheap retries that undo dust and bad light."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import zxingcpp
from PIL import Image, ImageChops, ImageFilter

from tracker.scan.picture import open_picture
from tracker.work.codes import is_code

QR_ONLY = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCodeModel2)
"""With all formats on, decoders see codes in noise."""
Corner = tuple[float, float]
LONGEST = 64
"""A longer text can't be ours, and is cut before anyone shows it."""


@dataclass(frozen=True, slots=True)
class Found:
    """One QR code in a picture."""

    text: str
    """What it holds; attacker-chosen unless `valid`."""
    corners: tuple[Corner, Corner, Corner, Corner]
    """In pixels from the picture's top left corner: the code's own top left, top right, bottom right, bottom left."""
    valid: bool
    """Whether the text is one of our codes with its check character right."""


def read_codes(image: Image.Image) -> tuple[Found, ...]:
    """The QR codes in a picture, from the top down. Retries only when the plain picture shows no code of ours."""
    grey = image if image.mode == "L" else image.convert("L")
    found = decode(grey)
    if any(code.valid for code in found):
        return found
    for retry in RETRIES:
        again = retry(grey)
        if any(code.valid for code in again):
            return again
    return found


def read_picture(source: str | Path | bytes) -> tuple[Found, ...]:
    """The codes in a PNG or JPEG file, corners in the file's own pixels. Raises ValueError as `open_picture`."""
    picture = open_picture(source)
    return tuple(_scaled(code, picture.shrunk) for code in read_codes(picture.grey))


def decode(grey: Image.Image, shrunk: float = 1.0) -> tuple[Found, ...]:
    """What the general decoder sees; `shrunk` brings the corners back to the picture that `grey` was made from.

    Labels are never light on dark.
    """
    codes = zxingcpp.read_barcodes(grey, formats=QR_ONLY, try_rotate=False, try_downscale=False, try_invert=False)
    found = [_scaled(_found(code), shrunk) for code in codes]
    return tuple(sorted(found, key=lambda code: (code.corners[0][1], code.corners[0][0])))


def _found(code: zxingcpp.Barcode) -> Found:
    at = code.position
    corners = (at.top_left, at.top_right, at.bottom_right, at.bottom_left)
    text = code.text[:LONGEST]
    points = tuple((float(point.x), float(point.y)) for point in corners)
    return Found(text, (points[0], points[1], points[2], points[3]), is_code(text))


def _scaled(found: Found, by: float) -> Found:
    if by == 1.0:
        return found
    a, b, c, d = ((x * by, y * by) for x, y in found.corners)
    return Found(found.text, (a, b, c, d), found.valid)


def _level(grey: Image.Image, radius: int = 12) -> Image.Image:
    """The local background removed: shadows and grey paper become even."""
    background = grey.filter(ImageFilter.BoxBlur(radius))
    return ImageChops.subtract(grey, background, scale=1.0, offset=128).point(lambda v: max(0, min(255, v * 2 - 128)))


def _twice(grey: Image.Image) -> Image.Image:
    return grey.resize((grey.width * 2, grey.height * 2), Image.Resampling.BILINEAR)


def _whole(grey: Image.Image) -> tuple[Found, ...]:
    """A code far away, or one that fills the picture."""
    codes = zxingcpp.read_barcodes(grey, formats=QR_ONLY, try_invert=False)
    return tuple(_found(code) for code in codes)


Retry = Callable[[Image.Image], tuple[Found, ...]]
RETRIES: tuple[Retry, ...] = (
    _whole,
    lambda grey: decode(grey.filter(ImageFilter.GaussianBlur(1.0))),
    lambda grey: decode(_twice(_level(grey)), 0.5),
    # Dust is lighter than ink and smaller than a module: taking the darkest of nine closes the specks.
    lambda grey: decode(_twice(grey.filter(ImageFilter.MinFilter(3)).filter(ImageFilter.GaussianBlur(1.0))), 0.5),
    lambda grey: decode(grey.filter(ImageFilter.GaussianBlur(2.0))),
    lambda grey: decode(_twice(grey), 0.5),
)
"""From the cheapest to the dearest. A camera takes one of them with each frame, in turn."""


def retries() -> Iterator[Retry]:
    """The retries round and round, for a stream of frames."""
    while True:
        yield from RETRIES
