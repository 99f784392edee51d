"""The wood removed by one feature, in the frame of `plan.shape` (mm): flat walls, round holes, numbers."""

from __future__ import annotations

from math import pi

from msgspec import Struct

from tracker.design.feature import Feature, FeatureSide
from tracker.measure import Length
from tracker.plan.features.side import Half
from tracker.plan.place.bodies import Vector, minus, norm

Region = tuple[Half, ...]
"""A convex region: the intersection of its half-spaces. It may be unbounded."""
Outline = tuple[tuple[float, float], ...]
Numbers = list[tuple[str, Length | float]]


class Round(Struct, frozen=True, kw_only=True):
    """A round hole: its axis, from the side it enters to its flat bottom or its exit, and its radius."""

    enters: Vector
    leaves: Vector
    radius: float

    @property
    def volume(self) -> float:
        """The volume below the side. A cylinder cut off at an angle has the volume given by its axis."""
        return pi * self.radius**2 * norm(minus(self.leaves, self.enters))


class FeatureShape(Struct, frozen=True, kw_only=True):
    """One feature, or one of a row."""

    feature: Feature
    row: int
    """Its index in the part's features."""
    which: int
    """Its index in its row."""
    name: str
    """`mortise 1`: its kind, and its number among those of that kind on the part."""
    on: FeatureSide
    regions: tuple[Region, ...] = ()
    rounds: tuple[Round, ...] = ()
    slot: tuple[float, float, float] | None = None
    """The length, width and depth of a slot with round ends, whose bounding box is its region."""
    kept: Region | None = None
    """The tenon that the regions leave."""
    corners: tuple[Vector, ...] = ()
    """Points that must be in the wood, on the side or below it."""
    numbers: tuple[tuple[str, Length | float], ...] = ()
    """What is marked and set, in that order: lengths, and degrees under names that end in `deg`."""
    outline: Outline = ()
    """Its outline on the side, in `u` and `v`."""
    circle: tuple[float, float, float] | None = None
    """`u`, `v` and the radius of a round hole on its side."""

    @property
    def round_ends(self) -> float:
        """The volume that the round ends of a slot leave of its box."""
        if self.slot is None:
            return 0.0
        _, width, depth = self.slot
        return (width**2 - pi * width**2 / 4) * depth
