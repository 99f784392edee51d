"""Half-laps, tapers and pocket holes, and how far a slanted cut runs along a piece.

Formulas follow from plane geometry and are tested by building the joint in space (tests/plan). Mitred and leaning
corners are in `compound_mitre`.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from tracker.design.model import EndCut
from tracker.measure import Angle, Length
from tracker.plan.trig import arctangent, cosine, sine, tangent

POCKET_ANGLE: Angle = 15.0
"""The angle of a pocket hole to the face; common practice, no source."""


class HalfLap(Struct, frozen=True, kw_only=True):
    """A half-lap where two pieces cross: a trench across one of them."""

    miter: Angle
    """The angle of the trench's shoulders from square across the piece."""
    along: Length
    """The width of the trench, measured along the piece's edge."""
    shift: Length
    """How far the trench shifts along the piece from one edge to the other."""
    depth: Length


def half_lap(width: Length, thickness: Length, other_width: Length, crossing: Angle = 90.0) -> HalfLap:
    """The trench in a piece of `width` and `thickness` for a piece of the same thickness that crosses at `crossing`."""
    if not 0 < crossing <= 90:
        raise ValueError(f"pieces cross at an angle above 0° and up to 90°, not at {crossing:g}°")
    miter = 90.0 - crossing
    return HalfLap(
        miter=miter,
        along=other_width if miter == 0 else times(other_width, 1 / sine(crossing)),
        shift=across(width, miter),
        depth=thickness / 2,
    )


class TaperCut(Struct, frozen=True, kw_only=True):
    """A straight taper: `length` along the piece, `leave` the width left at its end, `angle` of the tapered edge."""

    length: Length
    leave: Length
    angle: Angle


def taper(
    width: Length,
    *,
    length: Length | None = None,
    leave: Length | None = None,
    angle: Angle | None = None,
    edges: int = 1,
) -> TaperCut:
    """A taper on one or both (`edges=2`) edges of a piece of `width`, from any two of its three measures.

    `angle` is that of one edge. Raises ValueError unless exactly two are given, or when they make no taper.
    """
    if length is not None and leave is not None and angle is None:
        angle = taper_angle((width - leave) / edges, length)
    elif leave is not None and angle is not None and length is None:
        length = taper_length((width - leave) / edges, angle)
    elif length is not None and angle is not None and leave is None:
        leave = width - taper_depth(length, angle) * edges
    else:
        raise ValueError("a taper is set by two of length, width left and angle")
    if not (length.mm > 0 and 0 < leave.mm <= width.mm):
        raise ValueError("the taper is deeper than the piece is wide")
    return TaperCut(length=length, leave=leave, angle=angle)


def taper_angle(depth: Length, length: Length) -> Angle:
    """The angle between a straight edge and a tapered edge that goes in by `depth` over `length`."""
    return arctangent(float(depth), float(length))


def taper_depth(length: Length, angle: Angle) -> Length:
    """How far a tapered edge goes in over `length`: length · tan angle."""
    return times(length, tangent(angle))


def taper_length(depth: Length, angle: Angle) -> Length:
    """The length over which a tapered edge goes in by `depth`: depth / tan angle. Raises ValueError without an
    angle."""
    if angle <= 0:
        raise ValueError("a taper without an angle has no length")
    return times(depth, 1 / tangent(angle))


def across(width: Length, miter: Angle) -> Length:
    """How much longer one edge is than the other at a mitred end: width · tan m. Exact (0) for a square cut."""
    return times(width, tangent(miter))


def through(thickness: Length, cut: EndCut) -> Length:
    """How much longer one face is than the other, along the piece: thickness · tan b / cos m. 0 for an upright cut."""
    return times(thickness, tangent(cut.bevel) / cosine(cut.miter)) if cut.bevel else Length(Fraction(0))


def pocket_setback(thickness: Length) -> Length:
    """The distance from the end at which a pocket hole enters the face, so that its axis leaves at mid-thickness: (T/2)
    / tan 15°."""
    return times(thickness / 2, 1 / tangent(POCKET_ANGLE))


def times(length: Length, ratio: float) -> Length:
    """A length times a trigonometric ratio; exact when the ratio is a whole number."""
    return length * int(ratio) if ratio == int(ratio) else Length(Fraction(float(length) * ratio))
