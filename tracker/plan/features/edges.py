"""Features that remove an edge or a corner: notches, profiles and bevels."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, sqrt, tan

from msgspec import Struct

from tracker.design.feature import Feature, FeatureSide
from tracker.plan.features.feature_shape import FeatureShape, Region
from tracker.plan.features.placing import above, leaning, mm, numbers_to, rectangle, shift_of, start_of, with_depth
from tracker.plan.features.side import Half, Linear, side_frame
from tracker.plan.place.bodies import Vector, plus, times
from tracker.plan.shape import Solid


def notch(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """A notch is open through the thickness and toward its side. At distance 0 from an end or an edge it is open there,
    too."""
    frame = side_frame(solid, feature.on)
    size, depth = mm(feature.length), mm(feature.depth)
    u = start_of(feature, frame, 0, size, which, frame.extent(1) / 2)
    at = {side for side, value in feature.at if not value}
    lean_u, _ = leaning(feature, frame)
    region: list[Half] = [Half(frame.into, depth)]
    if frame.high[0] not in at:
        region.append(Half(lean_u, u + size))
    if frame.low[0] not in at:
        region.append(above(lean_u, u))
    shift, _ = shift_of(feature, frame, depth)
    middle = frame.extent(1) / 2
    places = [u if frame.low[0] not in at else None, u + size if frame.high[0] not in at else None]
    walls = [place for place in places if place is not None]
    corners = tuple(
        frame.point(wall + (shift if deep else 0.0), middle, deep) for wall in walls for deep in (0.0, depth)
    )
    corners = corners or (frame.point(u + size / 2, middle, depth),)
    numbers = [*numbers_to(feature, frame, (u, 0.0), (size, frame.extent(1)))[:1], ("length", feature.length)]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(tuple(region),), corners=corners,
        numbers=with_depth(feature, numbers), outline=rectangle(u, 0.0, size, frame.extent(1)),
    )  # fmt: skip


def profile(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """A chamfer is cut by planes. The volume of a round over or a cove is computed in `volume`."""
    wide = mm(feature.width) or mm(feature.radius)
    high = mm(feature.height) or wide
    regions: list[Region] = []
    corners: list[Vector] = []
    for edge, face in feature.edges:
        across, down = side_frame(solid, edge).into, side_frame(solid, face).into
        form = Linear(times(across.normal, 1 / wide), across.at / wide).plus(down, 1 / high)
        if feature.shape == "chamfer":
            regions.append((Half(form, 1.0),))
        corners += _reach(solid, edge, face, wide, high)
    numbers = [("radius", feature.radius), ("width", feature.width), ("height", feature.height)]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.edges[0][1],
        regions=tuple(regions), corners=tuple(corners),
        numbers=tuple((name, value) for name, value in numbers if value is not None),
    )  # fmt: skip


def _reach(solid: Solid, edge: FeatureSide, face: FeatureSide, wide: float, high: float) -> Iterator[Vector]:
    """How far a profile reaches on the face and down the edge, in the middle of its length."""
    frame = side_frame(solid, face)
    width = float(solid.width)
    if edge in ("near", "far"):
        low, ends = frame.span(0, width / 2)
        yield frame.point((low + ends) / 2, wide if edge == "near" else width - wide, 0.0)
        yield frame.point((low + ends) / 2, 0.0 if edge == "near" else width, high)
        return
    low, ends = frame.span(0, width / 2)
    yield frame.point(low + wide if edge == "A" else ends - wide, width / 2, 0.0)
    yield frame.point(low if edge == "A" else ends, width / 2, high)


def bevel(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """The edge leans in from the face on which the piece keeps its width, and so do the tapers of that edge."""
    slope = tan(radians(feature.angle))
    face = side_frame(solid, feature.long_face)
    across, z = slope * float(solid.thickness), float(solid.thickness) if feature.long_face == "top" else 0.0
    regions: list[Region] = []
    corners: list[Vector] = []
    for stretch in edge_stretches(solid, feature.on):
        regions.append((Half(stretch.into.plus(face.into, -slope), 0.0),))
        if stretch.middle is not None:
            x, y = stretch.middle
            on_face = (x, y, z)
            under = plus((x, y, float(solid.thickness) - z), times(stretch.into.normal, across))
            corners += [on_face, under]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=tuple(regions), corners=tuple(corners),
        numbers=(("angle deg", feature.angle),),
    )  # fmt: skip


class EdgeStretch(Struct, frozen=True, kw_only=True):
    """A straight part of a long edge: the edge itself, or one of its tapers."""

    into: Linear
    """The distance into the wood, square to the edge."""
    middle: tuple[float, float] | None
    """The middle of the stretch, seen from above; None if the tapers leave nothing of the edge."""


def edge_stretches(solid: Solid, edge: FeatureSide) -> Iterator[EdgeStretch]:
    """The straight parts of a long edge after its tapers are cut."""
    width, far = float(solid.width), edge == "far"
    y, inward = (width, -1.0) if far else (0.0, 1.0)
    frame = side_frame(solid, edge)
    low, high = frame.span(0, float(solid.thickness) / 2)
    for taper in solid.tapers:
        if taper.edge != edge or not taper.takes_wood:
            continue
        start, tip, depth = float(taper.start_x), float(taper.end_x), float(taper.depth)
        long = sqrt((tip - start) ** 2 + depth**2)
        # Square to the line from the start to the tip, into the wood.
        normal = (-depth / abs(tip - start) * (tip - start) / long, inward * abs(tip - start) / long, 0.0)
        at = -(normal[0] * start + normal[1] * y)
        shown = max(start, low) if taper.end == "B" else min(start, high)
        middle = (shown + tip) / 2
        share = (middle - start) / (tip - start)
        yield EdgeStretch(into=Linear(normal, at), middle=(middle, y + inward * depth * share))
        low, high = (low, min(high, start)) if taper.end == "B" else (max(low, start), high)
    yield EdgeStretch(into=frame.into, middle=((low + high) / 2, y) if high > low + 1e-9 else None)
