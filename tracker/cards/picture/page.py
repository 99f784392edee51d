"""A picture on a page or screen: fitted to scale, with dashed strokes for hidden edges."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from tracker.cards.picture.picture import Picture
from tracker.cards.picture.view import Flat

MARGIN = 0.05
"""The margin around the picture, as a fraction of the shorter side."""


def fitted(picture: Picture, width: float, height: float, *, upward: bool = False) -> Callable[[Flat], Flat]:
    """The map from the picture's millimetres to points of a page or a screen, centred and as large as possible; y down
    from the upper left corner, or, with `upward`, up from the lower left one."""
    left, bottom, right, top = picture.bounds
    margin = MARGIN * min(width, height)
    scale = min(
        (width - 2 * margin) / max(right - left, 1e-9), (height - 2 * margin) / max(top - bottom, 1e-9)
    )  # fmt: skip
    x, up = (width - scale * (right + left)) / 2, scale if upward else -scale
    y = (height - up * (top + bottom)) / 2
    return lambda point: (x + scale * point[0], y + up * point[1])


def edges_of(outlines: Sequence[Sequence[Flat]]) -> tuple[tuple[Flat, Flat], ...]:
    """Every edge of the faces once: two faces share each edge, and two rows of dashes would fill each other's gaps."""
    edges: dict[tuple[Flat, Flat], None] = {}
    for outline in outlines:
        for at, point in enumerate(outline):
            one, two = sorted((outline[at - 1], point))
            edges[_near(one), _near(two)] = None
    return tuple(edges)


def dashed(start: Flat, end: Flat, step: float) -> Iterator[tuple[Flat, Flat]]:
    """The dashes of a line, each half a step long."""
    (x0, y0), (x1, y1) = start, end
    length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    along = 0.0
    while along < length:
        one, two = along / length, min(1.0, (along + step / 2) / length)
        yield (x0 + (x1 - x0) * one, y0 + (y1 - y0) * one), (x0 + (x1 - x0) * two, y0 + (y1 - y0) * two)
        along += step


def _near(point: Flat) -> Flat:
    return round(point[0], 6), round(point[1], 6)
