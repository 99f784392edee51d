"""What is seen of placed pieces from one side: every face that is turned to the eye, from back to front.

This is what takes time, and it is the same whichever piece is marked: keep it for as long as the view stays.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.cards.picture.order import back_to_front
from tracker.cards.picture.view import Flat, View
from tracker.plan.place.bodies import Vector, dot, unit
from tracker.plan.place.cells import INNER
from tracker.plan.place.placed import Placed

_LIGHT: Vector = unit((-0.35, -0.55, 0.85))
_AMBIENT = 0.62


class SeenFace(Struct, frozen=True):
    """A face in the picture. `shade` is its brightness, up to 1; `edges` are its outlined edges as pairs of corners.

    `piece` is the place of its piece in the list that was placed.
    """

    outline: tuple[Flat, ...]
    shade: float
    piece: int
    inner: bool = False
    """A face between two bodies of one piece: filled, never outlined."""


class Seen(Struct, frozen=True):
    """The faces from back to front, and the picture's bounds: left, bottom, right, top, in mm."""

    faces: tuple[SeenFace, ...]
    bounds: tuple[float, float, float, float]
    hidden: tuple[tuple[tuple[Flat, ...], ...], ...]
    """Of each piece, all its faces flat, for drawing it through what hides it."""


def seen_from(placed: Sequence[Placed], view: View) -> Seen:
    """What is seen of the pieces. ValueError when there are none."""
    owned = [(at, cell) for at, piece in enumerate(placed) for cell in piece.cells]
    if not owned:
        raise ValueError("there is nothing to be seen")
    faces = []
    for which in back_to_front([cell for _, cell in owned], view):
        piece, cell = owned[which]
        for (name, points), plane in zip(cell.faces, cell.planes, strict=True):
            if dot(plane.normal, view.toward) > 1e-6:
                shade = _AMBIENT + (1 - _AMBIENT) * max(0.0, dot(plane.normal, _LIGHT))
                faces.append(SeenFace(tuple(view.flat(p) for p in points), shade, piece, name == INNER))
    flat = [point for face in faces for point in face.outline]
    xs, ys = zip(*flat, strict=True)
    hidden = tuple(
        tuple(tuple(view.flat(p) for p in points) for cell in piece.cells for _, points in cell.faces)
        for piece in placed
    )
    return Seen(tuple(faces), (min(xs), min(ys), max(xs), max(ys)), hidden)
