"""What to measure on the finished work: figures that show whether the angles came out right."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import EndCut
from tracker.measure import Angle, Length
from tracker.plan.shape import Solid
from tracker.plan.slants import across
from tracker.plan.trig import arcsine, cosine, distance, sine, times
from tracker.words import say
from tracker.words.sides import side

SLIP: Angle = 0.25
"""The error of a saw's scale that nobody notices; common practice, no source."""


class Measure(Struct, frozen=True, kw_only=True):
    """Something to measure with the tape, and what it should read."""

    what: str
    length: Length


def measures(solid: Solid) -> tuple[Measure, ...]:
    """Measurements that show whether a piece was cut right, before any taper."""
    return tuple(_measures(solid))


def _measures(solid: Solid) -> Iterator[Measure]:
    edges = solid.edges
    if solid.square:
        yield Measure(what=say("both edges"), length=edges.far_top)
    elif edges.far_top == edges.near_top == edges.far_bottom == edges.near_bottom:
        yield Measure(what=say("all four long edges"), length=edges.far_top)
    else:
        yield from _pair("top", edges.far_top, edges.near_top)
        if edges.far_bottom != edges.far_top or edges.near_bottom != edges.near_top:
            yield from _pair("bottom", edges.far_bottom, edges.near_bottom)
    if edges.overall not in (edges.far_top, edges.near_top, edges.far_bottom, edges.near_bottom):
        yield Measure(what=say("tip to tip, along the piece"), length=edges.overall)
    rising, falling = face_diagonals(solid)
    if abs(float(rising - falling)) < 1e-6:
        yield Measure(what=say("both diagonals of the top face"), length=rising)
    else:
        yield Measure(what=say("diagonal of the top face, end A near to end B far"), length=rising)
        yield Measure(what=say("diagonal of the top face, end A far to end B near"), length=falling)


def _pair(face: str, far: Length, near: Length) -> Iterator[Measure]:
    if far == near:
        yield Measure(what=say("both {face} edges", face=side(face)), length=far)
        return
    yield Measure(what=say("far {face} edge", face=side(face)), length=far)
    yield Measure(what=say("near {face} edge", face=side(face)), length=near)


def face_diagonals(solid: Solid) -> tuple[Length, Length]:
    """The diagonals of the top face before any taper: end A near to end B far, then end A far to end B near."""
    near_a, far_a = solid.corner("A", "near", "top"), solid.corner("A", "far", "top")
    near_b, far_b = solid.corner("B", "near", "top"), solid.corner("B", "far", "top")
    rising, falling = (
        Length.of(distance(end[0] - start[0], end[1] - start[1]), "mm")
        for start, end in ((near_a, far_b), (far_a, near_b))
    )
    return rising, falling


def frame_diagonal(width: Length, height: Length) -> Length:
    """The diagonal of a square frame, corner to corner: both must read this."""
    return Length.of(distance(float(width), float(height)), "mm")


def out_of_square(width: Length, height: Length, longer: Length, shorter: Length) -> Angle:
    """How far a frame's corners are from 90°, from its two diagonals: sin e = (d₁² − d₂²) / (4 · width · height)."""
    return arcsine(float((longer.mm**2 - shorter.mm**2) / (4 * width.mm * height.mm)))


def ring_across(sides: int, side: Length) -> tuple[Length, ...]:
    """What to measure across a ring of `sides` pieces whose outer edges are `side` long.

    Even number of sides: corner to opposite corner, flat to opposite flat. Odd: corner to the middle of the opposite
    side.
    """
    turn = 180.0 / sides
    corner_radius = float(side) / (2 * sine(turn))
    flat_radius = corner_radius * cosine(turn)
    if sides % 2:
        return (Length.of(corner_radius + flat_radius, "mm"),)
    return (Length.of(2 * corner_radius, "mm"), Length.of(2 * flat_radius, "mm"))


class RingError(Struct, frozen=True, kw_only=True):
    """The effect of the same error at every cut of a ring."""

    wedge: Angle
    """The total over the whole ring."""
    each_joint: Length
    """The gap if all joints share it equally."""
    one_joint: Length
    """The gap if all joints but one are tight."""
    half_rings: Length | None
    """The gap at each end between two halves that touch at their heels; None for an odd number of sides."""
    chain: Length
    """How far the last inner corner misses the first when the ring is glued in sequence."""


def ring_error(sides: int, error: Angle, width: Length, inner_side: Length) -> RingError:
    """The gaps of a flat ring of `sides` pieces of `width`, with inner edges `inner_side` long, when every cut is off
    by `error`.

    Plane geometry: each of the N wedges has twice the error. The tests rebuild the chain of pieces corner by corner.
    """
    turn = 180.0 / sides
    face = float(width) / cosine(turn)

    def gap(angle: Angle) -> Length:
        return Length.of(2 * face * sine(abs(angle)), "mm")

    return RingError(
        wedge=2 * sides * error,
        each_joint=gap(error),
        one_joint=gap(sides * error),
        half_rings=None if sides % 2 else gap(sides * error / 2),
        chain=Length.of(abs(float(inner_side) * sine(sides * error) / sine(turn - error)), "mm"),
    )


def drift(error: Angle, over: Length) -> Length:
    """How far a line that is off by `error` has strayed after `over`."""
    return across(over, error)


def ring_slip(cut: EndCut, scale: Literal["miter", "bevel"], slip: Angle = SLIP) -> Angle:
    """How much a `slip` of one scale changes the turn of each end, seen from above; never negative.

    A piece with both ends cut this way closes a ring of N where cos(180° / N) = cos m · cos b: the angle between its
    two end planes. Only the mitre matters in a ring that lies flat, only the bevel in one that stands upright.
    """
    off = replace(cut, miter=cut.miter + slip) if scale == "miter" else replace(cut, bevel=cut.bevel + slip)
    return abs(_half_turn(off) - _half_turn(cut))


def _half_turn(cut: EndCut) -> Angle:
    return 90.0 - arcsine(cosine(cut.miter) * cosine(cut.bevel))


def plan_width(width: Length, thickness: Length, lean: Angle) -> Length:
    """The width, seen from above, of the section of a piece that leans by `lean` from upright."""
    return times(width, abs(sine(lean))) + times(thickness, cosine(lean))


def tape_error(length: Length) -> Length:
    """How far a good tape may be off over a length: 0.3 mm plus 0.2 mm for every metre begun.

    European accuracy class II (measuring instruments directive), from memory.
    """
    return Length(Fraction(3, 10) + Fraction(2, 10) * ceil(length.mm / 1000))
