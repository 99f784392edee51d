"""Convex bodies in space: a piece of wood is one, or a few side by side. Millimetres.

A body is a list of named faces, each a flat polygon whose corners run counter-clockwise as seen from outside. Bodies
are cut from a box, plane by plane, so they stay convex and closed, and every face keeps the name of what made it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from math import sqrt

from msgspec import Struct

from tracker.plan.convex import hull

Vector = tuple[float, float, float]
Face = tuple[str, tuple[Vector, ...]]
EPSILON = 1e-7
"""Millimetres: a corner closer to a plane is on it."""


def dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def plus(a: Vector, b: Vector) -> Vector:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def times(a: Vector, by: float) -> Vector:
    return (a[0] * by, a[1] * by, a[2] * by)


def cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def norm(a: Vector) -> float:
    return sqrt(dot(a, a))


def unit(a: Vector) -> Vector:
    """The direction of `a`. Raises ZeroDivisionError for a vector of no length."""
    return times(a, 1 / norm(a))


def mean(points: Sequence[Vector]) -> Vector:
    share = 1 / len(points)
    return (sum(p[0] for p in points) * share, sum(p[1] for p in points) * share, sum(p[2] for p in points) * share)


def newell(points: Sequence[Vector]) -> Vector:
    """A normal of a polygon, with twice its area as length (Newell's method); outward for a face of a body."""
    x = y = z = 0.0
    for at, b in enumerate(points):
        a = points[at - 1]
        x += (a[1] - b[1]) * (a[2] + b[2])
        y += (a[2] - b[2]) * (a[0] + b[0])
        z += (a[0] - b[0]) * (a[1] + b[1])
    return (x, y, z)


class Plane(Struct, frozen=True):
    """The plane of a face: outward unit normal, distance from the origin along it, and the face's name."""

    normal: Vector
    distance: float
    name: str


class Body:
    """One convex body: its distinct corners, and its faces as indices of corners. Without faces it is empty.

    `planes`, where known, are those of its faces in the same order.
    """

    def __init__(
        self, points: Sequence[Vector], rings: Sequence[tuple[str, tuple[int, ...]]], planes: Sequence[Plane] = ()
    ) -> None:
        self.points, self.rings = tuple(points), tuple(rings)
        self._planes = tuple(planes)

    @classmethod
    def of(cls, faces: Sequence[Face]) -> Body:
        """A body from faces with their corners; corners of neighbouring faces that coincide are merged."""
        places: dict[Vector, int] = {}
        points: list[Vector] = []
        rings = []
        for name, corners in faces:
            ring = []
            for corner in corners:
                at = places.setdefault(_rounded(corner), len(points))
                if at == len(points):
                    points.append(corner)
                ring.append(at)
            rings.append((name, tuple(ring)))
        return cls(points, rings)

    def __bool__(self) -> bool:
        return len(self.rings) >= 4

    @property
    def faces(self) -> tuple[Face, ...]:
        """Every face with its corners."""
        points = self.points
        return tuple((name, tuple(points[at] for at in ring)) for name, ring in self.rings)

    @property
    def planes(self) -> tuple[Plane, ...]:
        """The plane of every face, in the order of `faces`."""
        if not self._planes:
            found = []
            for name, points in self.faces:
                normal = unit(newell(points))
                found.append(Plane(normal, dot(normal, mean(points)), name))
            self._planes = tuple(found)
        return self._planes

    @cached_property
    def box(self) -> tuple[Vector, Vector]:
        """The least and the greatest x, y and z."""
        return bounds(self.points)

    @cached_property
    def edges(self) -> tuple[Vector, ...]:
        """The directions of its edges as unit vectors, parallel ones once."""
        found: list[Vector] = []
        for _, points in self.faces:
            for at, point in enumerate(points):
                along = minus(point, points[at - 1])
                if norm(along) < 1e-6:
                    continue
                along = unit(along)
                if all(abs(abs(dot(along, each)) - 1) > 1e-9 for each in found):
                    found.append(along)
        return tuple(found)

    @cached_property
    def volume(self) -> float:
        """Cubic millimetres, by the divergence theorem."""
        return sum(_tetrahedron(*triangle) for triangle in self._triangles())

    @cached_property
    def centre(self) -> Vector:
        """The centre of mass, for uniform density."""
        total: Vector = (0.0, 0.0, 0.0)
        for a, b, c in self._triangles():
            total = plus(total, times(plus(plus(a, b), c), _tetrahedron(a, b, c) / 4))
        return times(total, 1 / self.volume)

    def _triangles(self) -> list[tuple[Vector, Vector, Vector]]:
        return [(points[0], points[at], points[at + 1]) for _, points in self.faces for at in range(1, len(points) - 1)]

    def clipped(self, normal: Vector, distance: float, name: str) -> Body:
        """The part on or below the plane `normal · p = distance`; the new face is called `name`."""
        over = [dot(normal, point) - distance for point in self.points]
        if not over or max(over) <= EPSILON:  # most planes cut nothing off
            return self
        if min(over) >= -EPSILON:
            return Body.of(())
        kept: list[Face] = []
        cut: list[Vector] = []
        for tag, ring in self.rings:
            left = _clip_face([self.points[at] for at in ring], [over[at] for at in ring], cut)
            if norm(newell(left)) > 1e-9:
                kept.append((tag, left))
        lid = _around(cut, normal)
        if norm(newell(lid)) > 1e-9 and not any(_lies_in(points, normal, distance) for _, points in kept):
            kept.append((name, lid))
        return Body.of(kept if len(kept) >= 4 else ())


def box(low: Vector, high: Vector) -> Body:
    """A box whose faces are named as a piece lies: near, far, bottom, top, A and B."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    a, b, c, d = (x0, y0, z0), (x1, y0, z0), (x1, y1, z0), (x0, y1, z0)
    e, f, g, h = (x0, y0, z1), (x1, y0, z1), (x1, y1, z1), (x0, y1, z1)
    return Body.of(
        [
            ("bottom", (a, d, c, b)), ("top", (e, f, g, h)), ("near", (a, b, f, e)),
            ("far", (d, h, g, c)), ("A", (a, e, h, d)), ("B", (b, c, g, f)),
        ]
    )  # fmt: skip


def bounds(points: Sequence[Vector]) -> tuple[Vector, Vector]:
    """The least and the greatest x, y and z of some points."""
    xs, ys, zs = zip(*points, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def _clip_face(points: Sequence[Vector], over: Sequence[float], cut: list[Vector]) -> tuple[Vector, ...]:
    """The part of a face below a plane; `over` is each point's height above it. Corners in the plane are added to
    `cut`."""
    left: list[Vector] = []
    for at, point in enumerate(points):
        before, here = over[at - 1], over[at]
        if (before < -EPSILON and here > EPSILON) or (before > EPSILON and here < -EPSILON):
            where = plus(points[at - 1], times(minus(point, points[at - 1]), before / (before - here)))
            left.append(where)
            cut.append(where)
        if here <= EPSILON:
            left.append(point)
            if here >= -EPSILON:
                cut.append(point)
    return tuple(left)


def _around(points: Sequence[Vector], normal: Vector) -> tuple[Vector, ...]:
    """The convex hull of coplanar points, counter-clockwise about `normal`, without duplicates."""
    distinct = {_rounded(p): p for p in points}.values()
    u = unit(cross(normal, (1.0, 0.0, 0.0) if abs(normal[0]) < 0.9 else (0.0, 1.0, 0.0)))
    v = cross(normal, u)
    flat = {(round(dot(u, p), 6), round(dot(v, p), 6)): p for p in distinct}
    return tuple(flat[corner] for corner in hull(flat))


def _lies_in(points: Sequence[Vector], normal: Vector, distance: float) -> bool:
    return all(abs(dot(normal, p) - distance) <= 1e-6 for p in points)


def _tetrahedron(a: Vector, b: Vector, c: Vector) -> float:
    return dot(a, cross(b, c)) / 6


def _rounded(p: Vector) -> Vector:
    return (round(p[0], 6), round(p[1], 6), round(p[2], 6))
