"""Opening a picture from a stranger: few formats, bounded memory, and a sentence when it can't be read."""

from __future__ import annotations

import io
import os
import stat
import struct
import warnings
from pathlib import Path

from msgspec import Struct
from PIL import Image, ImageOps, UnidentifiedImageError

MAX_PIXELS = 8_000_000
"""The most pixels that are decoded. A JPEG from a large camera is decoded at a half, a quarter or an eighth."""
MAX_JPEG_PIXELS = 64 * MAX_PIXELS
MAX_BYTES = 32 * 1024 * 1024
MOST_SCANS = 200
"""The most passes of a progressive JPEG over the whole picture; cameras make ten, and a file may hold thousands."""
_JPEG, _JPEG_SCAN = b"\xff\xd8", b"\xff\xda"
"""The marker before each pass (ITU-T T.81, B.2.3). It can't occur in compressed data, where a byte 0 follows each
255."""
FORMATS = ("PNG", "JPEG")


class Picture(Struct, frozen=True):
    """An upright picture, grey or RGB. `shrunk` is how many pixels of the file one of its pixels stands for."""

    image: Image.Image
    shrunk: float = 1.0


def open_picture(source: str | Path | bytes) -> Picture:
    """Open a PNG or a JPEG file, or the bytes of one, and rotate it as its camera recorded.

    Raises ValueError with a sentence for the user.
    """
    data = source if isinstance(source, bytes) else _read(Path(source))
    if len(data) > MAX_BYTES:
        raise ValueError(f"the picture is larger than {MAX_BYTES // 1024 // 1024} MB")
    if data.startswith(_JPEG) and data.count(_JPEG_SCAN) > MOST_SCANS:
        raise ValueError("the picture is damaged")
    try:
        # Pillow only warns about a picture that would take gigabytes; here that is an error.
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with Image.open(io.BytesIO(data), formats=FORMATS) as image:
                return _decoded(image)
    except ValueError as problem:
        raise ValueError(str(problem)) from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise ValueError("the picture has too many pixels") from None
    except UnidentifiedImageError:
        raise ValueError("this is neither a PNG nor a JPEG picture") from None
    except (OSError, SyntaxError, struct.error, EOFError, OverflowError, MemoryError, Warning):
        raise ValueError("the picture is damaged") from None


def _read(path: Path) -> bytes:
    try:
        # Without O_NONBLOCK, opening a pipe that nobody writes to would never return.
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with open(descriptor, "rb") as file:  # noqa: PTH123  # a descriptor has no path
            if not stat.S_ISREG(os.fstat(descriptor).st_mode):
                raise ValueError("this is not a file")
            return file.read(MAX_BYTES + 1)
    except OSError as problem:
        raise ValueError(f"can't read the picture: {(problem.strerror or 'it is not a file').lower()}") from None


def _decoded(image: Image.Image) -> Picture:
    width = image.width
    if image.format == "JPEG" and image.width * image.height > MAX_PIXELS:
        if image.width * image.height > MAX_JPEG_PIXELS:
            raise ValueError("the picture has too many pixels")
        half = (MAX_PIXELS / (image.width * image.height)) ** 0.5
        # The decoder halves until both sides are at least the requested size, so request a little under half of that.
        image.draft("RGB", (max(1, int(image.width * half / 2)), max(1, int(image.height * half / 2))))
    if image.width * image.height > MAX_PIXELS:
        raise ValueError(f"the picture has more than {MAX_PIXELS // 1_000_000} million pixels")
    shrunk = width / image.width
    image.load()
    return Picture(_plain(_turned(image)), shrunk)


def _turned(image: Image.Image) -> Image.Image:
    try:
        return ImageOps.exif_transpose(image)
    except Exception:  # a broken note about the camera is no reason to refuse the picture
        return image


def _plain(image: Image.Image) -> Image.Image:
    """Grey or RGB, on white where it is transparent."""
    if image.mode.startswith("I"):  # 16 bits a pixel
        return image.convert("I").point(lambda level: level / 256).convert("L")
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        paper = Image.new("RGBA", image.size, "white")
        return Image.alpha_composite(paper, image.convert("RGBA")).convert("RGB")
    return image.convert("L" if image.mode in ("1", "L") else "RGB")
