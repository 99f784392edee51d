"""Screws, dowels and bolts as solids: each a few flat-ended cylinders in a row, in place. Millimetres."""

from __future__ import annotations

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.design.model import EndName, HoleFace, HoleKind
from tracker.plan.place.bodies import Vector, minus, norm, plus, times, unit
from tracker.plan.trig import tangent


class Rod(Struct, frozen=True):
    """A flat-ended cylinder from `a` to `b` in one piece of wood. `opens` are the faces of that piece it may come out
    of; `what` is its kind: bore, recess, shank, thread, dowel, hole."""

    a: Vector
    b: Vector
    radius: float
    piece: Numbered
    opens: frozenset[str]
    what: str

    @property
    def box(self) -> tuple[Vector, Vector]:
        """The least and the greatest x, y and z of the rod with round ends."""
        (ax, ay, az), (bx, by, bz), r = self.a, self.b, self.radius
        return (
            (min(ax, bx) - r, min(ay, by) - r, min(az, bz) - r),
            (max(ax, bx) + r, max(ay, by) + r, max(az, bz) + r),
        )

    def moved(self, by: Vector) -> Rod:
        return Rod(plus(self.a, by), plus(self.b, by), self.radius, self.piece, self.opens, self.what)


class Screw(Struct, frozen=True, kw_only=True):
    """One screw, dowel, bolt or plain hole of a piece, in place. `mouth` is where its axis enters the wood, `tip` where
    it ends; `hole` is its index in the piece's holes. `enters`: the piece that it goes on into. `temporary`: it comes
    out when the glue is dry. `goes_in` is how deep it goes into that piece, along its axis."""

    piece: Numbered
    hole: int
    kind: HoleKind
    end: EndName
    face: HoleFace
    row: int
    rods: tuple[Rod, ...]
    mouth: Vector
    tip: Vector
    enters: Numbered | None = None
    temporary: bool = False
    goes_in: float = 0.0

    @property
    def thickest(self) -> float:
        """The radius of its thickest rod."""
        return max(rod.radius for rod in self.rods)

    def moved(self, by: Vector) -> Screw:
        """The same screw elsewhere along its joint."""
        return Screw(
            piece=self.piece, hole=self.hole, kind=self.kind, end=self.end, face=self.face, row=self.row,
            rods=tuple(rod.moved(by) for rod in self.rods), mouth=plus(self.mouth, by), tip=plus(self.tip, by),
            enters=self.enters, temporary=self.temporary, goes_in=self.goes_in,
        )  # fmt: skip


def run_out(radius: float, slope: float) -> float:
    """How far outside a face a rod at that slope (degrees) begins, along its axis, so that all of its flat end is
    outside."""
    return radius / tangent(slope)


def along(a: Vector, b: Vector) -> Vector:
    """The direction from one point to another."""
    return unit(minus(b, a))


def beyond(point: Vector, direction: Vector, by: float) -> Vector:
    """A point farther on in a direction."""
    return plus(point, times(direction, by))


def apart(a: Vector, b: Vector) -> float:
    return norm(minus(a, b))
