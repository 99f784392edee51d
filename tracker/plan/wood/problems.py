"""What the wood of a build will do that its maker should know before cutting it."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.design.model import Assembly, Build
from tracker.design.problems import Problem
from tracker.measure import Length, read_length
from tracker.plan.place import PlaceError, Placer
from tracker.plan.wood.assessment import assess
from tracker.plan.wood.placed import slanted_fields


def wood_problems(build: Build) -> tuple[Problem, ...]:
    """Notes: wide pieces held solid across their grain, slanted boards whose edges are held."""
    return (*_held(build), *_fields(build))


def _held(build: Build) -> Iterator[Problem]:
    names = {each.id: each.name for each in build.parts} | {each.id: each.name for each in build.assemblies}
    solid = {each.of: each for each in assess(build).held if each.verdict == "no"}
    for assembly in build.assemblies:
        for fastened in assembly.fastens:
            found = solid.get(names.get(fastened.id, ""))
            if found is not None and fastened.by in ("screws", "glue"):
                moves, widest = _read(build, found.moves), _read(build, found.widest)
                said = f"{assembly.name}: {found.of} wants to move {moves}, and {fastened.by} hold it solid"
                hint = f"slots, buttons or figure eights; up to {widest} wide may be held (common practice)"
                yield Problem(fastened.line or assembly.line, said, hint, "note")


def _fields(build: Build) -> Iterator[Problem]:
    try:
        found = slanted_fields(build, Placer(build))
    except (
        PlaceError,
        ValueError,
    ):  # what is wrong with places and parts is said elsewhere
        return
    for field in found:
        if field.held and field.along > 1.0:
            mine: Assembly = next(each for each in build.assemblies if each.name == field.assembly)
            grows = _read(build, field.along)
            said = f"{field.assembly}: wants to grow {grows} lengthwise with the seasons, and {field.held} holds it"
            yield Problem(mine.line, said, "thin strips, or a field that floats", "note")


def _read(build: Build, millimetres: float) -> str:
    return read_length(Length.of(millimetres, "mm"), build.shop.mark).plain
