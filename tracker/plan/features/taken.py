"""The wood removed by features, holes and half-laps of a piece, as convex bodies."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, sin

from tracker.design.model import Build, Part
from tracker.plan.features.feature_shape import FeatureShape, Region, Round
from tracker.plan.features.side import Half, Linear
from tracker.plan.features.volume import within
from tracker.plan.laps import LapShape, laps_of
from tracker.plan.place.bodies import Body, Vector, cross, dot, minus, norm, plus, times, unit
from tracker.plan.shape import Solid
from tracker.words import say

SLACK = 1e-6
SIDES_OF_ROUND = 24


def rim(each: Round) -> Iterator[Vector]:
    """Points on a round hole's edge where it enters and where it stops."""
    way = unit(minus(each.leaves, each.enters))
    u, v = _square_to(way)
    for end in (each.enters, each.leaves):
        for at in range(SIDES_OF_ROUND):
            angle = 2 * pi * at / SIDES_OF_ROUND
            yield plus(end, plus(times(u, each.radius * cos(angle)), times(v, each.radius * sin(angle))))


def _square_to(way: Vector) -> tuple[Vector, Vector]:
    u = unit(cross(way, (0.0, 0.0, 1.0) if abs(way[2]) < 0.9 else (1.0, 0.0, 0.0)))
    return u, cross(way, u)


def _prism(each: Round) -> Region:
    """The circumscribed prism of a round hole."""
    way = unit(minus(each.leaves, each.enters))
    u, v = _square_to(way)
    halves = [
        Half(Linear(way, 0.0), dot(way, each.leaves)),
        Half(Linear(times(way, -1), 0.0), -dot(way, each.enters) + each.radius),
    ]
    for at in range(SIDES_OF_ROUND):
        angle = 2 * pi * at / SIDES_OF_ROUND
        normal = plus(times(u, cos(angle)), times(v, sin(angle)))
        halves.append(Half(Linear(normal, 0.0), dot(normal, each.enters) + each.radius))
    return tuple(halves)


def bodies_of(shape: FeatureShape, body: Body) -> list[Body]:
    """The wood that a feature removes, as convex bodies; for a tenon also the tenon, which nothing else may cut."""
    found = [each for region in shape.regions for each in within((body,), region)]
    if shape.kept is not None:
        found += within((body,), shape.kept)
    for each in shape.rounds:
        found += within((body,), _prism(each))
    feature = shape.feature
    if feature.kind == "profile" and feature.shape != "chamfer":
        found += [each for region in profile_regions(shape, body) for each in within((body,), region)]
    return found


def profile_regions(shape: FeatureShape, body: Body) -> Iterator[Region]:
    """The wedge around the wood that a round over or a cove removes."""
    radius = 0.0 if shape.feature.radius is None else float(shape.feature.radius)
    planes = {plane.name: plane for plane in body.planes}
    for edge, face in shape.feature.edges:
        if edge in planes and face in planes:
            halves = (planes[edge], planes[face])
            yield tuple(Half(Linear(times(each.normal, -1), 0.0), radius - each.distance) for each in halves)


def other_work(build: Build, part: Part, solid: Solid, body: Body) -> list[tuple[str, Body]]:
    """The holes and half-laps of a part as bodies, each with its name."""
    found = []
    for hole in solid.holes:
        wide = 9.5 if hole.diameter is None else float(hole.diameter)
        each = Round(enters=hole.enters, leaves=hole.leaves, radius=wide / 2)
        if norm(minus(each.leaves, each.enters)) > SLACK:
            found += [
                (say("hole {which} at end {end}", which=hole.which + 1, end=hole.end), one)
                for one in within((body,), _prism(each))
            ]
    for lap in laps_of(build, part, solid.hand):
        taken = _lap_body(lap, body, float(solid.width), float(solid.thickness))
        found += [(say("the half-lap for {crosses}", crosses=lap.crosses), one) for one in taken]
    return found


def _lap_body(lap: LapShape, body: Body, width: float, thickness: float) -> Iterator[Body]:
    left, right = sorted(lap.shoulders, key=sum)
    region = []
    for shoulder, sign in ((left, -1.0), (right, 1.0)):
        slope = (shoulder[1] - shoulder[0]) / width
        region.append(Half(Linear((sign, -sign * slope, 0.0), 0.0), sign * shoulder[0]))
    depth = float(lap.depth)
    top = lap.face == "top"
    region.append(Half(Linear((0.0, 0.0, -1.0 if top else 1.0), 0.0), -(thickness - depth) if top else depth))
    yield from within((body,), tuple(region))
