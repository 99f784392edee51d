"""How much glue and finish a build takes, from the areas of its joints and surfaces: estimates, on the high side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import pairwise
from math import sqrt

from msgspec import Struct

from tracker.design.model import Assembly, Build, CornerJoint, Part, RingJoint
from tracker.design.tables.spread_rates import Coverage, Spread, coverage_of, spread_of
from tracker.plan.contact import glue_lines
from tracker.plan.geometry import solid
from tracker.plan.place import PlaceError, Placer

SQUARE_MM = 1e-6
"""Square metres in a square millimetre."""


MOST_PLACED = 300
"""The most pieces in a glue-up for which the contact areas are computed."""


class GlueNeed(Struct, frozen=True, kw_only=True):
    """One glue. `area` is the area of its joints in square metres; `grams` is None where its spread rate isn't
    known."""

    name: str
    area: float
    spread: Spread | None

    @property
    def grams(self) -> float | None:
        """Grams at the generous end of the spread rate."""
        return None if self.spread is None else self.area * self.spread.most


class FinishNeed(Struct, frozen=True, kw_only=True):
    """One finish. `area` is the coated area in square metres; `litres` is None where its coverage isn't known."""

    name: str
    area: float
    coats: int
    coverage: Coverage | None

    @property
    def litres(self) -> float | None:
        """Litres for all coats, on thirsty wood."""
        return None if self.coverage is None else self.area * self.coats / self.coverage.least


def glue_needed(build: Build) -> tuple[GlueNeed, ...]:
    """Each glue of the build, in the order of the file; if there are pieces for further copies, they are included."""
    areas: dict[str, float] = {}
    for assembly in build.assemblies:
        if assembly.glue is not None and "glue" in assembly.by:
            area = joint_area(build, assembly) * assembly.quantity * _copies(build, assembly)
            areas[assembly.glue.name] = areas.get(assembly.glue.name, 0.0) + area
    return tuple(GlueNeed(name=name, area=area, spread=spread_of(name)) for name, area in areas.items())


def finish_needed(build: Build) -> tuple[FinishNeed, ...]:
    """Each finish of the build with its number of coats, in the order of the file; leftover pieces are included."""
    areas: dict[tuple[str, int], float] = {}
    for assembly in build.assemblies:
        if assembly.finish is not None:
            key = (assembly.finish.kind, assembly.finish.coats)
            areas[key] = areas.get(key, 0.0) + surface_area(build, assembly) * assembly.quantity
    spare = _leftover_area(build)
    if spare and areas:
        first = next(iter(areas))
        areas[first] += spare
    return tuple(
        FinishNeed(name=name, area=area, coats=coats, coverage=coverage_of(name))
        for (name, coats), area in areas.items()
    )


def _copies(build: Build, assembly: Assembly) -> int:
    """How many copies of this assembly the pieces are enough for; at least one."""
    parts = {part.id: part for part in build.parts}
    needed = {id_: count * assembly.quantity for id_, count in _pieces(build, assembly).items()}
    return max(1, min((parts[id_].quantity // count for id_, count in needed.items() if count), default=1))


def _leftover_area(build: Build) -> float:
    """All faces, in square metres, of the pieces that no assembly takes: spares and further copies are finished too."""
    used: dict[str, int] = {}
    parts = {part.id: part for part in build.parts}
    for assembly in build.assemblies:
        for id_, count in assembly.joins:
            if id_ in parts:
                used[id_] = used.get(id_, 0) + count * assembly.quantity
    left = {part.id: part.quantity - used.get(part.id, 0) for part in build.parts}
    return sum(piece_area(parts[id_]) * count for id_, count in left.items() if count > 0)


@lru_cache(maxsize=256)
def joint_area(build: Build, assembly: Assembly) -> float:
    """The glue lines of one glue-up, in square metres.

    Where the build says where its pieces are: the touching faces of pieces that weren't joined before. Otherwise an
    estimate, on the high side (see `estimated_joint_area`).
    """
    if sum(_pieces(build, assembly).values()) <= MOST_PLACED:
        placer = Placer(build)
        try:
            if placer.has_places(assembly.id):
                return glue_lines(placer.placed(assembly.id)) * SQUARE_MM
        except PlaceError:
            pass
    return estimated_joint_area(build, assembly)


def estimated_joint_area(build: Build, assembly: Assembly) -> float:
    """The glue lines of one glue-up in square metres, on the high side, where nothing says how its pieces meet.

    Pieces of a sequence, and square pieces of a part that is the only one joined, are assumed to lie edge to edge with
    their ends free. On a single piece that is at least half as large as all of them together, they lie with their
    faces. Ends joined by a ring or a corner meet each other. Any other piece is glued to something at its two ends or
    along an edge, whichever is more, and an inner assembly is glued along the longest edge of its pieces. The largest
    of these is what the others are glued to, and needs no glue of its own.
    """
    parts = {part.id: part for part in build.parts}
    total = 0.0
    beside: dict[str, list[Part]] = {}
    single: list[float] = []
    alone = len(assembly.joins) == 1
    for id_, count in assembly.joins:
        part = parts.get(id_)
        if part is None:
            inner = _pieces(build, build.assembly(id_))
            single += [max((edge_area(parts[each]) for each in inner), default=0.0)] * count
        elif isinstance(part.ends, RingJoint | CornerJoint):
            total += count * end_area(part) * 0.5
        elif part.sequence or (alone and _square(part)):
            beside.setdefault(part.sequence, []).extend([part] * count)
            total += 0.0 if _square(part) else count * end_area(part)
        else:
            single += [max(end_area(part), edge_area(part))] * count
    for row in beside.values():
        total += sum(min(edge_area(one), edge_area(other)) for one, other in pairwise(row))
    rows = [part for row in beside.values() for part in row]
    laid = sum(face_area(part) for part in rows)
    singles = [parts[id_] for id_, count in assembly.joins if id_ in parts and count == 1]
    grounds = [face_area(part) for part in singles if part not in rows]
    total += sum(min(face, laid) for face in grounds if 2 * face >= laid > 0)
    on_their_own = single if total else sorted(single)[:-1]
    return total + sum(on_their_own)


def _square(part: Part) -> bool:
    shape = solid(part, part.first_hand)
    return shape.a.square and shape.b.square


def end_area(part: Part) -> float:
    """The area of both end faces of one piece, in square metres; a slanted end is larger than a square one."""
    shape = solid(part, part.first_hand)
    section = float(part.width) * float(part.thickness) * SQUARE_MM
    return sum(
        section * sqrt(1.0 + sum(slope * slope for slope in slopes)) for _, *slopes in (shape.plane_a, shape.plane_b)
    )


def edge_area(part: Part) -> float:
    """The area of one long edge of a piece, in square metres."""
    return float(solid(part, part.first_hand).edges.overall) * float(part.thickness) * SQUARE_MM


def face_area(part: Part) -> float:
    """The area of one face of a piece, in square metres."""
    return float(solid(part, part.first_hand).edges.overall) * float(part.width) * SQUARE_MM


def piece_area(part: Part) -> float:
    """The area of all faces of one piece as a square block, in square metres."""
    length, width, thickness = (
        float(solid(part, part.first_hand).edges.overall),
        float(part.width),
        float(part.thickness),
    )
    return 2 * (length * width + length * thickness + width * thickness) * SQUARE_MM


def surface_area(build: Build, assembly: Assembly) -> float:
    """The area of all faces of all pieces in one assembly, in square metres; joint faces are included."""
    parts = {part.id: part for part in build.parts}
    return sum(piece_area(parts[id_]) * count for id_, count in _pieces(build, assembly).items())


def _pieces(build: Build, assembly: Assembly) -> Mapping[str, int]:
    found: dict[str, int] = {}
    for id_, count in _within(build, assembly, 1):
        found[id_] = found.get(id_, 0) + count
    return found


def _within(build: Build, assembly: Assembly, times: int) -> Iterator[tuple[str, int]]:
    joined = {each.id: each for each in build.assemblies}
    for id_, count in assembly.joins:
        if id_ in joined:
            yield from _within(build, joined[id_], times * count)
        else:
            yield id_, times * count
