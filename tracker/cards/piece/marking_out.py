"""What is marked out on a piece before a step: where its holes, tapers and half-laps lie, as the tape measures them."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.cards.piece.drill import screw_words
from tracker.design.model import Build, Hand, Hole, Part
from tracker.floor.floor import Floor, cached_solid
from tracker.measure import Length, read_angle, read_length
from tracker.plan.laps import laps_of
from tracker.plan.tapers import taper_marks
from tracker.work.run import Item
from tracker.work.steps import Step


def marking_out(floor: Floor, item: Item, step: Step | None) -> tuple[str, ...]:
    """A sentence for each thing; nothing for a step that needs none."""
    if item.kind != "piece" or step is None:
        return ()
    words = {"drill": hole_words, "taper": taper_words, "shape": _laps}.get(step.operation)
    return tuple(words(floor.run.build, floor.part(item), item.hand)) if words else ()


def hole_words(build: Build, part: Part, hand: Hand | None) -> Iterator[str]:
    """Holes of one kind at both ends are said once."""
    rows: dict[tuple[object, ...], list[Hole]] = {}
    for hole in part.holes:
        alike = (hole.kind, hole.from_edge, hole.from_end, hole.face, hole.diameter, hole.depth)
        rows.setdefault(alike, []).append(hole)
    edge = "far" if hand == "right" else "near"
    for holes in rows.values():
        first, ends = holes[0], sorted({hole.end for hole in holes})
        where = "at both ends" if len(ends) == 2 else f"at end {ends[0]}"
        across = f"{_and(build, first.from_edge)} from the {edge} edge"
        face = "In the bottom face (turn it over): " if first.face == "bottom" else "In the top face: "
        if first.kind == "pocket":
            yield f"{face}pockets {where}, {across}"
            continue
        size = f"{_read(build, first.diameter)} " if first.diameter else ""
        deep = f", {_read(build, first.depth)} deep" if first.depth else " through"
        end = "each end" if len(ends) == 2 else f"end {ends[0]}"
        along = f"{_read(build, first.from_end)} from {end}, " if first.from_end is not None else ""
        yield f"{face}{size}hole{'s' if len(first.from_edge) > 1 else ''}{deep}, {along}{across}"
    screw = screw_words(build, part)
    if screw and any(hole.kind == "pocket" for hole in part.holes):
        yield f"screw {screw}"


def taper_words(build: Build, part: Part, hand: Hand | None) -> Iterator[str]:
    """On the top face. At an angled end the corners are named: a tape hooks on nothing else."""
    solid = cached_solid(part, hand)
    for mark in taper_marks(solid):
        corner = "" if solid.end(mark.start_from).square else "the corner at "
        along = "" if solid.end(mark.end).square else f", along the cut from the {mark.leaves_from} corner"
        start, leaves = _read(build, mark.start), _read(build, mark.leaves)
        yield (
            f"{mark.edge.capitalize()} edge: taper starts {start} from {corner}end {mark.start_from}, leaves {leaves} "
            f"at end {mark.end}{along} ({read_angle(mark.angle)}°)"
        )


def _laps(build: Build, part: Part, hand: Hand | None) -> Iterator[str]:
    for lap in laps_of(build, part, hand):
        place, wide, deep = (_read(build, each) for each in (lap.from_end, lap.along, lap.depth))
        yield f"Half-lap, {lap.face} face: {place} from end {lap.end}, {wide} wide, {deep} deep"


def _read(build: Build, length: Length) -> str:
    return read_length(length, build.shop.mark).text


def _and(build: Build, lengths: tuple[Length, ...]) -> str:
    """`18 and 42 mm`."""
    words = [_read(build, length) for length in lengths]
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
