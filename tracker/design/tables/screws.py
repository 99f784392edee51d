"""Screws: lengths and gauges by the thickness of the stock, and the holes bored for them."""

from __future__ import annotations

from fractions import Fraction

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
"""The thickness of the stock, and the length of its pocket screw; common practice, no source."""
METRIC = {25: 25, 32: 30, 38: 40, 51: 50, 64: 65}
"""Pocket screws as sold in millimetres, by their length in inches, rounded; common practice, no source."""

LENGTHS = tuple(inches(each) for each in ("5/8", "3/4", 1, "1 1/4", "1 1/2", "1 3/4", 2, "2 1/2", 3, "3 1/2", 4, 5, 6))
METRIC_LENGTHS = tuple(
    millimetres(each) for each in (16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120, 140, 160)
)
"""Lengths of straight wood screws as sold, under the head; common practice, no source."""

SOFTWOODS = ("Baldcypress", "Cedar", "Douglas-fir", "Fir", "Hemlock", "Larch", "Pine", "Redwood", "Spruce")
"""The conifers of the wood table, by the first word of their names there."""


def pocket_screw(thickness: Length) -> Length | None:
    """The length of the pocket screw for stock of that thickness; None where practice has none."""
    if thickness < SCREWS[0][0] - millimetres(1):
        return None
    return min(SCREWS, key=lambda row: (abs(row[0] - thickness), row[0]))[1] if thickness <= inches("1 3/4") else None


def wood_screw_gauge(thickness: Length) -> int:
    """The gauge of a screw for stock of that thickness; common practice, no source."""
    return 6 if thickness < inches("1/2") else 8 if thickness <= inches(1) else 10


def screw_diameter(gauge: int) -> Length:
    """The diameter of the thread and of the shank: 0.060 in + 0.013 in for each gauge number (ANSI B18.6.1, from
    memory)."""
    return Length((Fraction(60) + 13 * gauge) / 1000 * Fraction(254, 10))


ROOTS: dict[int, str] = {6: "0.113", 8: "0.131", 10: "0.152", 12: "0.171", 14: "0.196"}
"""The root diameter under the thread in inches, by gauge (NDS, appendix L, from memory)."""
PILOTS: dict[int, tuple[str, str]] = {
    6: ("3/32", "7/64"),
    8: ("7/64", "1/8"),
    10: ("1/8", "9/64"),
    12: ("9/64", "5/32"),
}
"""The pilot drill in softwood and in hardwood, by gauge: common practice, no source. About 70 % of the root in softwood
and 90 % in hardwood (Wood Handbook, chapter 8, from memory), rounded up to the next common bit."""


def pilot(gauge: int, hardwood: bool) -> Length | None:
    """The pilot drill for the thread; None for a gauge that isn't in the table."""
    sizes = PILOTS.get(gauge)
    return None if sizes is None else inches(sizes[hardwood])
