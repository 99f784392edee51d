"""Pocket holes: the angled bore of a screw that joins an end to another piece. Plane geometry, in millimetres."""

from __future__ import annotations

from msgspec import Struct

from tracker.measure import Angle
from tracker.plan.trig import cosine, sine, tangent

POCKET_ANGLE: Angle = 15.0
"""The angle of a pocket hole to the face; common practice, no source."""
BORE = 9.5
"""The diameter of a pocket's bore; common practice, no source."""
LEAST_UNDER = 3.0
"""The wood left under a pocket's bore; common practice, no source."""
LEAST_SEAT = 6.0
"""The wood left in front of a pocket's seat, along the axis; common practice, no source."""
SEAT = 0.8
"""The distance of a pocket's seat from the end as a fraction of the thickness, where the bore allows it; common
practice, no source."""


class Pocket(Struct, frozen=True):
    """A pocket in stock of one thickness, on a square end. `seat`: from the end to the screw's head, along the axis.
    `deepest`: the seat that is just under the face. `under`: the wood left behind the bore at the seat."""

    seat: float
    deepest: float
    under: float


def pocket(thickness: float, seat: float | None = None, bore: float = BORE) -> Pocket:
    """The pocket in stock of `thickness`. Unless it is given, the position of its seat is common practice."""
    up, along, radius = sine(POCKET_ANGLE), cosine(POCKET_ANGLE), bore / 2
    deepest = (thickness / 2 - radius * along) / up
    if seat is None:
        seat = min(SEAT * thickness, deepest)
    return Pocket(seat=seat, deepest=deepest, under=thickness / 2 + seat * up - radius * along)


def pocket_entry(thickness: float) -> float:
    """The distance from the end at which the axis enters the face, so that it leaves the end at mid-thickness."""
    return thickness / 2 / tangent(POCKET_ANGLE)
