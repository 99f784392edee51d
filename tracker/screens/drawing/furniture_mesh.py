"""A picture of furniture as triangles, ready for the graphics chip. The worker's thread makes it, without Kivy.

A point is (x, y, u, v): its position in points from the drawing's lower left corner, and the place of its colour on a
strip of colours: `u` selects the colour, `v` runs from opaque to transparent, which gives smooth edges.
"""

from __future__ import annotations

from array import array
from collections.abc import Sequence

from msgspec import Struct

from tracker.cards.picture import Flat, Picture, dashed, edges_of, fitted
from tracker.screens.drawing.furniture_colours import STRIP, VEIL, fill_colour, line_colour

LINE, DASH, STEP = 0.35, 0.55, 2.4
"""The width of outlines and dashes, and the distance between dashes (mm on the screen)."""
_SOFT = 0.7
"""The width over which the edge of a line fades (points)."""
_MOST = 60_000
"""The most points in one mesh: their indices have 16 bits."""


class Triangles(Struct, frozen=True):
    """Points, four numbers each, and three indices for every triangle, in painting order."""

    points: array[float]
    corners: array[int]


def furniture_mesh(picture: Picture, width: float, height: float, mm: float) -> tuple[Triangles, ...]:
    """The picture in a space of this many points; `mm` is points per millimetre of the screen."""
    place = fitted(picture, width, height, upward=True)
    pen = _Pen()
    for face, role in picture.faces:
        outline = [place(point) for point in face.outline]
        pen.fill(outline, fill_colour(role, face.shade))
        for one, two in face.edges:
            pen.line(place(one), place(two), LINE * mm, line_colour(role))
    for flat in picture.dashes:
        outline = [place(point) for point in flat]
        if _faces_the_eye(outline):
            pen.fill(outline, VEIL)
    for one, two in edges_of(picture.dashes):
        for start, end in dashed(place(one), place(two), STEP * mm):
            pen.line(start, end, DASH * mm, line_colour("here"))
    return pen.done()


class _Pen:
    """Collects triangles, in meshes of bounded size."""

    def __init__(self) -> None:
        self._full: list[Triangles] = []
        self._points: array[float] = array("f")
        self._corners: array[int] = array("H")

    def fill(self, outline: Sequence[Flat], colour: int) -> None:
        """A convex polygon."""
        first, u = self._room(len(outline)), (colour + 0.5) / STRIP
        for x, y in outline:
            self._points.extend((x, y, u, 0.25))
        for at in range(1, len(outline) - 1):
            self._corners.extend((first, first + at, first + at + 1))

    def line(self, start: Flat, end: Flat, width: float, colour: int) -> None:
        """A line with soft edges, extended by half its width at each end so that corners are closed."""
        dx, dy = end[0] - start[0], end[1] - start[1]
        length = (dx * dx + dy * dy) ** 0.5
        if length < 1e-6:
            return
        half = width / 2
        dx, dy = dx / length, dy / length
        first, u = self._room(8), (colour + 0.5) / STRIP
        for (x, y), along in ((start, -half), (end, half)):
            x, y = x + dx * along, y + dy * along
            for off, v in ((half + _SOFT, 0.75), (half, 0.25), (-half, 0.25), (-half - _SOFT, 0.75)):
                self._points.extend((x - dy * off, y + dx * off, u, v))
        for side in range(3):
            one, two = first + side, first + side + 4
            self._corners.extend((one, two, one + 1, one + 1, two, two + 1))

    def done(self) -> tuple[Triangles, ...]:
        self._close()
        return tuple(self._full)

    def _room(self, points: int) -> int:
        """The index of the next point."""
        if len(self._points) // 4 + points > _MOST:
            self._close()
        return len(self._points) // 4

    def _close(self) -> None:
        if self._corners:
            self._full.append(Triangles(self._points, self._corners))
        self._points, self._corners = array("f"), array("H")


def _faces_the_eye(outline: Sequence[Flat]) -> bool:
    """Corners of a face run anticlockwise seen from outside its body: of two faces on the same ground one faces the
    eye."""
    return sum(outline[at - 1][0] * y - x * outline[at - 1][1] for at, (x, y) in enumerate(outline)) > 0
