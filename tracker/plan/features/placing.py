"""The position of a feature on its side of the piece, the numbers measured to it, and the planes that bound it."""

from __future__ import annotations

from fractions import Fraction
from math import radians, tan

from tracker.design.feature import Feature
from tracker.measure import Length
from tracker.plan.features.feature_shape import Numbers, Outline, Region
from tracker.plan.features.side import Half, Linear, SideFrame


def mm(length: Length | None) -> float:
    return 0.0 if length is None else float(length)


def start_of(feature: Feature, frame: SideFrame, axis: int, size: float, which: int, other: float) -> float:
    """Where something of this size begins on an axis, or the axis of a round hole (size 0). `other` is its place on the
    other axis, which matters where an end is slanted."""
    low, high = frame.span(axis, other)
    first, last = frame.low[axis], frame.high[axis]
    at, toward = dict(feature.at), dict(feature.toward)
    in_row = feature.spacing is not None and (feature.row == "along") == (axis == 0)
    step = mm(feature.spacing) * which if in_row else 0.0
    if first in at:
        return low + mm(at[first]) + step
    if last in at:
        return high - mm(at[last]) - size - step
    middle = (low + high) / 2 - mm(toward.get(first)) + mm(toward.get(last))
    if in_row:
        middle += step - mm(feature.spacing) * (feature.count - 1) / 2
    return middle - size / 2


def box_place(feature: Feature, frame: SideFrame, sizes: tuple[float, float], which: int) -> tuple[float, float]:
    """Where a box of these sizes begins in `u` and in `v`."""
    v = start_of(feature, frame, 1, sizes[1], which, 0.0)
    return start_of(feature, frame, 0, sizes[0], which, v + sizes[1] / 2), v


def numbers_to(feature: Feature, frame: SideFrame, place: tuple[float, float], sizes: tuple[float, float]) -> Numbers:
    """What is measured to it: from the sides that the file names, or else from the nearer one."""
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


def length_of(mm: float) -> Length:
    """A length from a position in space; exact where the file's numbers were."""
    return Length(Fraction(mm).limit_denominator(10**7))


def leaning(feature: Feature, frame: SideFrame) -> tuple[Linear, Linear]:
    """The two directions across the side, sheared by the lean: a leaning hole runs toward a side as it goes in."""
    u, v = frame.u, frame.v
    for side, angle in feature.lean:
        slope = tan(radians(angle))
        if side in (frame.low[0], frame.high[0]):
            u = u.plus(frame.into, slope if side == frame.low[0] else -slope)
        else:
            v = v.plus(frame.into, slope if side == frame.low[1] else -slope)
    return u, v


def shift_of(feature: Feature, frame: SideFrame, depth: float) -> tuple[float, float]:
    """How far a leaning feature has shifted at a depth, in `u` and `v`."""
    shift = [0.0, 0.0]
    for side, angle in feature.lean:
        axis = 0 if side in (frame.low[0], frame.high[0]) else 1
        shift[axis] += tan(radians(angle)) * depth * (-1 if side == frame.low[axis] else 1)
    return shift[0], shift[1]


def between(form: Linear, low: float, high: float) -> Region:
    return Half(form, high), above(form, low)


def above(form: Linear, low: float) -> Half:
    return Half(form, low).turned


def with_depth(
    feature: Feature, numbers: list[tuple[str, Length | float | None]]
) -> tuple[tuple[str, Length | float], ...]:
    deep: list[tuple[str, Length | float | None]] = [] if feature.through else [("depth", feature.depth)]
    lean: list[tuple[str, Length | float | None]] = [(f"lean to {side} deg", angle) for side, angle in feature.lean]
    return tuple((name, value) for name, value in (*numbers, *deep, *lean) if value is not None)


def rectangle(u: float, v: float, wide: float, high: float) -> Outline:
    return ((u, v), (u + wide, v), (u + wide, v + high), (u, v + high))
