"""A picture in, codes out: the general decoder first, cheap retries, and then the patient reader for dusty labels."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from pathlib import Path

import numpy as np
import zxingcpp
from msgspec.structs import replace
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from tracker.scan.damaged_label import QUICK, THOROUGH, Effort, Reading, read_patiently
from tracker.scan.found import Corner, Found, Looked
from tracker.scan.picture import open_picture
from tracker.work.codes import Code, is_code

Frame = NDArray[np.uint8]
"""Height × width, grey; or height × width × 3 in BGR order, as cameras give it."""
QR_ONLY = zxingcpp.BarcodeFormat.QRCodeModel2
"""With all formats enabled, decoders see codes in noise."""
LONGEST = 64
"""A longer text can't be ours, and is cut before anyone shows it."""


class Planes:
    """One picture in two versions, blue and grey, each made when it is first needed.

    Sawdust is yellow-brown: in blue light its brightness is half way between ink and paper, and hides least. On yellow
    or brown label stock the grey picture shows most. Without colour both are the same.
    """

    def __init__(self, image: Image.Image | Frame) -> None:
        self._image = image
        bands = image.ndim if isinstance(image, np.ndarray) else 3 if image.mode in ("RGB", "RGBA") else 2
        self.coloured = bands == 3

    @cached_property
    def grey(self) -> Image.Image:
        if isinstance(self._image, np.ndarray):
            # In colour, red and blue are swapped, which hardly changes the weights of grey.
            bands = self._image[..., :3] if self.coloured else self._image
            grey = Image.fromarray(np.ascontiguousarray(bands))
            return grey.convert("L") if self.coloured else grey
        return self._image if self._image.mode == "L" else self._image.convert("L")

    @cached_property
    def blue(self) -> Image.Image:
        if not self.coloured:
            return self.grey
        if isinstance(self._image, np.ndarray):
            return Image.fromarray(np.ascontiguousarray(self._image[..., 0]))
        return self._image.getchannel("B")


def look_at(image: Image.Image | Frame, live: Sequence[Code] = ()) -> Looked:
    """Everything that can be read in one picture. `live` are the codes of this shop's open builds."""
    planes = Planes(image)
    found = decode(planes.grey)
    looked = Looked(found)
    for retry in RETRIES:
        if looked.ours:
            return looked
        looked = Looked(retry(planes))
    if looked.ours:
        return looked
    doubtful = Looked(found)
    for plane in (planes.blue, planes.grey) if planes.coloured else (planes.grey,):
        looked = patiently(plane, live, THOROUGH, found)
        if looked.found:
            return looked
        if looked.maybe:
            doubtful = replace(doubtful, maybe=looked.maybe)
    return doubtful


def look_at_picture(source: str | Path | bytes, live: Sequence[Code] = ()) -> Looked:
    """Read a PNG or JPEG file; corners are in the file's own pixels. Raises ValueError like `open_picture`."""
    picture = open_picture(source)
    looked = look_at(picture.image, live)
    return replace(looked, found=tuple(_scaled(code, picture.shrunk) for code in looked.found))


def decode(grey: Image.Image, shrunk: float = 1.0) -> tuple[Found, ...]:
    """What the general decoder sees; `shrunk` scales the corners back to the picture that `grey` was made from.

    Labels are never light on dark.
    """
    codes = zxingcpp.read_barcodes(
        grey, formats=zxingcpp.BarcodeFormats(QR_ONLY), try_rotate=False, try_downscale=False, try_invert=False
    )
    return _sorted(_scaled(_found(code), shrunk) for code in codes)


def patiently(
    plane: Image.Image, live: Sequence[Code] = (), effort: Effort = QUICK, found: Sequence[Found] = ()
) -> Looked:
    """The patient reader's result for one plane; it doesn't look again where another's code was `found`."""
    others = [code.corners for code in found if not code.valid]
    reading: Reading | None = read_patiently(np.asarray(plane), live, effort, others)
    if reading is None:
        return Looked()
    if reading.code is None:
        return Looked(maybe=reading.maybe)
    return Looked((Found(reading.code, reading.corners, True),))


def _whole(planes: Planes) -> tuple[Found, ...]:
    """The decoder at its most thorough: for a code on its side, or one that fills the picture."""
    codes = zxingcpp.read_barcodes(planes.grey, formats=zxingcpp.BarcodeFormats(QR_ONLY), try_invert=False)
    return _sorted(_found(code) for code in codes)


def _soft(planes: Planes) -> tuple[Found, ...]:
    """Fine dust blurred away, by a box filter, which reads as much as a Gaussian and costs half."""
    return decode(planes.blue.filter(ImageFilter.BoxBlur(1.0)))


def _twice(planes: Planes) -> tuple[Found, ...]:
    """For a code far away."""
    return decode(Image.fromarray(_doubled(np.asarray(planes.grey))), 0.5)


def _doubled(grey: Frame) -> Frame:
    """Doubled in size: the mean of two pixels between them, and each row twice.

    A better enlargement would cost more than the decoding, and the patient reader reads what it would add anyway.
    """
    wide = np.repeat(grey, 2, axis=1)
    wide[:, 1:-1:2] = (grey[:, :-1] >> 1) + (grey[:, 1:] >> 1)
    return np.repeat(wide, 2, axis=0)


Retry = Callable[[Planes], tuple[Found, ...]]
RETRIES: tuple[Retry, ...] = (_whole, _soft, _twice)
"""From the cheapest to the most expensive."""


def _found(code: zxingcpp.Barcode) -> Found:
    at, text = code.position, code.text[:LONGEST]
    a, b, c, d = (
        (float(point.x), float(point.y)) for point in (at.top_left, at.top_right, at.bottom_right, at.bottom_left)
    )
    return Found(text, (a, b, c, d), is_code(text))


def _sorted(found: Iterable[Found]) -> tuple[Found, ...]:
    return tuple(sorted(found, key=lambda code: (code.corners[0][1], code.corners[0][0])))


def _scaled(found: Found, by: float) -> Found:
    if by == 1.0:
        return found

    def place(corner: Corner) -> Corner:
        # Pixel centres are whole numbers, in the reduced picture as in the large one.
        return (corner[0] + 0.5) * by - 0.5, (corner[1] + 0.5) * by - 0.5

    a, b, c, d = (place(corner) for corner in found.corners)
    return replace(found, corners=(a, b, c, d))
