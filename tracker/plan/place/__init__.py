"""The pieces of an assembly as placed bodies in space, and how they meet."""

from tracker.plan.place.meetings import Meeting, extent, loose, meetings, overlaps
from tracker.plan.place.placed import Placed, PlaceError
from tracker.plan.place.placer import Placer
from tracker.plan.place.problems import place_problems

__all__ = [
    "Meeting",
    "PlaceError",
    "Placed",
    "Placer",
    "extent",
    "loose",
    "meetings",
    "overlaps",
    "place_problems",
]
