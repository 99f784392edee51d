"""The picture of an assembly, ready to be drawn: its faces, the role of each, and the current piece."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Literal

from msgspec import Struct

from tracker.cards.picture.view import Flat
from tracker.cards.picture.visible_faces import Seen, SeenFace
from tracker.design.joining import Numbered
from tracker.plan.place.bodies import bounds, times
from tracker.plan.place.meetings import extent
from tracker.plan.place.placed import Placed
from tracker.plan.place.poses import Pose

Role = Literal["wood", "pale", "missing", "here"]
"""How a piece is drawn: normally; pale, as surroundings; as an outline, when it isn't there yet; highlighted."""


class Picture(Struct, frozen=True):
    """Faces from back to front with the role of each one's piece. `dashes` are the edges of the pieces that are `here`,
    to be drawn over everything, with a veil over what hides them."""

    faces: tuple[tuple[SeenFace, Role], ...]
    dashes: tuple[tuple[Flat, ...], ...]
    bounds: tuple[float, float, float, float]


def picture_of(
    placed: Sequence[Placed], seen: Seen, here: Collection[Numbered] = (), done: Collection[Numbered] | None = None
) -> Picture:
    """The picture with the pieces `here` highlighted and all others pale; or, for a build in progress, with those not
    yet `done` as missing. Pieces are given by part and number. Its cost doesn't depend on the order of the faces."""
    roles = [_role(piece.key, here, done) for piece in placed]
    dashes = tuple(
        outline for at, piece in enumerate(placed) if roles[at] == "here" for outline in seen.hidden[at]
    )  # fmt: skip
    return Picture(tuple((face, roles[face.piece]) for face in seen.faces), dashes, seen.bounds)


def pulled_apart(placed: Sequence[Placed], by: float = 0.5) -> tuple[Placed, ...]:
    """Every piece moved away from the middle by this fraction of its distance from it."""
    low, high = extent(placed)
    middle = tuple((a + b) / 2 for a, b in zip(low, high, strict=True))
    out = []
    for piece in placed:
        near, far = bounds(piece.points)
        away = ((near[0] + far[0]) / 2, (near[1] + far[1]) / 2, (near[2] + far[2]) / 2)
        out.append(piece.moved(Pose().by(times((away[0] - middle[0], away[1] - middle[1], away[2] - middle[2]), by))))
    return tuple(out)


def _role(key: Numbered, here: Collection[Numbered], done: Collection[Numbered] | None) -> Role:
    if key in here:
        return "here"
    if done is not None:
        return "wood" if key in done else "missing"
    return "pale" if here else "wood"
