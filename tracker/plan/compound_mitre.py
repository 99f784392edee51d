"""The compound mitre: the mitre and the bevel that make pieces meet, as a saw's scale reads them (0 is a square cut).

The formulas follow from the geometry of the cut planes and are tested by building the joint in space (tests/plan). Lean
is measured outward from upright; a piece that leans 90° lies flat, like the sides of a picture frame.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.design.model import EndCut
from tracker.measure import Angle, Length
from tracker.plan.trig import arcsine, arctangent, cosine, distance, sine, tangent, times
from tracker.words import say


def ring(sides: int, lean: Angle, *, butted: bool = False) -> EndCut:
    """The cut at both ends of each of `sides` pieces in a ring, each leaning outward by `lean` from upright.

    The upper edge is the far one and the outer face the top one. `butted`: each end meets its neighbour's face instead
    of its mitred end. Raises ValueError for fewer than 3 sides or a lean past flat.
    """
    if sides < 3:
        raise ValueError(say("a ring needs at least 3 sides, not {sides}", sides=sides))
    return corner(180.0 - 360.0 / sides, lean, butted=butted)


def corner(plan_angle: Angle, lean: Angle = 0.0, *, butted: bool = False) -> EndCut:
    """The cut at a corner whose inside angle, seen from above, is `plan_angle`.

    Mitred: tan m = sin a · tan h and sin b = cos a · sin h, with the half-turn h = (180° − plan angle) / 2; butted: the
    same mitre and sin b = cos² a · cos 2h + sin² a, then longer on the inner face where that is positive.
    """
    if not 0 < plan_angle < 180:
        raise ValueError(
            say("a corner's inside angle lies between 0° and 180°, not at {plan_angle:g}°", plan_angle=plan_angle)
        )
    if not -90 <= lean <= 90:
        raise ValueError(say("a lean lies between -90° and 90° from upright, not at {lean:g}°", lean=lean))
    half_turn = (180.0 - plan_angle) / 2
    miter = arctangent(sine(lean) * tangent(half_turn))
    if butted:
        bevel = -arcsine(cosine(lean) ** 2 * cosine(2 * half_turn) + sine(lean) ** 2)
    else:
        bevel = arcsine(cosine(lean) * sine(half_turn))
    return _signed(miter, bevel)


def _signed(miter: Angle, bevel: Angle) -> EndCut:
    """A cut longer at the far edge and the top face where the angles are positive."""
    return EndCut(
        miter=abs(miter),
        bevel=abs(bevel),
        long="far" if miter >= 0 else "near",
        long_face="top" if bevel >= 0 else "bottom",
    )


def dihedral(cut: EndCut) -> Angle:
    """The inside angle between two faces that meet at a mitred corner with this cut on both pieces."""
    return 180.0 - 2 * cut.bevel


class SplayedLeg(Struct, frozen=True, kw_only=True):
    """A leg that leans `front` in the front view and `side` in the side view, with its ends level with the floor and
    the seat."""

    miter: Angle
    bevel: Angle
    length: Length
    """The length along any of its four long edges."""
    run_front: Length
    run_side: Length
    resultant: Angle
    """The lean from upright in the leg's own upright plane."""
    sight: Angle
    """The direction of that plane, seen from above, from the front axis."""
    foot: EndCut
    seat: EndCut


def splayed_leg(height: Length, front: Angle, side: Angle) -> SplayedLeg:
    """A splayed leg. `height` is from the floor to the underside of the seat.

    End A is the foot; the leg lies with its outward-leaning side face up. The cuts are parallel: opposite edges and
    opposite faces are the longer ones.
    """
    if not (abs(front) < 90 and abs(side) < 90):
        raise ValueError(say("a leg can't lean 90° or more"))
    tan_front, tan_side = tangent(front), tangent(side)
    slope = distance(tan_front, tan_side)
    seat = _signed(arctangent(tan_front * cosine(side)), side)
    return SplayedLeg(
        miter=seat.miter,
        bevel=seat.bevel,
        length=times(height, distance(1.0, slope)),
        run_front=times(height, tan_front),
        run_side=times(height, tan_side),
        resultant=arctangent(slope),
        sight=arctangent(tan_side, tan_front),
        foot=opposite(seat),
        seat=seat,
    )


def opposite(cut: EndCut) -> EndCut:
    """The parallel cut at the piece's other end: the other edge and the other face are longer."""
    return EndCut(
        miter=cut.miter,
        bevel=cut.bevel,
        long="near" if cut.long == "far" else "far",
        long_face="bottom" if cut.long_face == "top" else "top",
    )


def on_edge(cut: EndCut) -> tuple[Angle, Angle]:
    """Mitre and bevel of the same cut with the piece on edge: tan m' = tan b / cos m, sin b' = cos b · sin m."""
    miter = arctangent(tangent(cut.bevel) / cosine(cut.miter))
    return miter, arcsine(cosine(cut.bevel) * sine(cut.miter))
