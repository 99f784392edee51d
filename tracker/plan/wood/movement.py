"""How wood moves with its moisture, and the effect on joints, seams and slots. Millimetres, degrees, percent.

A strain is the gain (or, if negative, the loss) of one millimetre across the grain. Wood is assumed not to move along
the grain. The figures are for boards free to move, in slow changes; the handbook warns that a formula says more than
real boards do.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.measure import Angle
from tracker.plan.trig import arctangent, cosine, sine, tangent

PLAY = 0.5
"""Millimetres on each side of a screw in its slot; common practice, no source."""
FREE, SOLID = 0.5, 1.5
"""Millimetres of movement across the grain that a glued joint tolerates: below the first nothing happens, above the
second it must not be glued solid; common practice, no source."""
BUTTON_PLAY = 1.0
"""Millimetres by which the groove of a button is deeper than the wood moves; common practice, no source."""
SWING: Angle = 45.0
"""How far a figure-eight fastener swings to each side; common practice, no source."""

Verdict = Literal["fine", "caution", "no"]


def coefficient(radial: float, tangential: float, rings: Angle) -> float:
    """Strain per percent of moisture of a board whose growth rings lie at `rings` degrees to its face (0: flat-sawn).

    A model between the handbook's two figures: C = C_T cos² + C_R sin².
    """
    return tangential * cosine(rings) ** 2 + radial * sine(rings) ** 2


class Slant(Struct, frozen=True):
    """The effect of a strain on a line that the grain crosses at an angle: along it, across it, and how far it
    turns."""

    along: float
    across: float
    turn: Angle
    """Degrees toward the direction across the grain; negative when the wood shrinks."""


def slanted(strain: float, angle: Angle) -> Slant:
    """A board whose grain lies at `angle` degrees (0 to 90) to a line in its face, such as a seam."""
    turn = arctangent((1 + strain) * tangent(angle)) - angle if angle < 90 else 0.0
    return Slant(strain * sine(angle) ** 2, strain * cosine(angle) ** 2, turn)


def mitre_gap(strain: float, width: float, miter: Angle = 45.0) -> float:
    """How wide a glued-up corner of two boards `width` wide would open, in mm.

    `miter` is the angle of its cuts from square. The corner opens at the heel (inside) when the wood shrinks and at the
    toe when it swells; the wedge is twice the turn of one cut.
    """
    turn = slanted(strain, 90 - miter).turn
    return 2 * width / cosine(miter) * abs(sine(turn))


class Slot(Struct, frozen=True):
    """A slot for a screw that holds a top: its length, and the screw's position in it when the top is put on, in mm."""

    length: float
    screw_from_inner_end: float


def slot(distance: float, dry_strain: float, damp_strain: float, shank: float) -> Slot:
    """A slot `distance` mm, across the grain, from where the top is held. The base doesn't move: as the top swells, the
    screw moves toward the slot's inner end."""
    inward = max(0.0, -distance * dry_strain)
    outward = max(0.0, distance * damp_strain)
    return Slot(shank + inward + outward + 2 * PLAY, shank / 2 + PLAY + outward)


def swings_far_enough(distance: float, dry_strain: float, damp_strain: float, arm: float) -> bool:
    """Whether a figure-eight fastener with `arm` mm between its screws can follow the top at this distance."""
    return distance * max(abs(dry_strain), abs(damp_strain)) <= arm * sine(SWING)


def button_groove(distance: float, dry_strain: float, damp_strain: float) -> float:
    """How much deeper the groove for a button must be than its tongue, in mm."""
    return distance * max(abs(dry_strain), abs(damp_strain)) + BUTTON_PLAY


def panel_in_groove(width: float, dry_strain: float, damp_strain: float, depth: float) -> tuple[float, float]:
    """The gap to leave at each side of a panel that floats in grooves `depth` mm deep, so that it has room in the damp
    season; and how much of its edges stays in the grooves in the dry season, in mm.

    The panel is assumed to stay centred: pin it in the middle of each end.
    """
    gap = max(0.0, width * damp_strain) / 2 + PLAY
    return gap, depth - gap - max(0.0, -width * dry_strain) / 2


def held(width: float, dry_strain: float, damp_strain: float) -> tuple[float, Verdict]:
    """The movement of wood `width` mm wide whose other side is fixed, in the worse season, and whether it may be glued
    solid."""
    moves = width * max(abs(dry_strain), abs(damp_strain))
    return moves, "fine" if moves <= FREE else "caution" if moves <= SOLID else "no"


def widest_solid(dry_strain: float, damp_strain: float) -> float:
    """The greatest width, in mm, that may be glued solid across the grain.

    Infinite where the wood doesn't move.
    """
    strain = max(abs(dry_strain), abs(damp_strain))
    return SOLID / strain if strain else float("inf")
