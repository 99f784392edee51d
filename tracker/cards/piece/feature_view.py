"""The drawing of a worked side: its outline, its cuts, and the dimensions to mark out."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan
from typing import TYPE_CHECKING

from msgspec import Struct

from tracker.cards.piece.features import SIDE_WORDS
from tracker.design.feature import FeatureSide
from tracker.floor.floor import Floor
from tracker.measure import Length, Mark, read_as_written
from tracker.words import say
from tracker.work.run import Item

if TYPE_CHECKING:
    from tracker.plan.features import FeatureShape
    from tracker.plan.features.side import SideFrame
    from tracker.plan.shape import Solid

Point = tuple[float, float]
Extent = tuple[float, float, float, float]
"""The first and the last place along a side, and those across it."""
_FLIPPED: dict[FeatureSide, tuple[bool, bool]] = {"bottom": (False, True), "far": (False, True), "A": (True, False)}
"""Directions in which a side appears reversed when the piece is turned toward the person: end A stays left."""


class Cut(Struct, frozen=True, kw_only=True):
    """One feature as its side shows it: a polygon, or a round hole."""

    outline: tuple[Point, ...] = ()
    centre: Point | None = None
    radius: float = 0.0
    kept: bool = False
    """Whether it is what stays, like a tenon."""
    name: str = ""


class Measure(Struct, frozen=True, kw_only=True):
    """A dimension for marking out: from one point to another, along or up the drawing, and its number."""

    start: Point
    end: Point
    text: str
    upright: bool


class FeatureView(Struct, frozen=True, kw_only=True):
    """The worked side of a piece, to scale, with its cuts and dimensions. Millimetres, y upward."""

    title: str
    """`near edge up`."""
    outline: tuple[Point, ...]
    cuts: tuple[Cut, ...]
    measures: tuple[Measure, ...]
    left: str
    right: str
    low: str
    """The neighbouring sides at the left, at the right and below."""
    grain: bool
    """Whether the grain runs along the drawing; an end shows its rings."""
    drilled: bool = False
    """Whether it is a face with nothing but holes: drawn as large as the screen allows."""


def feature_views(floor: Floor, item: Item, shapes: tuple[FeatureShape, ...]) -> tuple[FeatureView, ...]:
    """A drawing of each worked side, in the order of the file."""
    return sides_worked(floor.solid(item), shapes, floor.run.build.shop.mark)


def sides_worked(solid: Solid, shapes: tuple[FeatureShape, ...], mark: Mark) -> tuple[FeatureView, ...]:
    """A drawing of each side of a piece that has some of these features."""
    sides = dict.fromkeys(_seen_on(solid, shape) for shape in shapes)
    return tuple(
        _view(solid, side, tuple(shape for shape in shapes if _seen_on(solid, shape) == side), mark) for side in sides
    )  # fmt: skip


def _seen_on(solid: Solid, shape: FeatureShape) -> FeatureSide:
    """The side from which a feature is drawn. A bevel is drawn from an end: of a tapered piece from the wide end."""
    wide_end: FeatureSide = "B" if any(taper.end == "A" for taper in solid.tapers) else "A"
    return wide_end if shape.feature.kind == "bevel" else shape.on


def _view(solid: Solid, side: FeatureSide, shapes: tuple[FeatureShape, ...], mark: Mark) -> FeatureView:
    from tracker.plan.features.side import side_frame

    frame = side_frame(solid, side)
    flip = _Flip(frame)
    if side in ("top", "bottom"):
        outline: tuple[Point, ...] = solid.section(float(solid.thickness) if side == "top" else 0.0)
    else:
        high = frame.extent(1)
        (a, b), (c, d) = frame.span(0, 0.0), frame.span(0, high)
        outline = ((a, 0.0), (b, 0.0), (d, high), (c, high))
    low = frame.low[1] if not flip.up else frame.high[1]
    left, right = (frame.high[0], frame.low[0]) if flip.along else (frame.low[0], frame.high[0])
    return FeatureView(
        title=(
            say("{side} toward you", side=SIDE_WORDS[side])
            if side in ("A", "B")
            else say("{side} up", side=SIDE_WORDS[side])
        ),
        outline=tuple(flip.of(point) for point in outline),
        cuts=tuple(cut for shape in shapes for cut in _cuts(shape, frame, flip)),
        measures=tuple(_measures(shapes, frame, flip, mark)),
        left=SIDE_WORDS[left],
        right=SIDE_WORDS[right],
        low=SIDE_WORDS[low],
        grain=side not in ("A", "B"),
    )


class _Flip:
    """The map from a side's directions to the drawing's."""

    def __init__(self, frame: SideFrame) -> None:
        self.along, self.up = _FLIPPED.get(frame.on, (False, False))
        self._wide, self._high = frame.span(0, 0.0)[1] if self.along else 0.0, frame.extent(1)

    def of(self, point: Point) -> Point:
        return self._wide - point[0] if self.along else point[0], self._high - point[1] if self.up else point[1]


def _cuts(shape: FeatureShape, frame: SideFrame, flip: _Flip) -> Iterator[Cut]:
    feature = shape.feature
    if shape.outline or shape.circle:
        yield _cut(shape, flip)
    if feature.haunch is not None:
        yield Cut(outline=tuple(map(flip.of, _haunched(shape, frame))), kept=True, name=shape.name)
    if feature.kind == "bevel":
        yield Cut(outline=tuple(map(flip.of, _bevelled(shape, frame))), name=shape.name)
    for _, (u0, u1, v0, v1) in _strips(shape, frame):
        corners = ((u0, v0), (u1, v0), (u1, v1), (u0, v1))
        yield Cut(outline=tuple(map(flip.of, corners)), name=shape.name)


def _strips(shape: FeatureShape, frame: SideFrame) -> Iterator[tuple[int, Extent]]:
    """What a profile takes off its side, along each of its edges: the direction across it, and where it is."""
    feature = shape.feature
    if feature.kind != "profile":
        return
    wide = float(feature.width or feature.radius or 0)
    for edge, face in feature.edges:
        if face == shape.on:
            high = frame.extent(1)
            u0, u1 = frame.span(0, high / 2)
            if edge in (frame.low[0], frame.high[0]):
                yield 0, (u0, u0 + wide, 0.0, high) if edge == frame.low[0] else (u1 - wide, u1, 0.0, high)
            else:
                yield 1, (u0, u1, 0.0, wide) if edge == frame.low[1] else (u0, u1, high - wide, high)


def _haunched(shape: FeatureShape, frame: SideFrame) -> tuple[Point, ...]:
    """The haunch beside a tenon, seen on the end: as wide as the file says, or out to the edge."""
    u0, u1, v0, v1 = _extent(shape)
    haunch, wide = shape.feature.haunch, frame.extent(0)
    stub = wide if haunch is None or haunch.width is None else float(haunch.width)
    near = haunch is not None and haunch.edge == frame.low[0]
    first, last = (max(0.0, u0 - stub), u0) if near else (u1, min(wide, u1 + stub))
    return (first, v0), (last, v0), (last, v1), (first, v1)


def _bevelled(shape: FeatureShape, frame: SideFrame) -> tuple[Point, ...]:
    """What a bevel removes, on the end: along the face that gets narrower, and up the edge."""
    wide, high, feature = frame.extent(0), frame.extent(1), shape.feature
    deep = high * tan(radians(feature.angle))
    foot, tip = (0.0, high) if feature.long_face == "top" else (high, 0.0)
    edge, inner = (0.0, deep) if shape.on == "near" else (wide, wide - deep)
    return (edge, tip), (edge, foot), (inner, foot)


def _cut(shape: FeatureShape, flip: _Flip) -> Cut:
    if shape.circle is not None:
        u, v, radius = shape.circle
        return Cut(centre=flip.of((u, v)), radius=radius, name=shape.name)
    return Cut(outline=tuple(map(flip.of, shape.outline)), kept=shape.kept is not None, name=shape.name)


def _measures(shapes: tuple[FeatureShape, ...], frame: SideFrame, flip: _Flip, mark: Mark) -> Iterator[Measure]:
    """The position of each feature along the side; and for the first of its kind the position across, the length and
    the width."""
    said: set[str] = set()
    for shape in shapes:
        u0, u1, v0, v1 = _extent(shape)
        for name, value in shape.numbers:
            if not isinstance(value, Length) or not value:
                continue
            text = read_as_written(value, mark).text
            word, _, side = name.partition(" ")
            axis = 0 if word == "from" and side in (frame.low[0], frame.high[0]) else 1
            if word == "from":
                key = f"{side} {text}"
                start, end = _from(frame, side, (u0, u1, v0, v1), axis)
            elif name == "narrow face":
                _, (edge, foot), (inner, _) = _bevelled(shape, frame)
                axis, key = 0, f"narrow face {text}"
                start, end = (inner, foot), (inner + float(value) * (1 if edge < inner else -1), foot)
            elif name.startswith("stops from "):
                side = name.removeprefix("stops from ")
                axis = 0 if side in (frame.low[0], frame.high[0]) else 1
                key = f"{side} {text}"
                start, end = _from(frame, side, (u0, u1, v0, v1), axis)
            elif name in ("length", "width", "thickness"):
                axis, (u0, u1, v0, v1) = next(_strips(shape, frame), (_axis_of(shape, frame, name), _extent(shape)))
                key = f"{shape.feature.kind} {name} {text}"
                start, end = ((u0, v0), (u1, v0)) if axis == 0 else ((u1, v0), (u1, v1))
            else:
                continue
            if key not in said and axis >= 0:
                said.add(key)
                yield Measure(start=flip.of(start), end=flip.of(end), text=text, upright=axis == 1)


def _axis_of(shape: FeatureShape, frame: SideFrame, name: str) -> int:
    """The direction of its side along which a size is drawn; -1 for none."""
    kind = shape.feature.kind
    if kind == "tenon":
        return {"width": 0, "thickness": 1}.get(name, -1)
    if kind == "dado":
        return 0 if name == "width" else -1
    if kind == "rabbet":
        return 1 if shape.feature.edge in (frame.low[1], frame.high[1]) else 0
    return 0 if name == "length" else 1


def _extent(shape: FeatureShape) -> Extent:
    if shape.circle is not None:
        u, v, _ = shape.circle
        return u, u, v, v
    us, vs = [u for u, _ in shape.outline] or [0.0], [v for _, v in shape.outline] or [0.0]
    return min(us), max(us), min(vs), max(vs)


def _from(frame: SideFrame, side: str, extent: Extent, axis: int) -> tuple[Point, Point]:
    """The line from a side to the nearer wall, or to the axis of a round hole."""
    u0, u1, v0, v1 = extent
    if axis == 0:
        v = v1
        low, high = frame.span(0, v)
        return ((low, v), (u0, v)) if side == frame.low[0] else ((high, v), (u1, v))
    return ((u0, 0.0), (u0, v0)) if side == frame.low[1] else ((u0, frame.extent(1)), (u0, v1))
