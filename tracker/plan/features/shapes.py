"""Each feature of one piece in space, in the frame of `plan.shape` (mm): what it takes away.

Flat-walled features are convex regions bounded by planes, round ones are cylinders. Of a right-hand piece near and far
have changed places already.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from math import cos, pi, radians, sin, tan

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.feature import OPPOSITE, Feature, FeatureSide
from tracker.design.model import Hand, Part
from tracker.measure import Length
from tracker.plan.features.side import Half, Linear, SideFrame, side_frame
from tracker.plan.place.bodies import Vector, dot, minus, norm, plus, times, unit
from tracker.plan.shape import Solid

Region = tuple[Half, ...]
"""A convex region: where all of its halves meet. Open toward what no half bounds."""
Outline = tuple[tuple[float, float], ...]


class Round(Struct, frozen=True, kw_only=True):
    """A round hole: its axis, from the side that it enters to its flat bottom or where it comes out, and its radius."""

    enters: Vector
    leaves: Vector
    radius: float

    @property
    def volume(self) -> float:
        """Of the hole below its side: a cylinder's that is cut off aslant is that of its axis."""
        return pi * self.radius**2 * norm(minus(self.leaves, self.enters))


class FeatureShape(Struct, frozen=True, kw_only=True):
    """One feature, or one of a row."""

    feature: Feature
    row: int
    """Its place in the part's features, from 0."""
    which: int
    """Its place in its row, from 0."""
    name: str
    """`mortise 1`: its kind, and which of that kind it is on the part."""
    on: FeatureSide
    regions: tuple[Region, ...] = ()
    rounds: tuple[Round, ...] = ()
    slot: tuple[float, float, float] | None = None
    """Length, width and depth of a slot with round ends, whose box is its region."""
    kept: Region | None = None
    """The tenon, which the regions leave."""
    corners: tuple[Vector, ...] = ()
    """Points that must be in the wood, on the side or below it."""
    numbers: tuple[tuple[str, Length | float], ...] = ()
    """What is marked and set, the first first: lengths, and degrees under names that end in `deg`."""
    outline: Outline = ()
    """Where it is on its side, in `u` and `v`."""
    circle: tuple[float, float, float] | None = None
    """`u`, `v` and the radius of a round hole on its side."""

    @property
    def round_ends(self) -> float:
        """What the round ends of a slot leave of its box."""
        if self.slot is None:
            return 0.0
        _, width, depth = self.slot
        return (width**2 - pi * width**2 / 4) * depth


def features_of(part: Part, solid: Solid) -> tuple[FeatureShape, ...]:
    """Every feature of one piece whose solid this is, in the order of the file."""
    counts: dict[str, int] = {}
    bevelled = {"top": 0.0, "bottom": 0.0}
    found = []
    for row, feature in enumerate(part.features):
        own = _of_hand(feature, solid.hand)
        for which in range(own.count):
            number = counts[own.kind] = counts.get(own.kind, 0) + 1
            shape = _MAKE[own.kind](own, which, solid)
            if own.kind == "bevel":  # both edges of a stave: the second leaves less
                bevelled[own.long_face] += tan(radians(own.angle)) * float(solid.thickness)
                left = ("narrow face", length_of(float(solid.width) - bevelled[own.long_face]))
                shape = replace(shape, numbers=(*shape.numbers, left))
            found.append(replace(shape, row=row, which=which, name=f"{own.kind} {number}"))
    return tuple(found)


def _of_hand(feature: Feature, hand: Hand | None) -> Feature:
    """The feature as it is on the piece of this hand."""
    if hand != "right":
        return feature
    over: dict[FeatureSide, FeatureSide] = {"near": "far", "far": "near"}

    def side(name: FeatureSide) -> FeatureSide:
        return over.get(name, name)

    haunch = feature.haunch
    return replace(
        feature, on=side(feature.on), edge=side(feature.edge) if feature.edge else None,
        at=tuple((side(name), value) for name, value in feature.at),
        toward=tuple((side(name), value) for name, value in feature.toward),
        stop=tuple((side(name), value) for name, value in feature.stop),
        lean=tuple((side(name), value) for name, value in feature.lean),
        edges=tuple((side(edge), face) for edge, face in feature.edges),
        haunch=replace(haunch, edge=side(haunch.edge)) if haunch else None,
        angle=-feature.angle if feature.kind == "dado" else feature.angle,
    )  # fmt: skip


# Where it is


def _mm(length: Length | None) -> float:
    return 0.0 if length is None else float(length)


def _start(feature: Feature, frame: SideFrame, axis: int, size: float, which: int, other: float) -> float:
    """Where a thing of this size begins on an axis, or the axis of a round hole (size 0); `other`: its place on the
    other axis, where an end is slanted."""
    low, high = frame.span(axis, other)
    first, last = frame.low[axis], frame.high[axis]
    at, toward = dict(feature.at), dict(feature.toward)
    in_row = feature.spacing is not None and (feature.row == "along") == (axis == 0)
    step = _mm(feature.spacing) * which if in_row else 0.0
    if first in at:
        return low + _mm(at[first]) + step
    if last in at:
        return high - _mm(at[last]) - size - step
    middle = (low + high) / 2 - _mm(toward.get(first)) + _mm(toward.get(last))
    if in_row:
        middle += step - _mm(feature.spacing) * (feature.count - 1) / 2
    return middle - size / 2


def _box_place(feature: Feature, frame: SideFrame, sizes: tuple[float, float], which: int) -> tuple[float, float]:
    """Where a box of these sizes begins in `u` and in `v`."""
    v = _start(feature, frame, 1, sizes[1], which, 0.0)
    return _start(feature, frame, 0, sizes[0], which, v + sizes[1] / 2), v


def _places(feature: Feature, frame: SideFrame, place: tuple[float, float], sizes: tuple[float, float]) -> Numbers:
    """What is measured to it: from the sides that the file names, else from the nearer one."""
    at = dict(feature.at)
    found: list[tuple[str, Length | float]] = []
    for axis in (0, 1):
        size = sizes[axis]
        middle = place[1 - axis] + sizes[1 - axis] / 2
        low, high = frame.span(axis, middle)
        first, last = frame.low[axis], frame.high[axis]
        to_low, to_high = place[axis] - low, high - place[axis] - size
        from_low = first in at or (last not in at and to_low <= to_high + 1e-9)
        side, far = (first, to_low) if from_low else (last, to_high)
        found.append((f"from {side}", length_of(far)))
    return found


Numbers = list[tuple[str, Length | float]]


def length_of(mm: float) -> Length:
    """A length from a place in space; exact where the file's own numbers were."""
    return Length(Fraction(mm).limit_denominator(10**7))


def _lean(feature: Feature, frame: SideFrame) -> tuple[Linear, Linear]:
    """The two directions across the side, sheared by the lean: as it goes in, a leaning hole runs toward a side."""
    u, v = frame.u, frame.v
    for side, angle in feature.lean:
        slope = tan(radians(angle))
        if side in (frame.low[0], frame.high[0]):
            u = u.plus(frame.into, slope if side == frame.low[0] else -slope)
        else:
            v = v.plus(frame.into, slope if side == frame.low[1] else -slope)
    return u, v


def _between(form: Linear, low: float, high: float) -> Region:
    return Half(form, high), _above(form, low)


def _above(form: Linear, low: float) -> Half:
    return Half(form, low).turned


# What each kind is


def _mortise(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    frame = side_frame(solid, feature.on)
    sizes = (_mm(feature.length), _mm(feature.width))
    u, v = _box_place(feature, frame, sizes, which)
    depth = frame.deep if feature.through else _mm(feature.depth)
    lean_u, lean_v = _lean(feature, frame)
    region = (*_between(lean_u, u, u + sizes[0]), *_between(lean_v, v, v + sizes[1]))
    region = region if feature.through else (*region, Half(frame.into, depth))
    numbers = [*_places(feature, frame, (u, v), sizes), ("length", feature.length), ("width", feature.width)]
    shift = _shift(feature, frame, depth)
    corners = tuple(
        frame.point(a + (shift[0] if deep else 0.0), b + (shift[1] if deep else 0.0), deep)
        for a in (u, u + sizes[0]) for b in (v, v + sizes[1]) for deep in (0.0, depth)
    )  # fmt: skip
    shape = FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(region,), corners=corners,
        numbers=_with_depth(feature, numbers), outline=_rectangle(u, v, *sizes),
    )  # fmt: skip
    return replace(shape, slot=(*sizes, depth)) if feature.kind == "slot" else shape


def _shift(feature: Feature, frame: SideFrame, depth: float) -> tuple[float, float]:
    """How far a leaning feature has run by a depth, in `u` and `v`."""
    shift = [0.0, 0.0]
    for side, angle in feature.lean:
        axis = 0 if side in (frame.low[0], frame.high[0]) else 1
        shift[axis] += tan(radians(angle)) * depth * (-1 if side == frame.low[axis] else 1)
    return shift[0], shift[1]


def _with_depth(
    feature: Feature, numbers: list[tuple[str, Length | float | None]]
) -> tuple[tuple[str, Length | float], ...]:
    deep: list[tuple[str, Length | float | None]] = [] if feature.through else [("depth", feature.depth)]
    lean: list[tuple[str, Length | float | None]] = [(f"lean to {side} deg", angle) for side, angle in feature.lean]
    return tuple((name, value) for name, value in (*numbers, *deep, *lean) if value is not None)


def _rectangle(u: float, v: float, wide: float, high: float) -> Outline:
    return ((u, v), (u + wide, v), (u + wide, v + high), (u, v + high))


def _notch(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """Open through the thickness and toward its side; at a distance of nothing from an end or an edge, there too."""
    frame = side_frame(solid, feature.on)
    size, depth = _mm(feature.length), _mm(feature.depth)
    u = _start(feature, frame, 0, size, which, frame.span(1, 0.0)[1] / 2)
    at = {side for side, value in feature.at if not value}
    lean_u, _ = _lean(feature, frame)
    region: list[Half] = [Half(frame.into, depth)]
    if frame.high[0] not in at:
        region.append(Half(lean_u, u + size))
    if frame.low[0] not in at:
        region.append(_above(lean_u, u))
    shift, _ = _shift(feature, frame, depth)
    middle = frame.span(1, 0.0)[1] / 2
    places = [u if frame.low[0] not in at else None, u + size if frame.high[0] not in at else None]
    walls = [place for place in places if place is not None]
    corners = tuple(
        frame.point(wall + (shift if deep else 0.0), middle, deep) for wall in walls for deep in (0.0, depth)
    )
    corners = corners or (frame.point(u + size / 2, middle, depth),)
    v0, v1 = frame.span(1, 0.0)
    numbers = [*_places(feature, frame, (u, v0), (size, v1 - v0))[:1], ("length", feature.length)]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(tuple(region),), corners=corners,
        numbers=_with_depth(feature, numbers), outline=_rectangle(u, v0, size, v1 - v0),
    )  # fmt: skip


def _tenon(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """What is cut away around it: on either side of its thickness all across, and beside it within its thickness."""
    frame = side_frame(solid, feature.on)
    sizes, long = (_mm(feature.width), _mm(feature.thickness)), _mm(feature.length)
    u, v = _box_place(feature, frame, sizes, which)
    ends = Half(frame.into, long)
    (u0, u1), (v0, v1) = frame.span(0, 0.0), frame.span(1, 0.0)
    regions: list[Region] = []
    if v > v0 + 1e-9:
        regions.append((ends, Half(frame.v, v)))
    if v + sizes[1] < v1 - 1e-9:
        regions.append((ends, _above(frame.v, v + sizes[1])))
    inside = _between(frame.v, v, v + sizes[1])
    for edge, room, beside in (
        (frame.low[0], u - u0, Half(frame.u, u)), (frame.high[0], u1 - u - sizes[0], _above(frame.u, u + sizes[0]))
    ):  # fmt: skip
        if room > 1e-9:
            regions += _beside(feature, frame, edge, room, (*inside, beside), ends, (u, u + sizes[0]))
    kept = (*_between(frame.u, u, u + sizes[0]), *inside, ends)
    numbers = [
        ("length", feature.length), ("thickness", feature.thickness), ("width", feature.width),
        *_places(feature, frame, (u, v), sizes), ("shoulders", length_of(float(solid.edges.overall) - _tenons(solid))),
    ]  # fmt: skip
    if feature.haunch:
        numbers.append(("haunch", feature.haunch.length))
    corners = tuple(
        frame.point(a, b, deep) for a in (u, u + sizes[0]) for b in (v, v + sizes[1]) for deep in (0.0, long)
    )
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=tuple(regions), corners=corners, kept=kept,
        numbers=tuple((name, value) for name, value in numbers if value is not None),
        outline=_rectangle(u, v, *sizes),
    )  # fmt: skip


def _tenons(solid: Solid) -> float:
    return float(solid.tenon_a) + float(solid.tenon_b)


def _beside(
    feature: Feature, frame: SideFrame, edge: FeatureSide, room: float, beside: Region, ends: Half,
    tenon: tuple[float, float],
) -> Iterator[Region]:  # fmt: skip
    """What is cut away at one edge of a tenon, down to the shoulder or to its haunch."""
    haunch = feature.haunch
    if haunch is None or haunch.edge != edge:
        yield (*beside, ends)
        return
    to_haunch = Half(frame.into, _mm(feature.length) - _mm(haunch.length))
    if haunch.width is None or _mm(haunch.width) >= room - 1e-9:
        yield (*beside, to_haunch)
        return
    low = edge == frame.low[0]
    at = tenon[0] - _mm(haunch.width) if low else tenon[1] + _mm(haunch.width)
    yield (*beside, to_haunch, _above(frame.u, at) if low else Half(frame.u, at))
    yield (*beside, ends, Half(frame.u, at) if low else _above(frame.u, at))


def _groove(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    frame = side_frame(solid, feature.on)
    depth, width = _mm(feature.depth), _mm(feature.width)
    v = _start(feature, frame, 1, width, which, 0.0)
    low, high = frame.span(0, v + width / 2)
    stops = dict(feature.stop)
    begins, ends = low + _mm(stops.get(frame.low[0])), high - _mm(stops.get(frame.high[0]))
    region: list[Half] = [Half(frame.into, depth), *_between(frame.v, v, v + width)]
    if _mm(stops.get(frame.low[0])):
        region.append(_above(frame.u, begins))
    if _mm(stops.get(frame.high[0])):
        region.append(Half(frame.u, ends))
    u = (begins + ends) / 2
    corners = tuple(frame.point(u, b, deep) for b in (v, v + width) for deep in (0.0, depth))
    if ends <= begins:  # stopped before it begins
        corners = (*corners, frame.point(high + 1000.0, v, 0.0))
    place = _places(feature, frame, (begins, v), (ends - begins, width))[1:]
    numbers = [*place, ("width", feature.width), ("depth", feature.depth)]
    numbers += [(f"stops from {side}", value) for side, value in feature.stop if value]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(tuple(region),), corners=corners,
        numbers=tuple((name, value) for name, value in numbers if value is not None),
        outline=_rectangle(begins, v, ends - begins, width),
    )  # fmt: skip


def _dado(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    frame = side_frame(solid, feature.on)
    depth, width = _mm(feature.depth), _mm(feature.width)
    low, high = frame.span(1, 0.0)
    middle = (low + high) / 2
    slope = tan(radians(feature.angle))
    along = width / cos(radians(feature.angle))
    u = _start(feature, frame, 0, along, which, middle)
    across = frame.u.plus(frame.v, -slope).plus(Linear((0.0, 0.0, 0.0), 1.0), slope * middle)
    stops = dict(feature.stop)
    region: list[Half] = [Half(frame.into, depth), *_between(across, u, u + along)]
    begins, ends = low + _mm(stops.get(frame.low[1])), high - _mm(stops.get(frame.high[1]))
    if begins > low:
        region.append(_above(frame.v, begins))
    if ends < high:
        region.append(Half(frame.v, ends))

    def at(a: float, b: float) -> float:
        return a + slope * (b - middle)

    corners = tuple(
        frame.point(at(a, b), b, deep) for a in (u, u + along) for b in (begins, ends) for deep in (0.0, depth)
    )
    if ends <= begins:
        corners = (*corners, frame.point(u, high + 1000.0, 0.0))
    numbers = [*_places(feature, frame, (u, low), (along, high - low))[:1], ("width", feature.width)]
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


def _rabbet(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    frame = side_frame(solid, feature.on)
    edge = feature.edge or frame.low[1]
    depth, width = _mm(feature.depth), _mm(feature.width)
    beside = side_frame(solid, edge)
    region: list[Half] = [Half(frame.into, depth), Half(beside.into, width)]
    axis = 1 if edge in (frame.low[0], frame.high[0]) else 0  # the one along which it runs
    low, high = frame.span(axis, 0.0)
    stops, form = dict(feature.stop), frame.v if axis else frame.u
    first, last = frame.low[axis], frame.high[axis]
    begins, ends = low + _mm(stops.get(first)), high - _mm(stops.get(last))
    if _mm(stops.get(first)):
        region.append(_above(form, begins))
    if _mm(stops.get(last)):
        region.append(Half(form, ends))
    across_low, across_high = frame.span(1 - axis, (low + high) / 2)
    at_low = edge in frame.low
    wall = across_low + width if at_low else across_high - width
    middle = (begins + ends) / 2
    point = (middle, wall) if axis == 0 else (wall, middle)
    corners = tuple(frame.point(*point, deep) for deep in (0.0, depth))
    if ends <= begins:
        corners = (*corners, frame.point(point[0], float(solid.width) + 1000.0, 0.0))
    start = across_low if at_low else wall
    long = ends - begins
    outline = _rectangle(begins, start, long, width) if axis == 0 else _rectangle(start, begins, width, long)
    numbers = [("width", feature.width), ("depth", feature.depth)]
    numbers += [(f"stops from {side}", value) for side, value in feature.stop if value]
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=(tuple(region),), corners=corners,
        numbers=tuple((name, value) for name, value in numbers if value is not None), outline=outline,
    )  # fmt: skip


def _bore(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """A hole, or a narrow one below a wide one."""
    frame = side_frame(solid, feature.on)
    v = _start(feature, frame, 1, 0.0, which, 0.0)
    u = _start(feature, frame, 0, 0.0, which, v)
    enters = frame.point(u, v, 0.0)
    radius = _mm(feature.diameter) / 2
    through, deep = feature.through and feature.hole is None, _mm(feature.depth)
    rounds = [_axis(feature, frame, enters, radius, through, deep)]
    if feature.hole is not None:
        below = _axis(feature, frame, enters, _mm(feature.hole) / 2, feature.through, _mm(feature.hole_depth))
        rounds.append(replace(below, enters=rounds[0].leaves))
    numbers = [*_places(feature, frame, (u, v), (0.0, 0.0)), ("diameter", feature.diameter)]
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
        out = unit(minus(out, times(way, dot(out, way))))  # on a slanted end, within the slant
        way = plus(times(way, cos(radians(angle))), times(out, sin(radians(angle))))
    if through:
        opposite = side_frame(frame.solid, OPPOSITE[frame.on])
        falls = -sum(a * b for a, b in zip(way, opposite.into.normal, strict=True))
        deep = opposite.into.of(enters) / falls
    return Round(enters=enters, leaves=plus(enters, times(way, deep)), radius=radius)


def _profile(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """A chamfer is cut by planes; what a round over or a cove takes is worked out by `volume`."""
    wide = _mm(feature.width) or _mm(feature.radius)
    high = _mm(feature.height) or wide
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
        feature=feature, row=0, which=which, name="", on=feature.edges[0][1] if feature.edges else "top",
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


def _bevel(feature: Feature, which: int, solid: Solid) -> FeatureShape:
    """The edge leans in from the face on which the piece stays as wide as it is."""
    frame = side_frame(solid, feature.on)
    slope = tan(radians(feature.angle))
    down = side_frame(solid, feature.long_face).into
    form = frame.into.plus(down, -slope)
    low, high = frame.span(0, 0.0)
    corner = frame.point((low + high) / 2, 0.0 if feature.long_face == "top" else float(solid.thickness), 0.0)
    deep = slope * float(solid.thickness)
    inner = frame.point((low + high) / 2, 0.0 if feature.long_face == "top" else float(solid.thickness), deep)
    return FeatureShape(
        feature=feature, row=0, which=which, name="", on=feature.on, regions=((Half(form, 0.0),),),
        corners=(corner, inner), numbers=(("angle deg", feature.angle),),
    )  # fmt: skip


_MAKE: dict[str, Callable[[Feature, int, Solid], FeatureShape]] = {
    "notch": _notch, "mortise": _mortise, "tenon": _tenon, "groove": _groove, "dado": _dado, "rabbet": _rabbet,
    "bore": _bore, "dowel": _bore, "bolt": _bore, "counterbore": _bore, "slot": _mortise, "profile": _profile,
    "bevel": _bevel,
}  # fmt: skip
