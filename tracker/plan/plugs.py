"""Plugs: which holes of an assembly get one, and the wood and grain that hide it."""

from __future__ import annotations

from msgspec import Struct

from tracker.design.model import Build, EndName, Grain, Hole, HoleFace, HoleKind, Part
from tracker.measure import Length
from tracker.words import say


class PlugHoles(Struct, frozen=True, kw_only=True):
    """The holes of one line of holes, in every piece of a part that goes into the assembly.

    `each` is the number of holes a piece has in this line, `pieces` the number of pieces; `diameter` is None where the
    build file doesn't give one (that of a pocket hole follows from the jig). `angled`: the plug lies at the pocket's
    slope.
    """

    part: str
    name: str
    kind: HoleKind
    end: EndName
    face: HoleFace
    diameter: Length | None
    each: int
    pieces: int
    wood: str
    species: str
    grain: Grain

    @property
    def count(self) -> int:
        return self.each * self.pieces

    @property
    def angled(self) -> bool:
        return self.kind == "pocket"

    @property
    def match(self) -> str:
        """How to cut and set the plug so that it doesn't show: `white oak, its grain along the piece`."""
        return say("{species}, its grain {grain} the piece", species=self.species, grain=self.grain)


def plug_holes(build: Build, assembly_id: str) -> tuple[PlugHoles, ...]:
    """Every hole that is plugged with this assembly, in the order of the file, for one making of the assembly.

    These are the pocket and through holes of everything in it, except those plugged before: a part or an inner assembly
    with `plug` in its own route. A blind hole takes a dowel or a screw from the other side, and no plug; a hole with
    `plug = false` stays open. Raises KeyError for an unknown assembly.
    """
    counts: dict[str, int] = {}
    _count(build, assembly_id, 1, counts)
    return tuple(
        _holes(build, part, hole, counts[part.id])
        for part in build.parts
        if part.id in counts
        for hole in part.holes
        if hole.kind not in ("blind", "dowel") and hole.plug and not hole.temporary
    )


def _count(build: Build, assembly_id: str, times: int, counts: dict[str, int]) -> None:
    parts = {part.id: part for part in build.parts}
    for joined, wanted in build.assembly(assembly_id).joins:
        route = (parts[joined] if joined in parts else build.assembly(joined)).route or ()
        if "plug" in route:
            continue
        if joined in parts:
            counts[joined] = counts.get(joined, 0) + wanted * times
        else:
            _count(build, joined, wanted * times, counts)


def _holes(build: Build, part: Part, hole: Hole, pieces: int) -> PlugHoles:
    return PlugHoles(
        part=part.id,
        name=part.name,
        kind=hole.kind,
        end=hole.end,
        face=hole.face,
        diameter=hole.plug_diameter or hole.diameter,
        each=len(hole.from_edge),
        pieces=pieces,
        wood=part.wood,
        species=build.wood(part.wood).species,
        grain=part.grain,
    )
