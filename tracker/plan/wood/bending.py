"""How far shelves, tops, rails and slats sag. Millimetres, newtons, megapascals."""

from __future__ import annotations

from typing import Literal

Support = Literal[
    "even",
    "middle",
    "even, both ends fixed",
    "middle, both ends fixed",
    "even, held at one end",
    "end, held at the other",
]
_BENDING: dict[Support, float] = {
    "even": 5 / 384,
    "middle": 1 / 48,
    "even, both ends fixed": 1 / 384,
    "middle, both ends fixed": 1 / 192,
    "even, held at one end": 1 / 8,
    "end, held at the other": 1 / 3,
}
"""How the load is spread and the ends are held: the factor of W L³ / E I (Wood Handbook, FPL-GTR-190, chapter 9)."""
CREEP = 2.0
"""Under a load of years wood sags about this many times as much as at first (Wood Handbook; from memory)."""
LIMIT = 1 / 600
"""The most that a shelf should sag, as a fraction of its span; common practice, no source."""


def sag(load: float, span: float, width: float, thickness: float, stiffness: float, support: Support = "even") -> float:
    """The immediate sag of a board in the middle (or at its free end), in mm. `load` is the total in N, `stiffness` in
    MPa.

    Bending alone: shear adds a few percent where the span is less than fifteen times the thickness.
    """
    inertia = width * thickness**3 / 12
    return _BENDING[support] * load * span**3 / (stiffness * inertia)


def longest_span(
    load_per_mm: float, width: float, thickness: float, stiffness: float, part_of_span: float = LIMIT
) -> float:
    """The longest shelf on two supports, in mm, that sags no more than `part_of_span` of its span after years."""
    inertia = width * thickness**3 / 12
    return float((384 * stiffness * inertia * part_of_span / (5 * load_per_mm * CREEP)) ** (1 / 3))
