"""The shapes of a build's parts, each computed once; and whether a mirrored piece is a piece of the build."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from tracker.design.model import Build, Hand, Part
from tracker.plan.geometry import solid
from tracker.plan.laps import LapShape, laps_of
from tracker.plan.place.bodies import Body, Vector, bounds, minus, norm
from tracker.plan.place.cells import cells_of
from tracker.plan.place.poses import Pose, mirrored
from tracker.plan.shape import Solid

_SAME = 0.01
"""Millimetres: corners closer than this coincide."""
_OWN_MIRRORS: tuple[tuple[int, ...], ...] = ((0,), (1,), (2,), (0, 1, 2))
"""Axes along which a piece may be its own mirror image: first end for end, so that its top face stays up where
possible; a splayed leg is its own image in a point."""


class Shape(Struct, frozen=True):
    """A piece of a part in its own frame."""

    part: Part
    hand: Hand | None
    solid: Solid
    cells: tuple[Body, ...]

    @property
    def points(self) -> list[Vector]:
        return [point for cell in self.cells for point in cell.points]


@lru_cache(maxsize=1024)
def _shape(part: Part, hand: Hand | None, laps: tuple[LapShape, ...]) -> Shape:
    """Cached, because many callers place the same parts, and cutting a part to shape takes the longest."""
    made = solid(part, hand)
    cells = cells_of(made, laps)
    if part.features:
        from tracker.plan.features import features_of  # it is made of this package's bodies
        from tracker.plan.features.volume import featured

        cells = featured(cells, features_of(part, made))
    return Shape(part, hand, made, cells)


class Shapes:
    """The shape of every part, one for each hand. Raises KeyError for an unknown part and ValueError for one without a
    shape."""

    def __init__(self, build: Build) -> None:
        self._build = build
        self._made: dict[tuple[str, Hand | None], Shape] = {}

    def of(self, part_id: str, hand: Hand | None) -> Shape:
        key = (part_id, hand)
        if key not in self._made:
            part = self._build.part(part_id)
            self._made[key] = _shape(part, hand, laps_of(self._build, part, hand))
        return self._made[key]

    def mirror_image(self, shape: Shape) -> tuple[Shape, Pose] | None:
        """The piece that is the mirror image of another: the other hand of a pair, or the same piece turned.

        The pose takes that piece to the mirror image in the frame of `shape`, so it is a mirroring pose. None when the
        mirror image isn't a piece of this part.
        """
        _, high = bounds(shape.points)
        size = (high[0], float(shape.solid.width), float(shape.solid.thickness))
        if shape.hand is not None:
            other: Hand = "right" if shape.hand == "left" else "left"
            if getattr(shape.part, other) == 0:
                return None
            return self.of(shape.part.id, other), mirrored(size, (1,))
        for axes in _OWN_MIRRORS:
            flip = mirrored(size, axes)
            if _falls_on(shape, flip):
                return shape, flip
        return None


def _falls_on(shape: Shape, flip: Pose) -> bool:
    """Whether a piece mirrored this way is the same piece: its corners and its holes coincide."""
    points = shape.points
    if not all(_near(flip.of(point), points) for point in points):
        return False
    holes = [(*hole.enters, *hole.leaves) for hole in shape.solid.holes]
    turned = [(*flip.of(hole.enters), *flip.of(hole.leaves)) for hole in shape.solid.holes]
    return all(any(max(abs(a - b) for a, b in zip(one, two, strict=True)) < _SAME for two in holes) for one in turned)


def _near(point: Vector, points: Sequence[Vector]) -> bool:
    return any(norm(minus(point, each)) < _SAME for each in points)
