"""What is visible of placed pieces from one side: every face turned toward the eye, from back to front.

This is the slow part, and it is the same for every highlighted piece: cache it for as long as the view stays.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.cards.picture.order import back_to_front
from tracker.cards.picture.outlined import Edge, outlined
from tracker.cards.picture.view import Flat, View
from tracker.plan.place.bodies import Body, Vector, dot, unit
from tracker.plan.place.cells import INNER
from tracker.plan.place.placed import Placed
from tracker.words import say

_LIGHT: Vector = unit((-0.35, -0.55, 0.85))
_AMBIENT = 0.62


class SeenFace(Struct, frozen=True):
    """A face in the picture. `shade` is its brightness, up to 1; `piece` is the index of its piece in the list of
    placed pieces."""

    outline: tuple[Flat, ...]
    shade: float
    piece: int
    edges: tuple[tuple[Flat, Flat], ...] = ()
    """The part of its outline that is drawn: nothing for a face between two bodies of one piece, and no edge that two
    of them share in one plane."""


class Seen(Struct, frozen=True):
    """The faces from back to front, and the picture's bounds: left, bottom, right, top, in mm."""

    faces: tuple[SeenFace, ...]
    bounds: tuple[float, float, float, float]
    hidden: tuple[tuple[tuple[Flat, ...], ...], ...]
    """All faces of each piece, projected, for drawing it through what hides it."""


def seen_from(placed: Sequence[Placed], view: View) -> Seen:
    """What is visible of the pieces. Raises ValueError when there are none."""
    owned = [(at, cell) for at, piece in enumerate(placed) for cell in piece.cells]
    if not owned:
        raise ValueError(say("there is nothing to be seen"))
    faces = []
    drawn = [_drawn_edges(piece.cells) for piece in placed]
    for which in back_to_front([cell for _, cell in owned], view):
        piece, cell = owned[which]
        edges = drawn[piece][id(cell)]
        for at, ((_, points), plane) in enumerate(zip(cell.faces, cell.planes, strict=True)):
            if dot(plane.normal, view.toward) > 1e-6:
                shade = _AMBIENT + (1 - _AMBIENT) * max(0.0, dot(plane.normal, _LIGHT))
                outline = tuple(view.flat(p) for p in points)
                lines = tuple((view.flat(one), view.flat(two)) for one, two in edges[at])
                faces.append(SeenFace(outline, shade, piece, lines))
    flat = [point for face in faces for point in face.outline]
    xs, ys = zip(*flat, strict=True)
    hidden = tuple(
        tuple(tuple(view.flat(p) for p in points) for cell in piece.cells for _, points in cell.faces)
        for piece in placed
    )
    return Seen(tuple(faces), (min(xs), min(ys), max(xs), max(ys)), hidden)


def _drawn_edges(cells: Sequence[Body]) -> dict[int, list[list[Edge]]]:
    """For each body of a piece, by its identity, the edges that are drawn of each of its faces."""
    faces = [
        (cell, at, name, ((plane.normal, plane.distance), tuple(points)))
        for cell in cells
        for at, ((name, points), plane) in enumerate(zip(cell.faces, cell.planes, strict=True))
    ]
    found: dict[int, list[list[Edge]]] = {id(cell): [[] for _ in cell.faces] for cell in cells}
    for (cell, at, name, _), edges in zip(faces, outlined([each[3] for each in faces]), strict=True):
        found[id(cell)][at] = [] if name == INNER else edges
    return found
