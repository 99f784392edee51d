"""How near a hand may come to the blade, and what is done where a piece would bring it nearer."""

from __future__ import annotations

from tracker.measure import Length, millimetres

HAND = millimetres(150)
"""The hand's distance from the blade, about 6 in; common practice, no source. A saw's manual may ask for more."""
JIG = {
    "crosscut": "Too short to hold: leave it on a long strip and clamp that, or hold the piece in a jig; no stop.",
    "rip": "Too short to rip: rip a long strip first, then cut the piece from it; push stick.",
    "narrow": "Push stick: the fence is nearer to the blade than a hand may be.",
}


def too_small(left: Length) -> bool:
    """Whether a cut that leaves this much brings the hand that holds it nearer than `HAND`."""
    return left.mm < HAND.mm
