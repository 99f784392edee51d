"""Sentences about the clearance of screws."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.design.joining import Numbered
from tracker.design.model import Build, Hole
from tracker.measure import Length
from tracker.measure.tape_reading import plain_words, small_words
from tracker.plan.screws.clearance import Clearance
from tracker.plan.screws.rods import Screw
from tracker.plan.screws.timber import TRIMMED
from tracker.plan.screws.walls import OUTLINE, WASTE
from tracker.words import say

_FACES = {
    "near": say("near edge"),
    "far": say("far edge"),
    "A": say("end A"),
    "B": say("end B"),
    TRIMMED: say("line it is trimmed to"),
    OUTLINE: say("curve it is sawn to"),
    WASTE: say("waste"),
}


_RODS = {
    "bore": say("bore"),
    "shank": say("shank"),
    "thread": say("thread"),
    "recess": say("recess"),
    "dowel": say("dowel"),
    "bolt": say("bolt"),
    "hole": say("hole"),
}
"""What a fastener is made of, and what it may run into, by the ids of the plan."""


def _rod(what: str) -> str:
    return _RODS.get(what, what)


def face_words(face: str) -> str:
    """`the far edge`, `the taper`, `end A`."""
    if face in ("A", "B"):
        return _FACES[face]
    return say("the taper") if face.startswith("taper") else say("the {face}", face=_FACES.get(face, f"{face} face"))


def piece_words(build: Build, piece: Numbered) -> str:
    """`Leg 2`."""
    part = build.part(piece[0])
    return f"{part.name} {piece[1]}" if part.quantity > 1 else part.name


def nearest_words(build: Build, found: Clearance) -> str:
    """`its thread and the far edge of Leg 2`."""
    return say("its {rod} and {what}", rod=_rod(found.rod), what=_what(build, found)) if found.piece is not None else ""


def meets_words(build: Build, screw: Screw, found: Clearance) -> str:
    """What a screw without room does: `its thread comes out of the far edge of Leg 2 by 2.3 mm`."""
    by = mm_words(build, -found.mm)
    if found.to != "face":
        return say("its {rod} runs into {what} by {by}", rod=_rod(found.rod), what=_what(build, found), by=by)
    if found.name == TRIMMED:
        whose = piece_words(build, found.piece or screw.piece)
        return say(
            "its {rod} is in the way of the saw where {whose} is trimmed",
            rod=_rod(found.rod),
            whose=whose,
        )
    if found.name == OUTLINE:
        return say(
            "its {rod} is in the way of the saw by {by}: {what}",
            rod=_rod(found.rod),
            by=by,
            what=_what(build, found),
        )
    if found.name == WASTE:
        return say("its {rod} is in {what}, which is sawn off", rod=_rod(found.rod), what=_what(build, found))
    if found.rod in ("bore", "recess") and found.name in ("A", "B"):
        if found.rod == "bore":
            return say("end {end} cuts into its mouth by {by}", end=found.name, by=by)
        return say("end {end} cuts into its recess by {by}", end=found.name, by=by)
    return say("its {rod} comes out of {what} by {by}", rod=_rod(found.rod), what=_what(build, found), by=by)


def _what(build: Build, found: Clearance) -> str:
    assert found.piece is not None
    whose = piece_words(build, found.piece)
    if found.to == "face" and found.name in (OUTLINE, TRIMMED):
        return say("{whose}, at {face}", whose=whose, face=face_words(found.name))
    if found.to == "face":
        return say("{face} of {whose}", face=face_words(found.name), whose=whose)
    if found.to == "hollow":
        return say("the {found} of {whose}", found=_rod(found.name), whose=whose)
    return say("the {found} from {whose}", found=_rod(found.name), whose=whose)


def least_words(build: Build, found: Sequence[Clearance]) -> str:
    """The least of several clearances, for the screen: `Screws 1⁄8″ clear: its thread and the far edge of Leg 2.`"""
    near = [each for each in found if each.to]
    if not near:
        return ""
    least = min(near, key=lambda each: each.mm)
    if least.mm < 0:
        return say("No room for its screws: {nearest}.", nearest=nearest_words(build, least))
    clear = small_words(Length.of(least.mm, "mm"), build.units)
    return say("Screws {clear} clear: {nearest}.", clear=clear, nearest=nearest_words(build, least))


def hole_words(screw: Screw, hole: Hole, which: int) -> str:
    """`pocket 2 at end A`, counted from the near edge in its row."""
    number = f" {which + 1}" if len(hole.from_edge) > 1 else ""
    return say("{kind}{number} at end {end}", kind=hole.kind, number=number, end=screw.end)


def mm_words(build: Build, millimetres: float) -> str:
    """A small length for files and terminals: to 0.1 mm or 1/64 in."""
    return plain_words(small_words(Length.of(abs(millimetres), "mm"), build.units))
