"""How near a hand may come to the blade, and what to do with a piece that would bring it nearer."""

from __future__ import annotations

from tracker.measure import Length, inches
from tracker.words import say

HAND = inches(6)
"""The least distance of a hand from the blade; common practice, no source. A saw's manual may ask for more."""
JIG = {
    "crosscut": say("Too short to hold: use a long strip or a jig, no stop."),
    "rip": say("Too short: rip a long strip first, or use a jig."),
    "narrow": say("Push stick: no room for a hand."),
}


def too_small(left: Length) -> bool:
    """Whether a cut that leaves this length brings the hand that holds it nearer than `HAND`."""
    return left.mm < HAND.mm
