"""How far apart two convex bodies are, or how deep they overlap (the separating axis theorem)."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.plan.place.bodies import Body, Vector, cross, dot, norm, times


class Separation(Struct, frozen=True):
    """The direction that separates two bodies best.

    `gap`, in mm: if positive, a lower bound of their distance (exact between faces, and between edges); if negative,
    the least move that would separate them. `toward` points from the first to the second. `by` says what separates
    them: a face of the first or of the second, or two edges.
    """

    gap: float
    toward: Vector
    by: Literal["first", "second", "edges"]


def separation(first: Body, second: Body) -> Separation:
    """The separation of two bodies."""
    best = _by_faces(first, second, "first", 1.0)
    other = _by_faces(second, first, "second", -1.0)
    if other.gap > best.gap:
        best = other
    for u in first.edges:
        for v in second.edges:
            normal = cross(u, v)
            length = norm(normal)
            if length < 1e-6:
                continue
            normal = times(normal, 1 / length)
            low_first, high_first = _span(first, normal)
            low_second, high_second = _span(second, normal)
            if low_second - high_first > best.gap:
                best = Separation(low_second - high_first, normal, "edges")
            if low_first - high_second > best.gap:
                best = Separation(low_first - high_second, times(normal, -1), "edges")
    return best


def boxes_apart(first: Body, second: Body, by: float) -> bool:
    """Whether the bounding boxes of two bodies are more than `by` mm apart, which means that the bodies are."""
    (al, ah), (bl, bh) = first.box, second.box
    return any(al[k] > bh[k] + by or bl[k] > ah[k] + by for k in range(3))


def _by_faces(body: Body, other: Body, by: Literal["first", "second"], sign: float) -> Separation:
    best = Separation(-1e30, (0.0, 0.0, 1.0), by)
    for plane in body.planes:
        gap = min(dot(plane.normal, p) for p in other.points) - plane.distance
        if gap > best.gap:
            best = Separation(gap, times(plane.normal, sign), by)
    return best


def _span(body: Body, normal: Vector) -> tuple[float, float]:
    along = [dot(normal, p) for p in body.points]
    return min(along), max(along)
