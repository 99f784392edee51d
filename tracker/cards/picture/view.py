"""The viewpoint: a parallel projection, from the front, from the side and from above."""

from __future__ import annotations

from functools import cached_property

from tracker.measure import Angle
from tracker.plan.place.bodies import Vector, cross, dot
from tracker.plan.trig import cosine, sine

Flat = tuple[float, float]
"""A point of the picture, in mm: to the right, and up."""


class View:
    """Seen from the front, the eye moved `azimuth` degrees to the right and `height` degrees up. Parallel projection.

    The default isn't a multiple of 30°, because edges of a hexagon or of boards at 60° would coincide.
    """

    def __init__(self, azimuth: Angle = 24.0, height: Angle = 24.0) -> None:
        self.azimuth, self.height = azimuth, height
        self.right: Vector = (cosine(azimuth), sine(azimuth), 0.0)
        self.toward: Vector = (
            sine(azimuth) * cosine(height), -cosine(azimuth) * cosine(height), sine(height)
        )  # fmt: skip
        """The direction from the object to the eye."""

    @cached_property
    def up(self) -> Vector:
        return cross(self.toward, self.right)

    def flat(self, point: Vector) -> Flat:
        return (dot(self.right, point), dot(self.up, point))

    def depth(self, point: Vector) -> float:
        """How near a point is to the eye; greater is nearer."""
        return dot(self.toward, point)
