"""Pocket screws by the thickness of the stock, both parts alike: common practice, no source."""

from __future__ import annotations

from tracker.measure import Length, inches, millimetres

SCREWS: tuple[tuple[Length, Length], ...] = (
    (inches("1/2"), inches(1)),
    (inches("5/8"), inches(1)),
    (inches("3/4"), inches("1 1/4")),
    (inches("7/8"), inches("1 1/2")),
    (inches(1), inches("1 1/2")),
    (inches("1 1/8"), inches("1 1/2")),
    (inches("1 1/4"), inches(2)),
    (inches("1 1/2"), inches("2 1/2")),
)
"""Thickness of the stock and length of the pocket screw; common practice, no source."""
METRIC = {25: 25, 32: 30, 38: 40, 51: 50, 64: 65}
"""Pocket screws as sold in millimetres, by their length in inches, rounded; common practice, no source."""

SOFTWOODS = ("Baldcypress", "Cedar", "Douglas-fir", "Fir", "Hemlock", "Larch", "Pine", "Redwood", "Spruce")
"""The conifers of the wood table, by the first word of their names there."""


def pocket_screw(thickness: Length) -> Length | None:
    """The screw for stock of that thickness; None where practice has none."""
    if thickness < SCREWS[0][0] - millimetres(1):
        return None
    return min(SCREWS, key=lambda row: (abs(row[0] - thickness), row[0]))[1] if thickness <= inches("1 3/4") else None
