"""How the drill is set for a piece: what it drills, how deep, and for which screw.

15° to the face, the position of a pocket's seat, the screw by the thickness, its pilot and the coarse thread for
softwood are common practice, no source. The scale of a jig isn't known here: set the collar so that the bit stops where
the screw's head will bear, as the jig's maker explains.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil

from msgspec import Struct

from tracker.cards.wood.at_piece import slot_words
from tracker.design.model import Build, Hole, Part
from tracker.design.tables.screws import METRIC, SOFTWOODS, pilot, pocket_screw
from tracker.floor.floor import Floor
from tracker.measure import Length, inches, millimetres, read_length
from tracker.measure.tape_reading import small_words
from tracker.plan.fasteners import Fastener, dowel_depth, fastener_of, hardwood, pocket_seat
from tracker.plan.pocket_holes import POCKET_ANGLE
from tracker.plan.wood_properties import find
from tracker.words import say
from tracker.work.run import Item

USUAL = say("common practice")
OUT_AGAIN = say("only while the glue dries: out afterwards")


class DrillSetup(Struct, frozen=True, kw_only=True):
    """One setting of the drill. Pieces with the same words are drilled without changing it."""

    title: str
    """`Pocket holes in 3⁄4″`."""
    words: str
    """`collar for 3⁄4″ stock, 15°; screw 1 1⁄4″ coarse`."""


def drill_setup(floor: Floor, item: Item) -> DrillSetup:
    """The settings for a piece's holes, in the order of the file."""
    part = floor.part(item)
    titles = list(dict.fromkeys(_title(floor, part, hole) for hole in part.holes))
    words = list(dict.fromkeys((*(_words(floor, item, hole) for hole in part.holes), *slot_words(floor, item))))
    return DrillSetup(
        title=say(" and ").join(titles) or (say("Slots") if words else say("Drill")), words="; ".join(words)
    )


def screw_words(build: Build, part: Part) -> str:
    """The customary pocket screw for a part's thickness: `1 1⁄4″ coarse thread`; empty where there is none."""
    length = pocket_screw(part.thickness)
    if length is None:
        return ""
    size = f"{METRIC[round(float(length))]} mm" if build.units == "mm" else read_length(length, build.shop.mark).text
    thread = _thread(build, part)
    return say("{size} {thread}", size=size, thread=thread) if thread else size


def fastener_words(build: Build, part: Part, hole: Hole) -> str:
    """The fastener of a line of holes: `screw 2″ No. 8, pilot 1⁄8″`; values not in the file are marked as common
    practice."""
    fastener = fastener_of(build, part, hole)
    if hole.kind in ("dowel", "bolt"):
        wide = _read(build, fastener.diameter)
        if fastener.length is None:
            return say("dowel {wide}", wide=wide) if hole.kind == "dowel" else say("bolt {wide}", wide=wide)
        long = _read(build, fastener.length)
        if hole.kind == "dowel":
            return say("dowel {wide}, {long} long", wide=wide, long=long)
        return say("bolt {wide}, {long} under its head", wide=wide, long=long)
    if hole.kind == "pocket" and not hole.driven:
        screw = screw_words(build, part)
        return say("screw {screw}", screw=screw) if screw else ""
    return ", ".join(_screw(build, part, hole, fastener))


def _screw(build: Build, part: Part, hole: Hole, fastener: Fastener) -> Iterator[str]:
    size = say("No. {gauge}", gauge=fastener.gauge)
    if fastener.length is not None:
        size = say("{long} No. {gauge}", long=_read(build, fastener.length), gauge=fastener.gauge)
    thread = _thread(build, part) if hole.kind == "pocket" else ""
    yield say("screw {size} {thread}", size=size, thread=thread) if thread else say("screw {screw}", screw=size)
    if hole.kind == "screw" and fastener.gauge is not None:
        yield from _pilot(build, fastener.gauge)
    if hole.temporary:
        yield OUT_AGAIN
    if fastener.usual:
        yield USUAL


def _pilot(build: Build, gauge: int) -> Iterator[str]:
    """The pilot drill in every kind of wood that the build has."""
    kinds = {hardwood(build, part) for part in build.parts}
    soft, hard = pilot(gauge, False), pilot(gauge, True)
    if soft is None or hard is None:
        return
    if False in kinds and kinds != {False}:
        yield say(
            "pilot {soft} in softwood, {hard} in hardwood",
            soft=small_words(soft, build.units),
            hard=small_words(hard, build.units),
        )
    else:
        yield say("pilot {length}", length=small_words(soft if kinds == {False} else hard, build.units))


def _thread(build: Build, part: Part) -> str:
    """The thread for a wood: softwood takes a coarse one; empty where the wood isn't known."""
    species = find(build.wood(part.wood).species)
    if species is None:
        return ""
    return say("coarse thread") if species.name.startswith(SOFTWOODS) else say("fine thread")


def _title(floor: Floor, part: Part, hole: Hole) -> str:
    if hole.kind == "pocket":
        return say("Pocket holes in {thickness}", thickness=floor.read(part.thickness).text)
    if hole.kind == "screw":
        return say("Holes for screws No. {gauge}", gauge=fastener_of(floor.run.build, part, hole).gauge)
    wide = floor.read(hole.diameter).text if hole.diameter else ""
    depth = dowel_depth(hole) if hole.kind == "dowel" else hole.depth if hole.kind == "blind" else None
    deep = floor.read(depth).text if depth else ""
    if hole.kind == "dowel":
        return say("Dowel holes {wide}, {deep} deep", wide=wide, deep=deep)
    if deep:
        return say("Holes {wide}, {deep} deep", wide=wide, deep=deep)
    return (
        say("Bolt holes {wide} through", wide=wide) if hole.kind == "bolt" else say("Holes {wide} through", wide=wide)
    )


def _words(floor: Floor, item: Item, hole: Hole) -> str:
    """What to set and what goes in, as a list of phrases that are whole by themselves."""
    build, part = floor.run.build, floor.part(item)
    if hole.kind in ("through", "blind"):
        return say("set the depth stop") if hole.kind == "blind" else say("back it up with scrap")
    goes_in = fastener_words(build, part, hole)
    if hole.kind == "dowel":
        return f"{say('set the depth stop')}; {goes_in}"
    if hole.kind == "pocket":
        stock = floor.read(part.thickness).text
        collar = say("collar for {stock} stock, {angle:g}°", stock=stock, angle=POCKET_ANGLE)
        if hole.driven:
            seat = floor.read(pocket_seat(part, hole)).text
            collar = f"{collar}, {say('seat {distance} from the end', distance=seat)}"
        return "; ".join(filter(None, (collar, goes_in)))
    bore = say("bore {length} through, back it up with scrap", length=_clearance(build, part, hole))
    return "; ".join(filter(None, (_recess(build, part, hole), bore, goes_in)))


def _recess(build: Build, part: Part, hole: Hole) -> str:
    if hole.recess is None:
        return ""
    wide = hole.plug_diameter or fastener_of(build, part, hole).diameter * 2
    return say("counterbore {wide}, {deep} deep, first", wide=_read(build, wide), deep=_read(build, hole.recess))


def _clearance(build: Build, part: Part, hole: Hole) -> str:
    """The clearance hole through the piece: the next drill, by 1/64 in or 0.5 mm, that the shank fits through."""
    step = inches("1/64") if build.units == "in" else millimetres(Fraction(1, 2))
    drills = ceil(fastener_of(build, part, hole).diameter.mm / step.mm)
    return small_words(step * drills, build.units)


def _read(build: Build, length: Length) -> str:
    return read_length(length, build.shop.mark).text
