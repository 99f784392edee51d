"""How near a hand may come to the blade, and what is done where a piece would bring it nearer."""

from __future__ import annotations

from tracker.measure import Length, inches

HAND = inches(6)
"""The hand's distance from the blade; common practice, no source. A saw's manual may ask for more."""
JIG = {
    "crosscut": "Too short to hold: leave it on a long strip, or hold it in a jig. No stop.",
    "rip": "Too short to rip: rip a long strip first, in a jig or with push sticks.",
    "narrow": "Push stick: no room for a hand between fence and blade.",
}


def too_small(left: Length) -> bool:
    """Whether a cut that leaves this much brings the hand that holds it nearer than `HAND`."""
    return left.mm < HAND.mm
