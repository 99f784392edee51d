"""A PDF of 1-bit dots, or of lines (ISO 32000-1), written page by page: memory holds one page, however many there are.

A page is one picture, or many pictures that are placed on the printer's dots: what labels have in common is then in the
file once, and a page takes a fifth of the time.

Pillow's own PDF writer keeps every page until the end, or rewrites its list of pages for each one appended, which is
quadratic for a roll of a thousand labels. Here the file is written once, forward.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from typing import BinaryIO
from weakref import WeakKeyDictionary

import numpy as np
from PIL import Image

from tracker.paper.ink import Group, Ink

POINTS = 72.0
HAIR = 0.0001
"""A page is smaller than its dots by this much, in points, because renderers round a page up to whole dots and would
stretch it."""
LEVEL, QUICK = 4, 1
"""The compression level. For a whole page it takes two thirds of the time of the usual 6, for a thirtieth more
bytes."""
SMALL = 100_000
"""A picture of this many bytes is compressed at the fastest level, because there are thousands of them."""


class PdfPages:
    """Write pages one after another, then call `finish`. The file need not be seekable."""

    def __init__(self, file: BinaryIO, title: str = "") -> None:
        self._file = file
        self._at = 0
        self._title = title
        self._offsets: dict[int, int] = {}
        self._pages: list[int] = []
        self._written: WeakKeyDictionary[Ink, int] = WeakKeyDictionary()
        self._next = 3  # 1 is the catalogue and 2 the list of pages, written last
        self._write(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")

    def add(self, page: Image.Image, dpi: int) -> None:
        """Add one page of mode "1" with `dpi` dots per inch; its size follows from its dots."""
        picture = self._image(page)
        self._add_dots(page.size, dpi, _drawing(picture, page.size, 0, 0), {picture})

    def add_lines(self, size: tuple[float, float], operators: str, pictures: Sequence[Image.Image] = ()) -> None:
        """Add one page of `size`, in points, drawn by PDF operators in ASCII. Its type is /F, Helvetica, which needs no
        file (WinAnsiEncoding); its pictures, of mode "1" or "L", are /P0, /P1, ..."""
        images = " ".join(f"/P{at} {self._image(each)} 0 R" for at, each in enumerate(pictures))
        font = "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>"
        self._add_page(size, operators, f"/Font << /F {font} >> /XObject << {images} >>")

    def add_inked(self, size: tuple[int, int], dpi: int, groups: Iterable[Group]) -> None:
        """Add one page of `size` dots across and down, with `dpi` dots per inch and ink on it.

        Ink that was on a page before isn't written again while somebody keeps a reference to it.
        """
        written, drawn = self._written, []
        pictures: set[int] = set()
        for (left, top), group in groups:
            foot = size[1] - top
            for each in group:
                ink = each.ink
                picture = written.get(ink)
                if picture is None:
                    picture = written[ink] = self._picture("/ImageMask true /Decode [1 0]", ink.size, ink.rows)
                drawn.append(_drawing(picture, ink.size, left + each.left, foot - each.top - ink.size[1]))
                pictures.add(picture)
        self._add_dots(size, dpi, "\n".join(drawn), pictures)

    def _image(self, page: Image.Image) -> int:
        """A picture, black and white or grey. Raises ValueError unless it is of mode "1" or "L"."""
        if page.mode == "L":
            about = f"/Type /XObject /Subtype /Image /Width {page.width} /Height {page.height}"
            colours = "/ColorSpace /DeviceGray /BitsPerComponent 8 /Filter /FlateDecode"
            return self._stream(f"{about} {colours}", zlib.compress(page.tobytes(), LEVEL))
        if page.mode != "1":
            raise ValueError(f"a page must be a 1-bit picture, not {page.mode}")
        rows = np.packbits(np.asarray(page), axis=1).tobytes()  # Pillow's own packing takes twice as long
        return self._picture("/ColorSpace /DeviceGray", page.size, rows)

    def _picture(self, kind: str, size: tuple[int, int], rows: bytes) -> int:
        """A 1-bit picture from its packed rows."""
        about = f"/Type /XObject /Subtype /Image /Width {size[0]} /Height {size[1]} {kind} /BitsPerComponent 1"
        level = LEVEL if len(rows) > SMALL else QUICK
        return self._stream(f"{about} /Filter /FlateDecode", zlib.compress(rows, level))

    def _add_dots(self, size: tuple[int, int], dpi: int, drawn: str, pictures: set[int]) -> None:
        """A page drawn in dots, from the lower left corner."""
        dot = POINTS / dpi
        names = " ".join(f"/P{picture} {picture} 0 R" for picture in sorted(pictures))
        points = (size[0] * dot - HAIR, size[1] * dot - HAIR)
        self._add_page(points, f"{dot:.9f} 0 0 {dot:.9f} 0 0 cm\n{drawn}", f"/XObject << {names} >>")

    def _add_page(self, size: tuple[float, float], operators: str, resources: str) -> None:
        """A page of `size`, in points."""
        drawing = self._stream("/Filter /FlateDecode", zlib.compress(operators.encode("ascii"), QUICK))
        self._pages.append(
            self._object(
                f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {size[0]:.4f} {size[1]:.4f}] /Contents {drawing} 0 R "
                f"/Resources << {resources} >> >>".encode()
            )
        )

    def finish(self) -> int:
        """Write the list of pages and the cross-reference table; returns the number of pages."""
        title = self._title.encode("utf-16-be", "replace").hex()
        info = self._object(f"<< /Title <feff{title}> /Producer (Kerfcard) >>".encode())
        kids = " ".join(f"{page} 0 R" for page in self._pages)
        self._object(f"<< /Type /Pages /Kids [{kids}] /Count {len(self._pages)} >>".encode(), 2)
        # Tells the viewer's print dialog not to scale: a label sheet must be printed at its size.
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


def _drawing(picture: int, size: tuple[int, int], left: int, below: int) -> str:
    """Draw a picture dot for dot, its lower left corner this many dots from the page's.

    A fiftieth of a dot is left free on each side, because renderers widen a picture to every dot that it touches.
    """
    return f"q {size[0] - 1}.96 0 0 {size[1] - 1}.96 {left}.02 {below}.02 cm /P{picture} Do Q"
