"""Round holes: bores, dowels, bolts and counterbores."""

from __future__ import annotations

from math import cos, radians, sin

from msgspec.structs import replace

from tracker.design.feature import OPPOSITE, Feature
from tracker.plan.features.feature_shape import FeatureShape, Round
from tracker.plan.features.placing import mm, numbers_to, start_of
from tracker.plan.features.side import SideFrame, side_frame
from tracker.plan.place.bodies import Vector, dot, minus, norm, plus, times, unit
from tracker.plan.shape import Solid


def bore(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """A hole, or a narrow hole below a wide one."""
    frame = side_frame(solid, feature.on)
    v = start_of(feature, frame, 1, 0.0, which, 0.0)
    u = start_of(feature, frame, 0, 0.0, which, v)
    enters = frame.point(u, v, 0.0)
    radius = mm(feature.diameter) / 2
    through, deep = feature.through and feature.hole is None, mm(feature.depth)
    rounds = [_axis(feature, frame, enters, radius, through, deep)]
    if feature.hole is not None:
        below = _axis(feature, frame, enters, mm(feature.hole) / 2, feature.through, mm(feature.hole_depth))
        if norm(minus(below.leaves, enters)) > norm(minus(rounds[0].leaves, enters)):  # else the wide hole goes through
            rounds.append(replace(below, enters=rounds[0].leaves))
    numbers = [*numbers_to(feature, frame, (u, v), (0.0, 0.0)), ("diameter", feature.diameter)]
    numbers += [] if through else [("depth", feature.depth)]
    numbers += [("hole", feature.hole), ("hole depth", feature.hole_depth)]
    numbers += [(f"lean to {side} deg", angle) for side, angle in feature.lean]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, rounds=tuple(rounds),
        numbers=tuple((name, value) for name, value in numbers if value is not None), circle=(u, v, radius),
    )  # fmt: skip


def _axis(feature: Feature, frame: SideFrame, enters: Vector, radius: float, through: bool, deep: float) -> Round:
    """The axis of a hole: square to its side, or leaning; its depth is measured along it."""
    way = unit(frame.into.normal)
    for side, angle in feature.lean:
        out = frame.toward(side)
        out = unit(minus(out, times(way, dot(out, way))))  # on a slanted end, within the plane of the end
        way = plus(times(way, cos(radians(angle))), times(out, sin(radians(angle))))
    if through:
        opposite = side_frame(frame.solid, OPPOSITE[frame.on])
        falls = -sum(a * b for a, b in zip(way, opposite.into.normal, strict=True))
        deep = opposite.into.of(enters) / falls
    return Round(enters=enters, leaves=plus(enters, times(way, deep)), radius=radius)
