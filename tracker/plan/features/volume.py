"""What the features leave of a piece: its convex bodies, and its net volume.

Flat-walled features are cut off body by body, so wood that two of them share is counted once. Round holes and the round
ends of slots are subtracted by formula; a round over or a cove by numerical integration over its depth
(Gauss-Legendre).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import cos, pi, sin, sqrt

from tracker.design.feature import FeatureSide
from tracker.plan import convex
from tracker.plan.features.feature_shape import FeatureShape, Region
from tracker.plan.features.side import Half
from tracker.plan.place.bodies import Body, norm, times
from tracker.plan.place.cells import INNER, LEAST_VOLUME
from tracker.plan.shape import Solid

LEAST_DEPTH = 1e-7
"""Millimetres: a body that reaches no deeper into a region is outside it."""
_NODES = 24
"""Points of the integration over a profile's depth: the integrand is smooth in the angle, and this many leave an error
of 1e-12."""


def clipped(body: Body, half: Half, name: str = INNER) -> Body:
    """The part of a body in a half-space."""
    length = norm(half.form.normal)
    return body.clipped(times(half.form.normal, 1 / length), (half.most - half.form.at) / length, name)


def within(bodies: Iterable[Body], region: Region) -> Iterator[Body]:
    """The part of some bodies in a region."""
    for body in bodies:
        if _apart(body, region):
            continue
        for half in region:
            body = clipped(body, half)
            if not body:
                break
        if body.volume > LEAST_VOLUME:
            yield body


def _apart(body: Body, region: Region) -> bool:
    """Whether all of a body is outside one of the planes; most features are nowhere near most bodies."""
    return any(min(map(half.form.of, body.points)) >= half.most - LEAST_DEPTH for half in region)


def subtracted(bodies: Sequence[Body], region: Region, name: str) -> tuple[Body, ...]:
    """The part of some bodies outside a region, as convex bodies side by side. The new walls are called `name`."""
    left: list[Body] = []
    for body in bodies:
        if next(within((body,), region), None) is None:
            left.append(body)
            continue
        rest = body
        for half in region:
            outer = clipped(rest, half.turned, name)
            if outer.volume > LEAST_VOLUME:
                left.append(outer)
            rest = clipped(rest, half)
            if not rest:
                break
    return tuple(left)


def featured(bodies: Sequence[Body], shapes: Iterable[FeatureShape]) -> tuple[Body, ...]:
    """What the flat-walled features leave. Slots have square ends here; round holes and profiles are left out."""
    left = tuple(bodies)
    for shape in shapes:
        for region in shape.regions:
            left = subtracted(left, region, shape.name)
    return left


def net_volume(solid: Solid, bodies: Sequence[Body], shapes: Sequence[FeatureShape]) -> float:
    """The remaining volume in cubic millimetres, less holes of a known diameter. `bodies` are those of the piece with
    its half-laps cut."""
    left = sum(body.volume for body in featured(bodies, shapes))
    for shape in shapes:
        left -= sum(each.volume for each in shape.rounds) - shape.round_ends
        left -= profile_volume(solid, shape)
    for hole in solid.holes:
        if hole.diameter is not None and hole.kind != "pocket":
            long = sqrt(sum((b - a) ** 2 for a, b in zip(hole.enters, hole.leaves, strict=True)))
            left -= pi * (float(hole.diameter) / 2) ** 2 * long
    return left


def profile_volume(solid: Solid, shape: FeatureShape) -> float:
    """The volume that a round over or a cove removes; 0 for anything else."""
    feature = shape.feature
    if feature.kind != "profile" or feature.shape == "chamfer" or feature.radius is None:
        return 0.0
    radius = float(feature.radius)
    total = 0.0
    for face in ("top", "bottom"):
        edges = [edge for edge, on in dict.fromkeys(feature.edges) if on == face]
        if not edges:
            continue
        for x, weight in _gauss():
            angle = (x + 1) * pi / 4  # from the foot of the profile on the edge to the face
            if feature.shape == "round over":  # a quarter of a circle centred inside the wood
                down, inset, grows = radius * (1 - sin(angle)), radius * (1 - cos(angle)), radius * cos(angle)
            else:  # centred on the edge itself
                down, inset, grows = radius * cos(angle), radius * sin(angle), radius * sin(angle)
            z = float(solid.thickness) - down if face == "top" else down
            section = _between_shoulders(solid, z)
            lost = convex.area(section) - convex.area(_inset(solid, section, edges, inset, z))
            total += weight * pi / 4 * grows * lost
    return total


def _gauss() -> Iterator[tuple[float, float]]:
    """Nodes and weights from -1 to 1, by Newton's method on the Legendre polynomials."""
    for at in range(_NODES):
        x = cos(pi * (at + 0.75) / (_NODES + 0.5))
        slope = 1.0
        for _ in range(50):
            before, here = 1.0, x
            for degree in range(2, _NODES + 1):
                before, here = here, ((2 * degree - 1) * x * here - (degree - 1) * before) / degree
            slope = _NODES * (x * here - before) / (x * x - 1)
            step = here / slope
            x -= step
            if abs(step) < 1e-16:
                break
        yield x, 2 / ((1 - x * x) * slope * slope)


def _between_shoulders(solid: Solid, z: float) -> tuple[convex.Point, ...]:
    """The outline at a height, without the tenons."""
    section, width = solid.section(z), float(solid.width)
    if solid.tenon_a:
        long = float(solid.tenon_a)
        near, far = solid.reach("A", 0.0, z) + long, solid.reach("A", width, z) + long
        section = convex.left_of(section, (far, width), (near, 0.0))
    if solid.tenon_b:
        long = float(solid.tenon_b)
        near, far = solid.reach("B", 0.0, z) - long, solid.reach("B", width, z) - long
        section = convex.left_of(section, (near, 0.0), (far, width))
    return section


def _inset(
    solid: Solid, section: tuple[convex.Point, ...], edges: Sequence[FeatureSide], by: float, z: float
) -> tuple[convex.Point, ...]:
    width = float(solid.width)
    for edge in edges:
        if edge == "near":
            section = convex.left_of(section, (0.0, by), (1.0, by))
        elif edge == "far":
            section = convex.left_of(section, (1.0, width - by), (0.0, width - by))
        else:
            near, far = solid.reach(edge, 0.0, z), solid.reach(edge, width, z)  # type: ignore[arg-type]
            move = by if edge == "A" else -by
            one, two = (far + move, width), (near + move, 0.0)
            section = convex.left_of(section, one, two) if edge == "A" else convex.left_of(section, two, one)
    return section
