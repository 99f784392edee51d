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
    if build.units == "mm":
        return f"{METRIC[round(float(length))]} mm{_thread(build, part)}"
    return f"{read_length(length, build.shop.mark).text}{_thread(build, part)}"


def fastener_words(build: Build, part: Part, hole: Hole) -> str:
    """The fastener of a line of holes: `screw 2″ No. 8, pilot 1⁄8″`; values not in the file are marked as common
    practice."""
    fastener = fastener_of(build, part, hole)
    if hole.kind == "dowel":
        long = say(", {length} long", length=_read(build, fastener.length)) if fastener.length is not None else ""
        return say("dowel {diameter}{long}", diameter=_read(build, fastener.diameter), long=long)
    if hole.kind == "bolt":
        long = (
            say(", {length} under its head", length=_read(build, fastener.length))
            if fastener.length is not None
            else ""
        )
        return say("bolt {diameter}{long}", diameter=_read(build, fastener.diameter), long=long)
    if hole.kind == "pocket" and not hole.driven:
        screw = screw_words(build, part)
        return say("screw {screw}", screw=screw) if screw else ""
    return ", ".join(_screw(build, part, hole, fastener))


def _screw(build: Build, part: Part, hole: Hole, fastener: Fastener) -> Iterator[str]:
    long = f" {_read(build, fastener.length)}" if fastener.length is not None else ""
    thread = _thread(build, part) if hole.kind == "pocket" else ""
    yield say("screw{long} No. {gauge}{thread}", long=long, gauge=fastener.gauge, thread=thread)
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
    species = find(build.wood(part.wood).species)
    return (
        "" if species is None else say(" coarse thread") if species.name.startswith(SOFTWOODS) else say(" fine thread")
    )


def _title(floor: Floor, part: Part, hole: Hole) -> str:
    if hole.kind == "pocket":
        return say("Pocket holes in {thickness}", thickness=floor.read(part.thickness).text)
    if hole.kind == "screw":
        return say("Holes for screws No. {gauge}", gauge=fastener_of(floor.run.build, part, hole).gauge)
    what = {"dowel": say("Dowel holes"), "bolt": say("Bolt holes")}.get(hole.kind, say("Holes"))
    size = f" {floor.read(hole.diameter).text}" if hole.diameter else ""
    if hole.kind == "dowel":
        return say("{what}{size}, {depth} deep", what=what, size=size, depth=floor.read(dowel_depth(hole)).text)
    if hole.kind == "blind" and hole.depth:
        return say("{what}{size}, {depth} deep", what=what, size=size, depth=floor.read(hole.depth).text)
    return say("{what}{size} through", what=what, size=size)


def _words(floor: Floor, item: Item, hole: Hole) -> str:
    build, part = floor.run.build, floor.part(item)
    if hole.kind in ("through", "blind"):
        return say("set the depth stop") if hole.kind == "blind" else say("back it up with scrap")
    goes_in = fastener_words(build, part, hole)
    if hole.kind == "pocket":
        stock = floor.read(part.thickness).text
        seat = (
            say(", seat {distance} from the end", distance=floor.read(pocket_seat(part, hole)).text)
            if hole.driven
            else ""
        )
        return say("collar for {stock} stock, {angle:g}°{seat}", stock=stock, angle=POCKET_ANGLE, seat=seat) + (
            f"; {goes_in}" if goes_in else ""
        )
    if hole.kind == "dowel":
        return say("set the depth stop; {goes_in}", goes_in=goes_in)
    recess = say("counterbore {recess} first; ", recess=_recess(build, part, hole)) if hole.recess is not None else ""
    return say(
        "{recess}{clearance}, back it up with scrap; {goes_in}",
        recess=recess,
        clearance=_clearance(build, part, hole),
        goes_in=goes_in,
    )


def _recess(build: Build, part: Part, hole: Hole) -> str:
    deep = hole.recess
    assert deep is not None
    wide = hole.plug_diameter or fastener_of(build, part, hole).diameter * 2
    return say("{wide}, {deep} deep,", wide=_read(build, wide), deep=_read(build, deep))


def _clearance(build: Build, part: Part, hole: Hole) -> str:
    """The clearance hole through the piece: the next drill, by 1/64 in or 0.5 mm, that the shank fits through."""
    step = inches("1/64") if build.units == "in" else millimetres(Fraction(1, 2))
    drills = ceil(fastener_of(build, part, hole).diameter.mm / step.mm)
    return say("bore {length} through", length=small_words(step * drills, build.units))


def _read(build: Build, length: Length) -> str:
    return read_length(length, build.shop.mark).text
