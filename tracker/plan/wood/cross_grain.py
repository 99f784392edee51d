"""Wood held across its grain, found from where the pieces are: what glue or screws hold there, and how much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.joining import Numbered
from tracker.design.model import Assembly, Build
from tracker.plan.contact import shared_outlines
from tracker.plan.place import Placed, PlaceError, Placer, meetings
from tracker.plan.place.bodies import Vector, cross, dot, newell, norm, unit
from tracker.plan.wood.assessment import across_of_panels, across_of_parts, assess
from tracker.plan.wood.fastened import Across, Held, SlotNeeded, held_solid
from tracker.plan.wood.movement import coefficient
from tracker.plan.wood.seasons import NOTHING_FOUND, Found

MOST_PLACED = 300
"""The most pieces of an assembly for which contacts are computed."""
ALONG = 0.7
"""The cosine above which two directions count as one: within 45 degrees."""
PARALLEL = 0.996
"""The cosine between the grain of pieces that count as parallel: within 5 degrees."""


SMALLEST = 1.0
"""Square millimetres: pieces that share less meet only at an edge or a corner."""


class Contact(Struct, frozen=True):
    """Two touching pieces: the corners of the areas where they touch, and the normal of the largest area."""

    one: Placed
    other: Placed
    points: tuple[Vector, ...]
    normal: Vector

    @property
    def turned(self) -> Contact:
        """The same contact, seen from the other piece."""
        return Contact(self.other, self.one, self.points, self.normal)


def held_by_contact(build: Build, found: Found = NOTHING_FOUND) -> tuple[Held, ...]:
    """`held_in` for every assembly."""
    return tuple(each for assembly in build.assemblies for each in held_in(build, assembly.id, found))


@lru_cache(maxsize=256)
def held_in(build: Build, assembly_id: str, found: Found = NOTHING_FOUND) -> tuple[Held, ...]:
    """Each board or panel that an assembly glues or screws across its grain, where no `fastens` row says how it is
    held.

    The held width is the extent of the contact across the grain of one board, or of a panel glued up of boards. Empty
    where a place is wrong or isn't given: that is reported elsewhere.
    """
    assembly, across = build.assembly(assembly_id), across_of_parts(build, found)
    if assembly.by == "dry":
        return ()
    glued = frozenset(across_of_panels(build, across))
    return tuple(_of(build, assembly, touching(Placer(build), assembly), across, glued))


def touching(placer: Placer, assembly: Assembly) -> tuple[Contact, ...]:
    """Where pieces of different members of an assembly touch, seen from both; empty where its places aren't known."""
    if not placer.has_places(assembly.id):
        return ()
    try:
        placed = placer.placed(assembly.id)
    except (PlaceError, ValueError):
        return ()
    if len(placed) > MOST_PLACED:
        return ()
    found = []
    for each in meetings(placed):
        one, other = placed[each.first], placed[each.second]
        if _member(one) != _member(other) and (contact := _contact(one, other)):
            found += [contact, contact.turned]
    return tuple(found)


def _contact(one: Placed, other: Placed) -> Contact | None:
    outlines = [outline for outline in shared_outlines(one, other) if norm(newell(outline)) / 2 > SMALLEST]
    if not outlines:
        return None
    largest = max(outlines, key=lambda outline: norm(newell(outline)))
    return Contact(one, other, tuple(point for outline in outlines for point in outline), unit(newell(largest)))


def _member(piece: Placed) -> Numbered:
    """What the outermost assembly joins: the piece itself, or an assembly that it is part of."""
    return piece.within[1] if len(piece.within) > 1 else piece.key


def _of(
    build: Build, assembly: Assembly, met: Sequence[Contact], across: dict[str, Across], glued: frozenset[str]
) -> Iterator[Held]:
    said = {each.id for each in assembly.fastens}
    names = {each.id: each.name for each in build.parts} | {each.id: each.name for each in build.assemblies}
    together: dict[tuple[Numbered, Numbered], list[Contact]] = {}
    for contact in met:
        panel = next((each for each in contact.one.within if each[0] in glued), contact.one.key)
        together.setdefault((panel, _member(contact.other)), []).append(contact)
    worst: dict[str, Held] = {}
    for (panel, other), contacts in together.items():
        held = _held(build, assembly, contacts, across)
        mine = {panel[0], _member(contacts[0].one)[0], other[0]}
        if held and not said & mine and held.moves > (worst[panel[0]].moves if panel[0] in worst else 0.0):
            worst[panel[0]] = replace(held, id=panel[0], of=names[panel[0]], to=names[other[0]])
    yield from worst.values()


def _held(build: Build, assembly: Assembly, contacts: Sequence[Contact], across: dict[str, Across]) -> Held | None:
    """How much of one board or panel is held by one other member; None where nothing is held across its grain."""
    largest = contacts[0]
    grain = _grain(build, largest.one)
    if any(abs(dot(grain, _grain(build, each.one))) < PARALLEL or each.one.part not in across for each in contacts):
        return None
    if abs(dot(grain, largest.normal)) > ALONG:  # end grain: the side that it meets is what may move
        return None
    width = unit(cross(grain, largest.normal))
    if not any(abs(dot(width, _grain(build, each.other))) > ALONG for each in contacts):
        return None
    spread = [dot(width, point) for each in contacts for point in each.points]
    moving = max((_along(each.one, across[each.one.part], width) for each in contacts), key=_strain)
    return held_solid(moving, assembly.id, assembly.by, max(spread) - min(spread), line=assembly.line)


def _strain(each: Across) -> float:
    return max(abs(each.dry_strain), abs(each.damp_strain))


def _along(piece: Placed, each: Across, direction: Vector) -> Across:
    """The same with its movement in this direction: through its thickness the rings lie the other way."""
    if abs(dot(direction, piece.pose.turned((0.0, 0.0, 1.0)))) < ALONG:
        return each
    flat = coefficient(each.wood.radial, each.wood.tangential, each.rings)
    through = coefficient(each.wood.radial, each.wood.tangential, 90 - each.rings)
    share = through / flat
    return replace(each, dry_strain=each.dry_strain * share, damp_strain=each.damp_strain * share)


def _grain(build: Build, piece: Placed) -> Vector:
    return piece.pose.turned((1.0, 0.0, 0.0) if build.part(piece.part).grain == "along" else (0.0, 1.0, 0.0))


@lru_cache(maxsize=8)
def slots_by_part(build: Build, found: Found = NOTHING_FOUND) -> Mapping[str, tuple[SlotNeeded, ...]]:
    """The slots drilled in pieces of each part: those that a row of `fastens` names, or else those that touch what is
    fastened there."""
    slots = [slot for slot in assess(build, found).slots if slot.by == "slots"]
    drilled: dict[str, list[SlotNeeded]] = {}
    for assembly in build.assemblies:
        for row in assembly.fastens:
            mine = [slot for slot in slots if (slot.assembly, slot.id) == (assembly.id, row.id)]
            if mine:
                for part in (row.through,) if row.through else _touched_by(build, assembly, row.id):
                    drilled.setdefault(part, []).extend(mine)
    return {part: tuple(mine) for part, mine in drilled.items()}


def _touched_by(build: Build, assembly: Assembly, held: str) -> Iterator[str]:
    met = touching(Placer(build), assembly)
    yield from dict.fromkeys(each.other.part for each in met if _member(each.one)[0] == held)
