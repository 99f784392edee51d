"""The areas where two placed pieces touch: the glue lines between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracker.plan import convex
from tracker.plan.place.bodies import Body, Plane, Vector, cross, dot, mean, newell, norm, plus, times, unit
from tracker.plan.place.meetings import meetings
from tracker.plan.place.placed import Placed

FACING = -0.996
"""The cosine between the normals of touching faces: within 5 degrees of opposite, as a joint on splayed legs is before
it is pulled tight."""
GAP = 1.5
"""Millimetres: how far the middle of the smaller face may be from the plane of the other."""


def glue_lines(placed: Sequence[Placed]) -> float:
    """The area, in square millimetres, where pieces of one glue-up touch that weren't joined before it."""
    total = 0.0
    for each in meetings(placed):
        one, other = placed[each.first], placed[each.second]
        before = one.within[1:2]  # the assembly within the glue-up that a piece belongs to, if any
        if not before or before != other.within[1:2]:
            total += sum(norm(newell(outline)) / 2 for outline in shared_outlines(one, other))
    return total


def shared_outlines(one: Placed, other: Placed) -> Iterator[tuple[Vector, ...]]:
    """The outline of each flat area where two pieces touch."""
    for body in one.cells:
        for against in other.cells:
            yield from (outline for _, _, outline in _together(body, against))


def faces_together(one: Body, other: Body) -> Iterator[tuple[str, str, float]]:
    """Each pair of touching faces of two bodies: both names, and the area where they touch."""
    for mine, theirs, outline in _together(one, other):
        yield mine, theirs, norm(newell(outline)) / 2


def _together(one: Body, other: Body) -> Iterator[tuple[str, str, tuple[Vector, ...]]]:
    for plane, (_, points) in zip(one.planes, one.faces, strict=True):
        for against, (_, facing) in zip(other.planes, other.faces, strict=True):
            if dot(plane.normal, against.normal) < FACING and _apart(plane, points, against, facing) <= GAP:
                outline = _overlap(plane, points, facing)
                if len(outline) > 2:
                    yield plane.name, against.name, outline


def _apart(plane: Plane, points: Sequence[Vector], against: Plane, facing: Sequence[Vector]) -> float:
    """How far the middle of either face is from the plane of the other, whichever is nearer."""
    return min(
        abs(dot(against.normal, mean(points)) - against.distance), abs(dot(plane.normal, mean(facing)) - plane.distance)
    )


def _overlap(plane: Plane, points: Sequence[Vector], facing: Sequence[Vector]) -> tuple[Vector, ...]:
    """The overlap of two polygons in one plane, wound opposite ways; empty where they don't overlap."""
    right = unit(cross(_unlike(plane.normal), plane.normal))
    up = cross(plane.normal, right)
    outline = tuple((dot(point, right), dot(point, up)) for point in points)
    clip = [(dot(point, right), dot(point, up)) for point in reversed(facing)]
    for at, corner in enumerate(clip):
        outline = convex.left_of(outline, clip[at - 1], corner)
    at_plane = times(plane.normal, plane.distance)
    return tuple(plus(at_plane, plus(times(right, x), times(up, y))) for x, y in outline)


def _unlike(normal: Vector) -> Vector:
    """The axis with the smallest component of the normal."""
    least = min(range(3), key=lambda axis: abs(normal[axis]))
    return (float(least == 0), float(least == 1), float(least == 2))
