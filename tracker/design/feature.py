"""Features of a part: what the build file cuts into a piece in addition to its ends, tapers, holes and laps."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.measure import Angle, Length

FeatureKind = Literal[
    "notch", "mortise", "tenon", "groove", "dado", "rabbet", "bore", "dowel", "bolt", "counterbore", "slot", "profile",
    "bevel",
]  # fmt: skip
FeatureSide = Literal["top", "bottom", "near", "far", "A", "B"]
"""A face, an edge or an end of the piece."""
ProfileShape = Literal["chamfer", "round over", "cove"]
OPPOSITE: dict[FeatureSide, FeatureSide] = {
    "top": "bottom", "bottom": "top", "near": "far", "far": "near", "A": "B", "B": "A",
}  # fmt: skip
OPERATION: dict[FeatureKind, str] = {
    "notch": "notch", "mortise": "mortise", "tenon": "tenon", "groove": "groove", "dado": "dado", "rabbet": "rabbet",
    "bore": "drill", "dowel": "drill", "bolt": "drill", "counterbore": "drill", "slot": "slot", "profile": "profile",
    "bevel": "bevel",
}  # fmt: skip
"""The operation of the route that makes each kind of feature."""


class Haunch(Struct, frozen=True, kw_only=True):
    """A stub of a tenon beside it, `length` long from the shoulder. `width` None: it reaches to the edge."""

    edge: Literal["near", "far"]
    length: Length
    width: Length | None = None


class Feature(Struct, frozen=True, kw_only=True):
    """One row of `features`. `on` is the side that is worked.

    `at` holds distances from named sides to the nearer wall of the feature, or to the axis of a round hole. `toward`
    holds shifts from the middle. On an axis that neither one names, the feature is in the middle. `length` runs along
    the piece (across it on an end), `width` square to that on the side, and `depth` into the wood, square to the side,
    or along the axis of a round hole. `lean` is the side toward which the feature runs as it goes in. `edge` is the
    edge or end that a rabbet removes. `stop` is how far from a side a groove, dado or rabbet stops. `angle` is a dado's
    angle from square across, positive toward end B from near to far, or a bevel's angle from square. `hole` and
    `hole_depth` describe the narrow hole below a wide one.
    """

    kind: FeatureKind
    on: FeatureSide = "top"
    at: tuple[tuple[FeatureSide, Length], ...] = ()
    toward: tuple[tuple[FeatureSide, Length], ...] = ()
    length: Length | None = None
    width: Length | None = None
    depth: Length | None = None
    thickness: Length | None = None
    diameter: Length | None = None
    hole: Length | None = None
    hole_depth: Length | None = None
    through: bool = False
    lean: tuple[tuple[FeatureSide, Angle], ...] = ()
    edge: FeatureSide | None = None
    stop: tuple[tuple[FeatureSide, Length], ...] = ()
    haunch: Haunch | None = None
    angle: Angle = 0.0
    long_face: Literal["top", "bottom"] = "top"
    edges: tuple[tuple[FeatureSide, FeatureSide], ...] = ()
    shape: ProfileShape = "chamfer"
    radius: Length | None = None
    height: Length | None = None
    count: int = 1
    spacing: Length | None = None
    row: Literal["along", "across"] = "along"
    fits: str = ""
    play: Length | None = None
    tool: str = ""
    line: int = 0

    @property
    def operation(self) -> str:
        return OPERATION[self.kind]
