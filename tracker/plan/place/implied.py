"""Positions that need no rows in the file, because the joint defines them: a ring of mitred sides, boards glued edge to
edge."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.design.model import Assembly, Build, RingJoint
from tracker.plan.place.bodies import bounds, times
from tracker.plan.place.poses import Pose, about, axes
from tracker.plan.place.shapes import Shape, Shapes
from tracker.plan.place.turning import UP
from tracker.plan.placeable import glued_run, ring_of
from tracker.plan.shape import ENDS
from tracker.plan.trig import tangent


def implied_places(build: Build, assembly: Assembly, shapes: Shapes) -> Iterator[tuple[Shape, Pose]]:
    """Every piece of such an assembly, its lowest corner at zero; empty for any other assembly."""
    ring = ring_of(build, assembly)
    if ring is not None:
        yield from _ring(shapes.of(ring, None))
        return
    across = 0.0
    for id_, count in glued_run(build, assembly):
        shape = shapes.of(id_, None)
        low, _ = bounds(shape.points)
        for _ in range(count):
            yield shape, Pose().by((-low[0], across - low[1], -low[2]))
            across += float(shape.solid.width)


def _ring(shape: Shape) -> Iterator[tuple[Shape, Pose]]:
    """The sides of a ring: the first in front, the others anticlockwise as seen from above."""
    joint = shape.part.ends
    assert isinstance(joint, RingJoint)
    apothem = float(shape.solid.edges.far_top) / 2 / tangent(180.0 / joint.sides)
    pose = about((1.0, 0.0, 0.0), joint.lean) @ axes((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
    a, b = (pose.of(shape.solid.corner(end, "far", "top")) for end in ENDS)
    pose = pose.by((-(a[0] + b[0]) / 2, -apothem - a[1], 0.0))
    ring = [about(UP, 360.0 / joint.sides * which) @ pose for which in range(joint.sides)]
    low, _ = bounds([each.of(point) for each in ring for point in shape.points])
    for each in ring:
        yield shape, each.by(times(low, -1))
