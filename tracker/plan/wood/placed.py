"""The effect of wood movement and weight where places are known: slanted boards that are held, and what tips a piece of
furniture over."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from tracker.design.model import Assembly, Build
from tracker.measure import Angle
from tracker.plan.place import Placed, Placer, extent
from tracker.plan.trig import arctangent
from tracker.plan.wood.movement import coefficient, slanted
from tracker.plan.wood.seasons import NOTHING_FOUND, Found, seasons_of
from tracker.plan.wood.stability import Mass, feet_of, mass_of, tips_at
from tracker.plan.wood_properties import find

AT_THE_EDGE = 50.0
"""Millimetres in from the rim: where a hand or a hip loads a piece of furniture; common practice, no source."""
SLANTED: tuple[Angle, Angle] = (10.0, 80.0)
"""Degrees between the grain and the length of an assembly for boards to count as slanted."""
Side = Literal["left", "right", "front", "back"]


class Stand(Struct, frozen=True, kw_only=True):
    """The weight and stability of one assembly. `edge` is the side at whose rim the least `load`, in N, tips it; None
    where no load at a rim does. `rocks`: fewer than three feet are level."""

    assembly: str
    mass: Mass
    edge: Side | None
    load: float | None
    rocks: bool


class SlantedField(Struct, frozen=True, kw_only=True):
    """Slanted boards glued to one another: how much the field tends to grow along and across its length, in mm, from
    the driest to the dampest air; `held` names the assembly that holds its edges, "" where it is free."""

    assembly: str
    angle: Angle
    along: float
    across: float
    held: str


def stands(build: Build, placer: Placer) -> tuple[Stand, ...]:
    """Every assembly that no other joins and whose places are known."""
    joined = {id_ for assembly in build.assemblies for id_, _ in assembly.joins}
    whole = [each for each in build.assemblies if each.id not in joined and placer.has_places(each.id)]
    return tuple(_stand(build, each, placer.placed(each.id)) for each in whole)


def slanted_fields(build: Build, placer: Placer, measured: Found = NOTHING_FOUND) -> tuple[SlantedField, ...]:
    """Every glued assembly whose boards all lie at one slant to its length."""
    seasons = seasons_of(build, measured)
    parts = {part.id for part in build.parts}
    found = []
    for assembly in build.assemblies:
        glued = "glue" in assembly.by and all(id_ in parts for id_, _ in assembly.joins)
        if not glued or not assembly.place or not placer.has_places(assembly.id):
            continue
        placed = placer.placed(assembly.id)
        angle = _slant(placed)
        wood = find(build.wood(build.part(placed[0].part).wood).species)
        if angle is None or wood is None:
            continue
        part = build.part(placed[0].part)
        strain = coefficient(wood.radial, wood.tangential, part.rings) * (seasons.damp - seasons.dry)
        slant = slanted(strain, angle)
        low, high = extent(placed)
        found.append(
            SlantedField(
                assembly=assembly.name, angle=angle, along=(high[0] - low[0]) * slant.along,
                across=(high[1] - low[1]) * slant.across, held=_held_by(build, assembly),
            )
        )  # fmt: skip
    return tuple(found)


def _slant(placed: Sequence[Placed]) -> Angle | None:
    """The single angle between the grain of all pieces and the assembly's length; None where there is none."""
    angles = []
    for piece in placed:
        x, y, z = piece.pose.turned((1.0, 0.0, 0.0))
        if abs(z) > 0.1:
            return None
        angles.append(arctangent(abs(y), abs(x)))
    low, high = SLANTED
    same = max(angles) - min(angles) < 1.0
    return angles[0] if same and low < angles[0] < high else None


def _held_by(build: Build, field: Assembly) -> str:
    """The assembly that glues something else around the field."""
    for assembly in build.assemblies:
        ids = [id_ for id_, _ in assembly.joins]
        if field.id in ids and len(ids) > 1 and "glue" in assembly.by:
            return assembly.name
    return ""


def _stand(build: Build, assembly: Assembly, placed: Sequence[Placed]) -> Stand:
    species = {part.id: build.wood(part.wood).species for part in build.parts}
    mass, feet = mass_of(placed, species), feet_of(placed)
    (left, front, _), (right, back, _) = extent(placed)
    middle = ((left + right) / 2, (front + back) / 2)
    rims: dict[Side, tuple[float, float]] = {
        "left": (left + AT_THE_EDGE, middle[1]), "right": (right - AT_THE_EDGE, middle[1]),
        "front": (middle[0], front + AT_THE_EDGE), "back": (middle[0], back - AT_THE_EDGE),
    }  # fmt: skip
    loads = {side: tips_at(feet, mass, at).newtons for side, at in rims.items()}
    tipping = [(load, side) for side, load in loads.items() if load is not None]
    load, edge = min(tipping) if tipping else (None, None)
    return Stand(assembly=assembly.name, mass=mass, edge=edge, load=load, rocks=len(feet) < 3)
