"""Which assemblies of a build say where their pieces are, and what can be drawn. Cheap: it needs no bodies in space."""

from __future__ import annotations

from tracker.design.model import Assembly, Build, Part, RingJoint
from tracker.design.one_blank import is_matched

MOST_LOOSE = 60
"""More pieces side by side would be too small to see."""


def is_drawn(build: Build) -> bool:
    """Whether the whole build can be drawn: from its places, or few pieces side by side."""
    joined = {id_ for assembly in build.assemblies for id_, _ in assembly.joins}
    wholes = (assembly for assembly in build.assemblies if assembly.id not in joined)
    return any(has_places(build, whole.id) for whole in wholes) or (
        0 < sum(part.quantity for part in build.parts) <= MOST_LOOSE
    )


def has_places(build: Build, assembly_id: str) -> bool:
    """Whether the build says where the pieces of an assembly are, including those of assemblies joined into it."""
    assembly = build.assembly(assembly_id)
    if not assembly.place:
        return is_implied(build, assembly)
    parts = {part.id for part in build.parts}
    return all(has_places(build, id_) for id_, _ in assembly.joins if id_ not in parts)


def is_implied(build: Build, assembly: Assembly) -> bool:
    """Whether the places of an assembly's pieces follow without rows."""
    return ring_of(build, assembly) is not None or bool(glued_run(build, assembly))


def ring_of(build: Build, assembly: Assembly) -> str | None:
    """The one part of an assembly that is a whole ring of mitred sides."""
    if len(assembly.joins) != 1:
        return None
    id_, count = assembly.joins[0]
    part = _part(build, id_)
    if part is None or not isinstance(part.ends, RingJoint) or part.ends.butted or part.first_hand is not None:
        return None
    return id_ if part.ends.sides == count else None


def glued_run(build: Build, assembly: Assembly) -> tuple[tuple[str, int], ...]:
    """Parts glued edge to edge in one sequence, in the order of the file, or the leaves of one board; empty where it is
    neither."""
    parts = [_part(build, id_) for id_, _ in assembly.joins]
    if any(part is not None and is_matched(part, assembly) for part in parts):
        return assembly.joins
    sequences = {part.sequence if part is not None and part.first_hand is None else "" for part in parts}
    return assembly.joins if len(sequences) == 1 and "" not in sequences else ()


def _part(build: Build, id_: str) -> Part | None:
    return next((part for part in build.parts if part.id == id_), None)
