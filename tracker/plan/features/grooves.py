"""Grooves along a side, dados across it, rabbets at its edge."""

from __future__ import annotations

from math import cos, radians, tan

from tracker.design.feature import Feature
from tracker.plan.features.feature_shape import FeatureShape
from tracker.plan.features.placing import above, between, mm, numbers_to, rectangle, start_of
from tracker.plan.features.side import Half, Linear, side_frame
from tracker.plan.shape import Solid


def groove(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    frame = side_frame(solid, feature.on)
    depth, width = mm(feature.depth), mm(feature.width)
    v = start_of(feature, frame, 1, width, which, 0.0)
    low, high = frame.span(0, v + width / 2)
    stops = dict(feature.stop)
    begins, ends = low + mm(stops.get(frame.low[0])), high - mm(stops.get(frame.high[0]))
    region: list[Half] = [Half(frame.into, depth), *between(frame.v, v, v + width)]
    if mm(stops.get(frame.low[0])):
        region.append(above(frame.u, begins))
    if mm(stops.get(frame.high[0])):
        region.append(Half(frame.u, ends))
    u = (begins + ends) / 2
    corners = tuple(frame.point(u, b, deep) for b in (v, v + width) for deep in (0.0, depth))
    if ends <= begins:  # it stops before it begins
        corners = (*corners, frame.point(high + 1000.0, v, 0.0))
    place = numbers_to(feature, frame, (begins, v), (ends - begins, width))[1:]
    numbers = [*place, ("width", feature.width), ("depth", feature.depth)]
    numbers += [(f"stops from {side}", value) for side, value in feature.stop if value]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(tuple(region),), corners=corners,
        numbers=tuple((name, value) for name, value in numbers if value is not None),
        outline=rectangle(begins, v, ends - begins, width),
    )  # fmt: skip


def dado(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    frame = side_frame(solid, feature.on)
    depth, width = mm(feature.depth), mm(feature.width)
    wide = frame.extent(1)
    middle = wide / 2
    slope = tan(radians(feature.angle))
    along = width / cos(radians(feature.angle))
    u = start_of(feature, frame, 0, along, which, middle)
    across = frame.u.plus(frame.v, -slope).plus(Linear((0.0, 0.0, 0.0), 1.0), slope * middle)
    stops = dict(feature.stop)
    region: list[Half] = [Half(frame.into, depth), *between(across, u, u + along)]
    begins, ends = mm(stops.get(frame.low[1])), wide - mm(stops.get(frame.high[1]))
    if begins > 0:
        region.append(above(frame.v, begins))
    if ends < wide:
        region.append(Half(frame.v, ends))

    def at(a: float, b: float) -> float:
        return a + slope * (b - middle)

    corners = tuple(
        frame.point(at(a, b), b, deep) for a in (u, u + along) for b in (begins, ends) for deep in (0.0, depth)
    )
    if ends <= begins:
        corners = (*corners, frame.point(u, wide + 1000.0, 0.0))
    numbers = [*numbers_to(feature, frame, (u, 0.0), (along, wide))[:1], ("width", feature.width)]
    numbers += [("depth", feature.depth), *((f"stops from {side}", value) for side, value in feature.stop if value)]
    numbers += [("angle deg", feature.angle)] if feature.angle else []
    outline = (
        (at(u, begins), begins),
        (at(u + along, begins), begins),
        (at(u + along, ends), ends),
        (at(u, ends), ends),
    )
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(tuple(region),), corners=corners,
        numbers=tuple((name, value) for name, value in numbers if value is not None), outline=outline,
    )  # fmt: skip


def rabbet(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    frame = side_frame(solid, feature.on)
    edge = feature.edge
    assert edge is not None, "a rabbet has an edge"
    depth, width = mm(feature.depth), mm(feature.width)
    beside = side_frame(solid, edge)
    region: list[Half] = [Half(frame.into, depth), Half(beside.into, width)]
    axis = 1 if edge in (frame.low[0], frame.high[0]) else 0  # the axis along which it runs
    at_low = edge in frame.low
    low, high = frame.span(axis, 0.0 if at_low else frame.extent(1))  # along the edge itself, where it is measured
    stops, form = dict(feature.stop), frame.v if axis else frame.u
    first, last = frame.low[axis], frame.high[axis]
    begins, ends = low + mm(stops.get(first)), high - mm(stops.get(last))
    if mm(stops.get(first)):
        region.append(above(form, begins))
    if mm(stops.get(last)):
        region.append(Half(form, ends))
    across_low, across_high = frame.span(1 - axis, (low + high) / 2)
    wall = across_low + width if at_low else across_high - width
    middle = (begins + ends) / 2
    point = (middle, wall) if axis == 0 else (wall, middle)
    corners = tuple(frame.point(*point, deep) for deep in (0.0, depth))
    if ends <= begins:
        corners = (*corners, frame.point(point[0], float(solid.width) + 1000.0, 0.0))
    start = across_low if at_low else wall
    long = ends - begins
    outline = rectangle(begins, start, long, width) if axis == 0 else rectangle(start, begins, width, long)
    numbers = [("width", feature.width), ("depth", feature.depth)]
    numbers += [(f"stops from {side}", value) for side, value in feature.stop if value]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(tuple(region),), corners=corners,
        numbers=tuple((name, value) for name, value in numbers if value is not None), outline=outline,
    )  # fmt: skip
