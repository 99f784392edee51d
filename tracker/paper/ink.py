"""Ink on paper: black on whole dots. A page of dots and a page of a PDF are made from the same list of ink."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from msgspec import Struct
from PIL import Image

Dots = np.ndarray[Any, np.dtype[np.bool_]]
"""Rows by columns, True where there is ink."""


class Ink(Struct, frozen=True, eq=False, weakref=True):
    """A line of words, a drawing or a symbol. Nothing is drawn where it has no ink.

    Ink that is cached and used again is the same object, so that a PDF contains it once.
    """

    size: tuple[int, int]
    """The width and height in dots."""
    rows: bytes
    """Eight dots per byte, a set bit where there is ink, each row padded to a whole byte."""

    def picture(self) -> Image.Image:
        """A 1-bit picture, set where there is ink, as Pillow takes it for a mask. Don't draw on it."""
        return _picture(self)


@lru_cache(maxsize=512)
def _picture(ink: Ink) -> Image.Image:
    return Image.frombytes("1", ink.size, ink.rows)


class Placed(Struct, frozen=True):
    """Ink, and the position of its top left corner on the page or the label, in dots."""

    ink: Ink
    left: int
    top: int


Group = tuple[tuple[int, int], Sequence[Placed]]
"""A corner on the page, left and top, and the ink placed relative to it."""


def ink_of(dots: Dots) -> Ink:
    """Ink made from its dots."""
    return Ink((dots.shape[1], dots.shape[0]), np.packbits(dots, axis=1).tobytes())


def printed(size: tuple[int, int], groups: Iterable[Group]) -> Image.Image:
    """A white 1-bit picture of `size` dots across and down with the ink on it."""
    page = Image.new("1", size, 1)
    for (left, top), group in groups:
        for each in group:
            page.paste(0, (left + each.left, top + each.top), each.ink.picture())
    return page
