"""How much glue and finish a build takes, from the areas of its joints and surfaces: estimates, on the high side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from math import sqrt

from msgspec import Struct

from tracker.design.model import Assembly, Build, CornerJoint, Part, RingJoint
from tracker.design.tables.spread_rates import Coverage, Spread, coverage_of, spread_of
from tracker.plan.geometry import solid

SQUARE_MM = 1e-6
"""Square metres in a square millimetre."""


class GlueNeed(Struct, frozen=True, kw_only=True):
    """One glue. `area` is that of its joints, in square metres; `grams` is None where its spread isn't known."""

    name: str
    area: float
    spread: Spread | None

    @property
    def grams(self) -> float | None:
        """At the generous end of the spread."""
        return None if self.spread is None else self.area * self.spread.most


class FinishNeed(Struct, frozen=True, kw_only=True):
    """One finish. `area` is what is coated, in square metres; `litres` is None where its coverage isn't known."""

    name: str
    area: float
    coats: int
    coverage: Coverage | None

    @property
    def litres(self) -> float | None:
        """All coats, on thirsty wood."""
        return None if self.coverage is None else self.area * self.coats / self.coverage.least


def glue_needed(build: Build) -> tuple[GlueNeed, ...]:
    """Each glue of the build, in the order of the file."""
    areas: dict[str, float] = {}
    for assembly in build.assemblies:
        if assembly.glue is not None and "glue" in assembly.by:
            area = joint_area(build, assembly) * assembly.quantity
            areas[assembly.glue.name] = areas.get(assembly.glue.name, 0.0) + area
    return tuple(GlueNeed(name=name, area=area, spread=spread_of(name)) for name, area in areas.items())


def finish_needed(build: Build) -> tuple[FinishNeed, ...]:
    """Each finish of the build with its number of coats, in the order of the file."""
    areas: dict[tuple[str, int], float] = {}
    for assembly in build.assemblies:
        if assembly.finish is not None:
            key = (assembly.finish.kind, assembly.finish.coats)
            areas[key] = areas.get(key, 0.0) + surface_area(build, assembly) * assembly.quantity
    return tuple(
        FinishNeed(name=name, area=area, coats=coats, coverage=coverage_of(name))
        for (name, coats), area in areas.items()
    )


def joint_area(build: Build, assembly: Assembly) -> float:
    """The glue lines of one glue-up, in square metres, on the high side.

    Pieces of a sequence that are glued together meet edge to edge, and their square ends stay free. Ends that a ring or
    a corner joins meet each other; every other end is taken as glued to something.
    """
    parts = {part.id: part for part in build.parts}
    total = 0.0
    beside: dict[str, list[Part]] = {}
    for id_, count in assembly.joins:
        part = parts.get(id_)
        if part is None:
            continue
        meet = isinstance(part.ends, RingJoint | CornerJoint)
        if not (part.sequence and _square(part)):
            total += count * end_area(part) * (0.5 if meet else 1.0)
        if part.sequence and not meet:
            beside.setdefault(part.sequence, []).extend([part] * count)
    for row in beside.values():
        total += sum(min(edge_area(one), edge_area(other)) for one, other in pairwise(row))
    return total


def _square(part: Part) -> bool:
    shape = solid(part, part.hand(1))
    return shape.a.square and shape.b.square


def end_area(part: Part) -> float:
    """Both end faces of one piece, in square metres; a slanted end is larger than a square one."""
    shape = solid(part, part.hand(1))
    section = float(part.width) * float(part.thickness) * SQUARE_MM
    return sum(
        section * sqrt(1.0 + sum(slope * slope for slope in slopes)) for _, *slopes in (shape.plane_a, shape.plane_b)
    )


def edge_area(part: Part) -> float:
    """One long edge of a piece, in square metres."""
    return float(solid(part, part.hand(1)).edges.overall) * float(part.thickness) * SQUARE_MM


def piece_area(part: Part) -> float:
    """All faces of one piece as a square block, in square metres."""
    length, width, thickness = float(solid(part, part.hand(1)).edges.overall), float(part.width), float(part.thickness)
    return 2 * (length * width + length * thickness + width * thickness) * SQUARE_MM


def surface_area(build: Build, assembly: Assembly) -> float:
    """All faces of all pieces in one assembly, in square metres: those that meet in a joint are counted too."""
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
