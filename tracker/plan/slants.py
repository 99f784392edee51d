"""How far a slanted cut runs along a piece, from edge to edge and from face to face."""

from __future__ import annotations

from tracker.design.model import EndCut
from tracker.measure import Angle, Length
from tracker.measure.length import ZERO
from tracker.plan.trig import cosine, tangent, times


def across(width: Length, miter: Angle) -> Length:
    """How much longer one edge is than the other at a mitred end: width · tan m. Exact (0) for a square cut."""
    return times(width, tangent(miter))


def through(thickness: Length, cut: EndCut) -> Length:
    """How much longer one face is than the other, along the piece: thickness · tan b / cos m. 0 for an upright cut."""
    return times(thickness, tangent(cut.bevel) / cosine(cut.miter)) if cut.bevel else ZERO
