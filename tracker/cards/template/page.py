"""A page of lines and words, ready to print: millimetres from its lower left corner."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

Box = tuple[float, float, float, float]
"""Left, bottom, width, height."""
Step = tuple[Literal["move", "line", "cubic", "close"], tuple[float, ...]]
"""The next point of a path: a line to x, y; or a cubic curve with its two control points and its end."""


class Stroke(Struct, frozen=True, kw_only=True):
    """A path drawn with a pen `width` wide, dashed if there are dashes. `fill` is a grey from 0 (black) to 1; a filled
    path with a `width` of 0 has no line.

    `clipped`: only the part within the page's `clip` is drawn.
    """

    path: tuple[Step, ...]
    width: float = 0.15
    dashes: tuple[float, ...] = ()
    fill: float | None = None
    pen: float = 0.0
    """The grey of the pen."""
    clipped: bool = False


class Words(Struct, frozen=True):
    """Words that begin at x on the line y; `size` is the type size in millimetres."""

    x: float
    y: float
    size: float
    text: str


class Picture(Struct, frozen=True):
    """A maker's own picture, as large as its box allows; `file` is beside the build file."""

    at: Box
    file: str


class Page(Struct, frozen=True, kw_only=True):
    """`scale` enlarges everything on the page, not the page itself: it compensates for a printer that shrinks."""

    width: float
    height: float
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]
    clip: Box | None = None
    scale: float = 1.0
    pictures: tuple[Picture, ...] = ()


def line(*points: tuple[float, float], width: float = 0.15, dashes: tuple[float, ...] = ()) -> Stroke:
    """A polyline."""
    first, *others = points
    return Stroke(path=(("move", first), *(("line", point) for point in others)), width=width, dashes=dashes)


def box(at: Box, *, width: float = 0.15, dashes: tuple[float, ...] = (), fill: float | None = None) -> Stroke:
    x, y, wide, high = at
    around = line((x, y), (x + wide, y), (x + wide, y + high), (x, y + high)).path
    return Stroke(path=(*around, ("close", ())), width=width, dashes=dashes, fill=fill)
