"""What one feature of a piece takes away, in the frame of `plan.shape` (mm): flat walls, round holes, numbers."""

from __future__ import annotations

from math import pi

from msgspec import Struct

from tracker.design.feature import Feature, FeatureSide
from tracker.measure import Length
from tracker.plan.features.side import Half
from tracker.plan.place.bodies import Vector, minus, norm

Region = tuple[Half, ...]
"""A convex region: where all of its halves meet. Open toward what no half bounds."""
Outline = tuple[tuple[float, float], ...]
Numbers = list[tuple[str, Length | float]]


class Round(Struct, frozen=True, kw_only=True):
    """A round hole: its axis, from the side that it enters to its flat bottom or where it comes out, and its radius."""

    enters: Vector
    leaves: Vector
    radius: float

    @property
    def volume(self) -> float:
        """Of the hole below its side: a cylinder's that is cut off aslant is that of its axis."""
        return pi * self.radius**2 * norm(minus(self.leaves, self.enters))


class FeatureShape(Struct, frozen=True, kw_only=True):
    """One feature, or one of a row."""

    feature: Feature
    row: int
    """Its place in the part's features, from 0."""
    which: int
    """Its place in its row, from 0."""
    name: str
    """`mortise 1`: its kind, and which of that kind it is on the part."""
    on: FeatureSide
    regions: tuple[Region, ...] = ()
    rounds: tuple[Round, ...] = ()
    slot: tuple[float, float, float] | None = None
    """Length, width and depth of a slot with round ends, whose box is its region."""
    kept: Region | None = None
    """The tenon, which the regions leave."""
    corners: tuple[Vector, ...] = ()
    """Points that must be in the wood, on the side or below it."""
    numbers: tuple[tuple[str, Length | float], ...] = ()
    """What is marked and set, the first first: lengths, and degrees under names that end in `deg`."""
    outline: Outline = ()
    """Where it is on its side, in `u` and `v`."""
    circle: tuple[float, float, float] | None = None
    """`u`, `v` and the radius of a round hole on its side."""

    @property
    def round_ends(self) -> float:
        """What the round ends of a slot leave of its box."""
        if self.slot is None:
            return 0.0
        _, width, depth = self.slot
        return (width**2 - pi * width**2 / 4) * depth
