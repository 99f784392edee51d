"""What a fastener measures: from the build file, else by the thickness of its piece. Millimetres where a float."""

from __future__ import annotations

from msgspec import Struct

from tracker.design.model import Build, Hole, Part
from tracker.design.tables.screws import (
    LENGTHS,
    METRIC,
    METRIC_LENGTHS,
    SOFTWOODS,
    pilot,
    pocket_screw,
    screw_diameter,
    wood_screw_gauge,
)
from tracker.measure import Length, millimetres
from tracker.plan.screws.rods import BORE, Pocket, pocket
from tracker.plan.shape import ZERO
from tracker.plan.wood_properties import find


class Fastener(Struct, frozen=True, kw_only=True):
    """What goes into a hole. `length` is under the head, of a dowel all of it; None: the file doesn't say it, and
    practice has none. `usual` names what is common practice, not the file's: length, gauge."""

    length: Length | None
    diameter: Length
    gauge: int | None = None
    usual: frozenset[str] = frozenset()


def fastener_of(build: Build, part: Part, hole: Hole) -> Fastener:
    """The screw, dowel or bolt of a line of holes."""
    if hole.kind == "dowel":
        depth = hole.depth or ZERO
        return Fastener(length=hole.fastener or depth * 2, diameter=hole.diameter or ZERO)
    if hole.kind not in ("pocket", "screw"):
        return Fastener(length=hole.fastener, diameter=hole.diameter or ZERO)
    gauge = hole.gauge or (8 if hole.kind == "pocket" else wood_screw_gauge(through(part, hole)))
    length = hole.fastener or usual_length(build, part, hole)
    usual = {"length"} if hole.fastener is None else set()
    usual |= {"gauge"} if hole.gauge is None else set()
    return Fastener(length=length, diameter=screw_diameter(gauge), gauge=gauge, usual=frozenset(usual))


def through(part: Part, hole: Hole) -> Length:
    """How much of its own piece a straight screw goes through, the recess with it."""
    return part.width if hole.face in ("near", "far") else part.thickness


def usual_length(build: Build, part: Part, hole: Hole) -> Length | None:
    """A pocket screw by the table; a straight one holds about as deep as its piece is thick. Common practice."""
    metric = build.units == "mm"
    if hole.kind == "pocket":
        found = pocket_screw(part.thickness)
        return millimetres(METRIC[round(float(found))]) if found is not None and metric else found
    thick = through(part, hole) - (hole.recess or ZERO)
    fitting = [each for each in (METRIC_LENGTHS if metric else LENGTHS) if thick < each <= thick * 2]
    return max(fitting, default=None)


def pocket_of(part: Part, hole: Hole) -> Pocket:
    """The pocket of a line of holes, on a square end."""
    seat = None if hole.shoulder is None else float(hole.shoulder)
    return pocket(float(part.thickness), seat, BORE if hole.bore is None else float(hole.bore))


def hardwood(build: Build, part: Part) -> bool | None:
    """Whether a part's wood is a hardwood; None for a wood that isn't in the table."""
    species = find(build.wood(part.wood).species)
    return None if species is None else not species.name.startswith(SOFTWOODS)


def pilot_of(build: Build, into: Part, gauge: int) -> Length | None:
    """The drill for the thread in the piece that holds it: the larger one where its wood isn't known, so that it
    doesn't split."""
    return pilot(gauge, hardwood(build, into) is not False)
