"""A PDF of 1-bit pages, or of lines (ISO 32000-1), written page by page: memory holds one page, however many there are.

Pillow's own PDF writer keeps every page until the end, or rewrites its list of pages for each one appended, which for
a roll of a thousand labels is quadratic. Here the file is written once, forward.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import BinaryIO

import numpy as np
from msgspec import Struct
from PIL import Image

POINTS = 72.0
LEVEL = 4
"""Of compression: two thirds of the time of the usual 6, for a thirtieth more bytes."""


class PdfPages:
    """Write pages one after another, then `finish`. The file need not be seekable."""

    def __init__(self, file: BinaryIO, title: str = "") -> None:
        self._file = file
        self._at = 0
        self._title = title
        self._offsets: dict[int, int] = {}
        self._pages: list[int] = []
        self._next = 3  # 1 is the catalogue and 2 the list of pages, written last
        self._write(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")

    def add(self, page: Image.Image, dpi: int) -> None:
        """One page of mode "1", `dpi` dots to the inch; its size follows from its dots."""
        self.add_packed(packed(page, dpi))

    def add_packed(self, page: PackedPage) -> None:
        """One page that was packed before, in another process perhaps."""
        (width, height), dpi = page.size, page.dpi
        points = f"{width * POINTS / dpi:.4f} {height * POINTS / dpi:.4f}"
        across, down = points.split()
        picture = self._image(page)
        drawing = self._stream("", f"q {across} 0 0 {down} 0 0 cm /P Do Q".encode())
        self._pages.append(
            self._object(
                f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {points}] /Contents {drawing} 0 R "
                f"/Resources << /XObject << /P {picture} 0 R >> >> >>".encode()
            )
        )

    def add_lines(self, size: tuple[float, float], operators: str, pictures: Sequence[Image.Image] = ()) -> None:
        """One page of `size`, in points, drawn by PDF operators in ASCII. Its type is /F, Helvetica, which needs no
        file (WinAnsiEncoding); its pictures, of mode "1", are /P0, /P1, ..."""
        drawing = self._stream("/Filter /FlateDecode", zlib.compress(operators.encode("ascii"), LEVEL))
        images = " ".join(f"/P{at} {self._image(packed(each, 72))} 0 R" for at, each in enumerate(pictures))
        font = "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>"
        self._pages.append(
            self._object(
                f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {size[0]:.4f} {size[1]:.4f}] /Contents {drawing} 0 R "
                f"/Resources << /Font << /F {font} >> /XObject << {images} >> >> >>".encode()
            )
        )

    def _image(self, page: PackedPage) -> int:
        width, height = page.size
        return self._stream(
            f"/Type /XObject /Subtype /Image /Width {width} /Height {height} /ColorSpace /DeviceGray "
            "/BitsPerComponent 1 /Filter /FlateDecode",
            page.data,
        )

    def finish(self) -> int:
        """Write the list of pages and where everything is; the number of pages."""
        title = self._title.encode("utf-16-be", "replace").hex()
        info = self._object(f"<< /Title <feff{title}> /Producer (Kerfcard) >>".encode())
        kids = " ".join(f"{page} 0 R" for page in self._pages)
        self._object(f"<< /Type /Pages /Kids [{kids}] /Count {len(self._pages)} >>".encode(), 2)
        # Asks the reader's print box for no scaling: a label sheet must come out at its size.
        catalogue = b"<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>"
        self._object(catalogue, 1)
        start = self._at
        lines = [f"{self._offsets[number]:010d} 00000 n \n" for number in range(1, self._next)]
        self._write(f"xref\n0 {self._next}\n0000000000 65535 f \n{''.join(lines)}".encode())
        trailer = f"trailer\n<< /Size {self._next} /Root 1 0 R /Info {info} 0 R >>\nstartxref\n{start}\n%%EOF\n"
        self._write(trailer.encode())
        return len(self._pages)

    def _stream(self, keys: str, data: bytes) -> int:
        return self._object(f"<< {keys} /Length {len(data)} >>\nstream\n".encode() + data + b"\nendstream")

    def _object(self, body: bytes, number: int | None = None) -> int:
        if number is None:
            number = self._next
            self._next += 1
        self._offsets[number] = self._at
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, body))
        return number

    def _write(self, data: bytes) -> None:
        self._file.write(data)
        self._at += len(data)


class PackedPage(Struct, frozen=True):
    """A page as it goes into the file: its dots across and down, dots to the inch, and its rows, compressed."""

    size: tuple[int, int]
    dpi: int
    data: bytes


def packed(page: Image.Image, dpi: int) -> PackedPage:
    """Eight dots to a byte, each row filled up to a whole one. Raises ValueError for a page that isn't of mode "1"."""
    if page.mode != "1":
        raise ValueError(f"a page must be a 1-bit picture, not {page.mode}")
    rows = np.packbits(np.asarray(page), axis=1).tobytes()  # Pillow's own packing takes twice as long
    return PackedPage(page.size, dpi, zlib.compress(rows, LEVEL))
