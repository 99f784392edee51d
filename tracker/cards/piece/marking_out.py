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
from tracker.words import say
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
    first, ends = holes[0], sorted({hole.end for hole in holes})
    edge = "far" if hand == "right" else "near"
    where = say("at both ends") if len(ends) == 2 else say("at end {ends}", ends=ends[0])
    across = (
        say("{distances} from the bottom face", distances=_and(build, first.from_edge))
        if first.face in EDGES
        else say("{distances} from the {edge} edge", distances=_and(build, first.from_edge), edge=side(edge))
    )
    if first.kind == "pocket":
        return say(
            "{surface}pockets {where}, {across}", surface=_surface(first, ends, hand), where=where, across=across
        )
    many = len(first.from_edge) > 1 or len(holes) > len(ends)
    size = f"{_read(build, first.diameter)} " if first.diameter else ""
    kind = "" if first.kind in ("through", "blind") else f"{first.kind} "
    end = say("each end") if len(ends) == 2 else say("end {ends}", ends=ends[0])
    places = dict.fromkeys(hole.from_end for hole in holes if hole.from_end is not None)
    along = say("{distances} from {end}, ", distances=_and(build, tuple(places)), end=end) if places else ""
    up = (
        say(", {from_face} from the bottom face", from_face=_read(build, first.from_face))
        if first.from_face is not None
        else ""
    )
    recess = ""
    if first.recess is not None:
        wide = f"{_read(build, first.plug_diameter)} " if first.plug_diameter is not None else ""
        recess = say(", {wide}counterbore {recess} deep", wide=wide, recess=_read(build, first.recess))
    words = (
        say(
            "{size}{kind}holes{deep}{recess}, {along}{across}{up}",
            size=size,
            kind=kind,
            deep=_deep(build, first),
            recess=recess,
            along=along,
            across=across,
            up=up,
        )
        if many
        else say(
            "{size}{kind}hole{deep}{recess}, {along}{across}{up}",
            size=size,
            kind=kind,
            deep=_deep(build, first),
            recess=recess,
            along=along,
            across=across,
            up=up,
        )
    )
    return f"{_surface(first, ends, hand)}{words}"


def _deep(build: Build, hole: Hole) -> str:
    if hole.kind == "dowel":
        return say(", {depth} deep", depth=_read(build, dowel_depth(hole)))
    return say(", {depth} deep", depth=_read(build, hole.depth)) if hole.depth else say(" through")


def _surface(hole: Hole, ends: list[EndName], hand: Hand | None) -> str:
    """Where the drill goes in, as the beginning of a sentence. Near and far are those of the piece's hand."""
    if hole.face == "end":
        return say("In both ends: ") if len(ends) == 2 else say("In end {ends}: ", ends=ends[0])
    if hole.face in EDGES:
        return say("In the {edge} edge: ", edge=side(own_face(hole.face, hand)))
    return say("In the bottom face (turn it over): ") if hole.face == "bottom" else say("In the top face: ")


def taper_words(build: Build, part: Part, hand: Hand | None) -> Iterator[str]:
    """Tapers on the top face. At an angled end the corners are named, because a tape can hook on nothing else."""
    solid = geometry.solid(part, hand)
    for mark in taper_marks(solid):
        corner = "" if solid.end(mark.start_from).square else say("the corner at ")
        along = (
            ""
            if solid.end(mark.end).square
            else say(", along the cut from the {leaves_from} corner", leaves_from=side(mark.leaves_from))
        )
        start, leaves = _read(build, mark.start), _read(build, mark.leaves)
        yield (
            say(
                (
                    "{edge} edge: taper starts {start} from {corner}end {start_from}, leaves {leaves} at end "
                    "{end}{along} ({angle}°)"
                ),
                edge=side(mark.edge).capitalize(),
                start=start,
                corner=corner,
                start_from=mark.start_from,
                leaves=leaves,
                end=mark.end,
                along=along,
                angle=read_angle(mark.angle),
            )
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
    words = [_read(build, length) for length in lengths]
    return say(" and ").join(filter(None, (", ".join(words[:-1]), words[-1])))
