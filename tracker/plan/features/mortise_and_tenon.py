"""Mortises (slots are mortises with round ends) and tenons."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from tracker.design.feature import Feature, FeatureSide
from tracker.plan.features.feature_shape import FeatureShape, Region
from tracker.plan.features.placing import (
    above,
    between,
    box_place,
    leaning,
    length_of,
    mm,
    numbers_to,
    rectangle,
    shift_of,
    with_depth,
)  # fmt: skip
from tracker.plan.features.side import Half, SideFrame, side_frame
from tracker.plan.shape import Solid


def mortise(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    frame = side_frame(solid, feature.on)
    sizes = (mm(feature.length), mm(feature.width))
    u, v = box_place(feature, frame, sizes, which)
    depth = frame.deep if feature.through else mm(feature.depth)
    lean_u, lean_v = leaning(feature, frame)
    region = (*between(lean_u, u, u + sizes[0]), *between(lean_v, v, v + sizes[1]))
    region = region if feature.through else (*region, Half(frame.into, depth))
    numbers = [*numbers_to(feature, frame, (u, v), sizes), ("length", feature.length), ("width", feature.width)]
    shift = shift_of(feature, frame, depth)
    corners = tuple(
        frame.point(a + (shift[0] if deep else 0.0), b + (shift[1] if deep else 0.0), deep)
        for a in (u, u + sizes[0]) for b in (v, v + sizes[1]) for deep in (0.0, depth)
    )  # fmt: skip
    shape = FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(region,), corners=corners,
        numbers=with_depth(feature, numbers), outline=rectangle(u, v, *sizes),
    )  # fmt: skip
    return replace(shape, slot=(*sizes, depth)) if feature.kind == "slot" else shape


def tenon(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """The waste around a tenon: on both sides of its thickness over the full width, and beside it within its
    thickness."""
    frame = side_frame(solid, feature.on)
    sizes, long = (mm(feature.width), mm(feature.thickness)), mm(feature.length)
    u, v = box_place(feature, frame, sizes, which)
    ends = Half(frame.into, long)
    regions: list[Region] = []
    if v > 1e-9:
        regions.append((ends, Half(frame.v, v)))
    if v + sizes[1] < frame.extent(1) - 1e-9:
        regions.append((ends, above(frame.v, v + sizes[1])))
    inside = between(frame.v, v, v + sizes[1])
    for edge, room, beside in (
        (frame.low[0], u, Half(frame.u, u)),
        (frame.high[0], frame.extent(0) - u - sizes[0], above(frame.u, u + sizes[0])),
    ):
        if room > 1e-9:
            regions += _beside(feature, frame, edge, room, (*inside, beside), ends, (u, u + sizes[0]))
    kept = (*between(frame.u, u, u + sizes[0]), *inside, ends)
    numbers = [
        ("length", feature.length), ("thickness", feature.thickness), ("width", feature.width),
        *numbers_to(feature, frame, (u, v), sizes),
        ("shoulders", length_of(float(solid.edges.overall) - _tenons(solid))),
    ]  # fmt: skip
    if feature.haunch:
        numbers.append(("haunch", feature.haunch.length))
    corners = tuple(
        frame.point(a, b, deep) for a in (u, u + sizes[0]) for b in (v, v + sizes[1]) for deep in (0.0, long)
    )
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=tuple(regions), corners=corners, kept=kept,
        numbers=tuple((name, value) for name, value in numbers if value is not None),
        outline=rectangle(u, v, *sizes),
    )  # fmt: skip


def _tenons(solid: Solid) -> float:
    return float(solid.tenon_a) + float(solid.tenon_b)


def _beside(
    feature: Feature, frame: SideFrame, edge: FeatureSide, room: float, beside: Region, ends: Half,
    tenon: tuple[float, float],
) -> Iterator[Region]:  # fmt: skip
    """The waste at one edge of a tenon, down to the shoulder or to its haunch."""
    haunch = feature.haunch
    if haunch is None or haunch.edge != edge:
        yield (*beside, ends)
        return
    to_haunch = Half(frame.into, mm(feature.length) - mm(haunch.length))
    if haunch.width is None or mm(haunch.width) >= room - 1e-9:
        yield (*beside, to_haunch)
        return
    low = edge == frame.low[0]
    at = tenon[0] - mm(haunch.width) if low else tenon[1] + mm(haunch.width)
    yield (*beside, to_haunch, above(frame.u, at) if low else Half(frame.u, at))
    yield (*beside, ends, Half(frame.u, at) if low else above(frame.u, at))
