"""What to mark out on a piece before a step: its holes, tapers and half-laps, as a tape measures them."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.cards.piece.drill import fastener_words
from tracker.cards.piece.features import feature_words, of_step
from tracker.cards.piece.milled import match_words
from tracker.cards.wood.at_piece import slot_words
from tracker.design.model import Build, EndName, Hand, Hole, Part
from tracker.floor.floor import Floor
from tracker.measure import Length, read_angle, read_length
from tracker.plan import geometry
from tracker.plan.fasteners import dowel_depth
from tracker.plan.geometry import own_face
from tracker.plan.laps import laps_of
from tracker.plan.taper_marks import taper_marks
from tracker.words import say, say_many
from tracker.words.sides import side
from tracker.work.operations import Step
from tracker.work.run import Item

EDGES = ("near", "far")


def marking_out(floor: Floor, item: Item, step: Step | None) -> tuple[str, ...]:
    """One sentence for each thing to mark; empty for a step that needs none."""
    if item.kind != "piece" or step is None:
        return ()
    words = {"drill": hole_words, "taper": taper_words, "shape": _laps}.get(step.operation)
    slots = slot_words(floor, item) if step.operation == "drill" else ()
    if step.id == "resaw":
        return tuple(match_words(floor, item))
    said = tuple(words(floor.run.build, floor.part(item), item.hand)) if words else ()
    mark = floor.run.build.shop.mark
    return (*slots, *said, *(feature_words(shape, mark) for shape in of_step(floor, item, step)))


def hole_words(build: Build, part: Part, hand: Hand | None) -> Iterator[str]:
    """Holes of one kind at both ends share a sentence; their fastener comes last."""
    rows: dict[tuple[object, ...], list[Hole]] = {}
    for hole in part.holes:
        along = None if hole.face in EDGES else hole.from_end
        alike = (hole.kind, hole.from_edge, along, hole.face, hole.diameter, hole.depth, hole.fastener, hole.recess)
        rows.setdefault(alike, []).append(hole)
    for holes in rows.values():
        yield _holes(build, holes, hand)
    yield from dict.fromkeys(
        words for hole in part.holes if hole.fastens and (words := fastener_words(build, part, hole))
    )


def _holes(build: Build, holes: list[Hole], hand: Hand | None) -> str:
    """Where the drill goes in, then what it makes there, as a list of phrases that are whole by themselves."""
    first, ends = holes[0], sorted({hole.end for hole in holes})
    edge = "far" if hand == "right" else "near"
    distances = _and(build, first.from_edge)
    across = (
        say("{distances} from the bottom face", distances=distances)
        if first.face in EDGES
        else say("{distances} from the {edge} edge", distances=distances, edge=side(edge))
    )
    if first.kind == "pocket":
        pockets = say("pockets at both ends") if len(ends) == 2 else say("pockets at end {end}", end=ends[0])
        return _in_surface(first, ends, hand, f"{pockets}, {across}")
    count = 2 if len(first.from_edge) > 1 or len(holes) > len(ends) else 1
    phrases = [_what(build, first, count), *_depths(build, first)]
    if places := dict.fromkeys(hole.from_end for hole in holes if hole.from_end is not None):
        along = _and(build, tuple(places))
        phrases.append(
            say("{distances} from each end", distances=along)
            if len(ends) == 2
            else say("{distances} from end {end}", distances=along, end=ends[0])
        )
    phrases.append(across)
    if first.from_face is not None:
        phrases.append(say("{from_face} from the bottom face", from_face=_read(build, first.from_face)))
    return _in_surface(first, ends, hand, ", ".join(phrases))


def _what(build: Build, hole: Hole, count: int) -> str:
    """The holes by their kind and diameter, and whether they go through."""
    wide = _read(build, hole.diameter) if hole.diameter else ""
    if hole.kind == "dowel":
        return say_many("{wide} dowel hole", "{wide} dowel holes", count, wide=wide).strip()
    if hole.depth:
        return say_many("{wide} hole", "{wide} holes", count, wide=wide).strip()
    if hole.kind == "screw":
        return say_many("{wide} screw hole through", "{wide} screw holes through", count, wide=wide).strip()
    if hole.kind == "bolt":
        return say_many("{wide} bolt hole through", "{wide} bolt holes through", count, wide=wide).strip()
    return say_many("{wide} hole through", "{wide} holes through", count, wide=wide).strip()


def _depths(build: Build, hole: Hole) -> Iterator[str]:
    depth = dowel_depth(hole) if hole.kind == "dowel" else hole.depth
    if depth:
        yield say("{depth} deep", depth=_read(build, depth))
    if hole.recess is None:
        return
    recess = _read(build, hole.recess)
    if hole.plug_diameter is not None:
        yield say("{wide} counterbore {recess} deep", wide=_read(build, hole.plug_diameter), recess=recess)
    else:
        yield say("counterbore {recess} deep", recess=recess)


def _in_surface(hole: Hole, ends: list[EndName], hand: Hand | None, holes: str) -> str:
    """The surface that the drill enters. Near and far are those of the piece's hand."""
    if hole.face == "end":
        return (
            say("In both ends: {holes}", holes=holes)
            if len(ends) == 2
            else say("In end {end}: {holes}", end=ends[0], holes=holes)
        )
    if hole.face in EDGES:
        return say("In the {edge} edge: {holes}", edge=side(own_face(hole.face, hand)), holes=holes)
    if hole.face == "bottom":
        return say("In the bottom face (turn it over): {holes}", holes=holes)
    return say("In the top face: {holes}", holes=holes)


def taper_words(build: Build, part: Part, hand: Hand | None) -> Iterator[str]:
    """Tapers on the top face. At an angled end the corners are named, because a tape can hook on nothing else."""
    solid = geometry.solid(part, hand)
    for mark in taper_marks(solid):
        start = (
            say("{start} from end {end}", start=_read(build, mark.start), end=mark.start_from)
            if solid.end(mark.start_from).square
            else say("{start} from the corner at end {end}", start=_read(build, mark.start), end=mark.start_from)
        )
        edge, leaves, angle = side(mark.edge).capitalize(), _read(build, mark.leaves), read_angle(mark.angle)
        if solid.end(mark.end).square:
            yield say(
                "{edge} edge: taper starts {start}, leaves {leaves} at end {end} ({angle}°)",
                edge=edge,
                start=start,
                leaves=leaves,
                end=mark.end,
                angle=angle,
            )
        else:
            yield say(
                "{edge} edge: taper starts {start}, leaves {leaves} at end {end}, along the cut from the {corner} "
                "corner ({angle}°)",
                edge=edge,
                start=start,
                leaves=leaves,
                end=mark.end,
                corner=side(mark.leaves_from),
                angle=angle,
            )


def _laps(build: Build, part: Part, hand: Hand | None) -> Iterator[str]:
    for lap in laps_of(build, part, hand):
        place, wide, deep = (_read(build, each) for each in (lap.from_end, lap.along, lap.depth))
        yield say(
            "Half-lap, {face} face: {place} from end {end}, {wide} wide, {deep} deep",
            face=side(lap.face),
            place=place,
            end=lap.end,
            wide=wide,
            deep=deep,
        )


def _read(build: Build, length: Length) -> str:
    return read_length(length, build.shop.mark).text


def _and(build: Build, lengths: tuple[Length, ...]) -> str:
    """`18 and 42 mm`."""
    *before, last = [_read(build, length) for length in lengths]
    return say("{before} and {last}", before=", ".join(before), last=last) if before else last
