"""The weight of a piece of furniture, the feet it stands on, and the load that tips it. Millimetres, kilograms,
newtons.

Calculated only: a leg that racks or a floor that isn't flat needs a test.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.plan.convex import hull
from tracker.plan.place import Placed
from tracker.plan.place.bodies import Vector, plus, times
from tracker.plan.trig import distance
from tracker.plan.wood_properties import find

GRAVITY = 9.80665
"""Metres per second squared, standard gravity (ISO 80000-3)."""
LEVEL = 0.05
"""Millimetres: corners this close to the lowest one are on the floor."""
Spot = tuple[float, float]


class Mass(Struct, frozen=True):
    """Weight in kg, centre of mass in mm, and the species of unknown weight, which are left out."""

    kg: float
    centre: Vector
    unknown: tuple[str, ...] = ()


def mass_of(placed: Sequence[Placed], species: dict[str, str]) -> Mass:
    """The mass of placed pieces. `species` gives the wood of each part by its id; density at 12 % moisture content."""
    kg = 0.0
    moment: Vector = (0.0, 0.0, 0.0)
    unknown: dict[str, None] = {}
    for piece in placed:
        wood = find(species[piece.part])
        if wood is None or wood.density is None:
            unknown[species[piece.part]] = None
            continue
        for cell in piece.cells:
            mine = cell.volume * 1e-9 * wood.density
            kg += mine
            moment = plus(moment, times(cell.centre, mine))
    return Mass(kg, times(moment, 1 / kg) if kg else moment, tuple(unknown))


def feet_of(placed: Sequence[Placed]) -> tuple[Spot, ...]:
    """The convex outline of the points on the floor, counter-clockwise as seen from above."""
    points = [point for piece in placed for point in piece.points]
    floor = min(point[2] for point in points)
    return hull((point[0], point[1]) for point in points if point[2] - floor <= LEVEL)


class Tip(Struct, frozen=True):
    """The least load, in N, that tips it over an edge between two feet; None where no load there does."""

    newtons: float | None
    edge: tuple[Spot, ...] = ()


def tips_at(
    feet: Sequence[Spot], mass: Mass, at: Spot, push: float = 0.0, height: float = 0.0
) -> Tip:  # fmt: skip
    """The load straight down at `at` that just tips it, with a sideways `push` in N at `height` outward over each edge.

    At every edge of the feet's outline the moments balance: load · beyond + push · height = weight · inside. Without
    three feet, or with its centre outside them, it falls over by itself: 0 N.
    """
    ring = hull(feet)
    if len(ring) < 3:
        return Tip(0.0, ring)
    least = Tip(None)
    for which, (qx, qy) in enumerate(ring):
        px, py = ring[which - 1]
        length = distance(qx - px, qy - py)
        nx, ny = (qy - py) / length, (px - qx) / length  # outward
        inside = -((mass.centre[0] - px) * nx + (mass.centre[1] - py) * ny)
        beyond = (at[0] - px) * nx + (at[1] - py) * ny
        left = mass.kg * GRAVITY * inside - push * height
        edge = ((px, py), (qx, qy))
        if left < 0:
            return Tip(0.0, edge)
        if beyond > 1e-9 and (least.newtons is None or left / beyond < least.newtons):
            least = Tip(left / beyond, edge)
    return least
