"""The sides of a piece as working frames: two directions across a side, and one into the wood.

On a face `u` runs along the piece and `v` from the near to the far edge; on an edge `u` runs along and `v` from the
bottom to the top face; on an end `u` runs from near to far and `v` from bottom to top. `into` is the depth below the
side. Each is a linear form of a point, so cuts are bounded by planes at any angles of the ends.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.design.feature import FeatureSide
from tracker.plan.place.bodies import Vector, dot, times
from tracker.plan.shape import Solid


class Linear(Struct, frozen=True):
    """`normal · p + at`."""

    normal: Vector
    at: float

    def of(self, point: Vector) -> float:
        return dot(self.normal, point) + self.at

    def plus(self, other: Linear, by: float) -> Linear:
        mine, theirs = self.normal, other.normal
        return Linear(
            (mine[0] + by * theirs[0], mine[1] + by * theirs[1], mine[2] + by * theirs[2]), self.at + by * other.at
        )


class Half(Struct, frozen=True):
    """The half-space where `form` is at most `most`."""

    form: Linear
    most: float

    @property
    def turned(self) -> Half:
        """The other half-space."""
        return Half(Linear(times(self.form.normal, -1), -self.form.at), -self.most)


X, Y, Z = Linear((1.0, 0.0, 0.0), 0.0), Linear((0.0, 1.0, 0.0), 0.0), Linear((0.0, 0.0, 1.0), 0.0)


class SideFrame(Struct, frozen=True, kw_only=True):
    """One side of one piece. `low` and `high` are the sides that bound `u` and `v`; `spans` are their extents."""

    on: FeatureSide
    u: Linear
    v: Linear
    into: Linear
    low: tuple[FeatureSide, FeatureSide]
    high: tuple[FeatureSide, FeatureSide]
    deep: float
    """The distance from this side to the opposite one; the whole length on an end."""
    solid: Solid

    def point(self, u: float, v: float, into: float) -> Vector:
        """The point at a position on the side and a depth."""
        width, thickness = float(self.solid.width), float(self.solid.thickness)
        if self.on in ("top", "bottom"):
            return (u, v, thickness - into if self.on == "top" else into)
        if self.on in ("near", "far"):
            return (u, into if self.on == "near" else width - into, v)
        x = self.solid.reach("A", u, v) + into if self.on == "A" else self.solid.reach("B", u, v) - into
        return (x, u, v)

    def toward(self, side: FeatureSide) -> Vector:
        """The direction along this side toward a neighbouring side, however slanted that is."""
        axis = 0 if side in (self.low[0], self.high[0]) else 1
        way = (self.u, self.v)[axis].normal
        return times(way, -1.0) if side == self.low[axis] else way

    def span(self, axis: int, other: float) -> tuple[float, float]:
        """The range of the side in `u` (axis 0) or `v` (1), at a position on the other axis."""
        if axis == 1 or self.on in ("A", "B"):
            return 0.0, self.extent(axis)
        z = {"top": float(self.solid.thickness), "bottom": 0.0}.get(self.on, other)
        y = {"near": 0.0, "far": float(self.solid.width)}.get(self.on, other)
        return self.solid.reach("A", y, z), self.solid.reach("B", y, z)

    def extent(self, axis: int) -> float:
        """The extent in `v` (axis 1), which begins at 0; on an end also that in `u` (0)."""
        widths = {"near": float(self.solid.width), "bottom": float(self.solid.thickness)}
        return widths[self.low[axis]]


def side_frame(solid: Solid, on: FeatureSide) -> SideFrame:
    """The frame of one side of a piece."""
    width, thickness = float(solid.width), float(solid.thickness)
    if on in ("top", "bottom"):
        into = Linear((0.0, 0.0, -1.0), thickness) if on == "top" else Z
        return SideFrame(
            on=on, u=X, v=Y, into=into, low=("A", "near"), high=("B", "far"), deep=thickness, solid=solid
        )  # fmt: skip
    if on in ("near", "far"):
        into = Y if on == "near" else Linear((0.0, -1.0, 0.0), width)
        return SideFrame(
            on=on, u=X, v=Z, into=into, low=("A", "bottom"), high=("B", "top"), deep=width, solid=solid
        )  # fmt: skip
    at, along_y, along_z = solid.plane_a if on == "A" else solid.plane_b
    into = Linear((1.0, -along_y, -along_z), -at)
    if on == "B":
        into = Linear((-1.0, along_y, along_z), at)
    return SideFrame(
        on=on, u=Y, v=Z, into=into, low=("near", "bottom"), high=("far", "top"), deep=float(solid.edges.overall),
        solid=solid,
    )  # fmt: skip
