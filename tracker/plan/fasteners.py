"""The dimensions of fasteners: from the build file, or else by the thickness of the piece. Floats are millimetres."""

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
from tracker.measure.length import ZERO
from tracker.plan.pocket_holes import BORE, Pocket, pocket
from tracker.plan.wood_properties import find


class Fastener(Struct, frozen=True, kw_only=True):
    """What goes into a hole. `length` is under the head, or the whole length of a dowel; None: neither the file nor
    practice gives it. `usual` names the values that are common practice and not the file's: length, gauge."""

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
    """How much of its own piece a straight screw goes through, including the recess."""
    return part.width if hole.face in ("near", "far") else part.thickness


def usual_length(build: Build, part: Part, hole: Hole) -> Length | None:
    """The usual length: a pocket screw by the table; a straight screw bites about as deep as its piece is thick. Common
    practice."""
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


def pocket_seat(part: Part, hole: Hole) -> Length:
    """The distance of a pocket's seat from the end, along the axis."""
    return Length.of(pocket_of(part, hole).seat, "mm") if hole.shoulder is None else hole.shoulder


def dowel_depth(hole: Hole) -> Length:
    """How deep a dowel goes into its own piece: half its length, unless the file says otherwise."""
    if hole.depth is not None:
        return hole.depth
    return ZERO if hole.fastener is None else hole.fastener / 2


def hardwood(build: Build, part: Part) -> bool | None:
    """Whether a part's wood is a hardwood; None for a wood that isn't in the table."""
    species = find(build.wood(part.wood).species)
    return None if species is None else not species.name.startswith(SOFTWOODS)


def pilot_of(build: Build, into: Part, gauge: int) -> Length | None:
    """The pilot drill in the piece that takes the thread. Where its wood isn't known, the larger drill, so that it
    doesn't split."""
    return pilot(gauge, hardwood(build, into) is not False)
