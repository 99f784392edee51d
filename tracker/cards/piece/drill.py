"""How the drill is set for a piece: what it drills, how deep, and for which screw.

15° to the face and the coarse thread for softwood are common practice, no source. No jig's own scale is known here:
the collar is set so that the bit stops where the screw's head is to bear, and the jig's maker says how.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.design.model import Build, Hole, Part
from tracker.design.tables.screws import METRIC, SOFTWOODS, pocket_screw
from tracker.floor.floor import Floor
from tracker.measure import Length, read_length
from tracker.plan.joints import POCKET_ANGLE
from tracker.plan.wood_properties import find
from tracker.work.run import Item


class DrillSetup(Struct, frozen=True, kw_only=True):
    """One setting of the drill. Pieces with the same words are drilled without touching it."""

    title: str
    """`Pocket holes in 3⁄4″`."""
    words: str
    """`collar for 3⁄4″ stock, 15°; screw 1 1⁄4″ coarse`."""


def drill_setup(floor: Floor, item: Item) -> DrillSetup:
    """The settings that a piece's holes need, in the order of the file."""
    part = floor.part(item)
    titles = list(dict.fromkeys(_title(floor, hole, part.thickness) for hole in part.holes))
    words = list(dict.fromkeys(_words(floor, item, hole) for hole in part.holes))
    return DrillSetup(title=" and ".join(titles) or "Drill", words="; ".join(words))


def screw_words(build: Build, part: Part) -> str:
    """`1 1⁄4″ coarse thread`; nothing where practice has no screw for that thickness."""
    length = pocket_screw(part.thickness)
    if length is None:
        return ""
    species = find(build.wood(part.wood).species)
    thread = "" if species is None else " coarse thread" if species.name.startswith(SOFTWOODS) else " fine thread"
    if build.units == "mm":
        return f"{METRIC[round(float(length))]} mm{thread}"
    return f"{read_length(length, build.shop.mark).text}{thread}"


def _title(floor: Floor, hole: Hole, thickness: Length) -> str:
    if hole.kind == "pocket":
        return f"Pocket holes in {floor.read(thickness).text}"
    size = f" {floor.read(hole.diameter).text}" if hole.diameter else ""
    if hole.kind == "blind" and hole.depth:
        return f"Holes{size}, {floor.read(hole.depth).text} deep"
    return f"Holes{size} through"


def _words(floor: Floor, item: Item, hole: Hole) -> str:
    if hole.kind != "pocket":
        return "set the depth stop" if hole.kind == "blind" else "back it up with scrap"
    stock = floor.read(floor.part(item).thickness).text
    screw = screw_words(floor.run.build, floor.part(item))
    return f"collar for {stock} stock, {POCKET_ANGLE:g}°" + (f"; screw {screw}" if screw else "")
