"""Words that several cards share."""

from __future__ import annotations

from tracker.floor.floor import Floor
from tracker.plan.geometry import Solid
from tracker.words import say
from tracker.words.spelling import spelled
from tracker.work.run import Item

MEASURED = {
    "long": say("longest edge"),
    "short": say("shortest edge"),
    "middle": say("centre line"),
    "overall": say("long point to long point"),
}


def section_words(floor: Floor, item: Item) -> str:
    """`5 1⁄2″ × 3⁄4″`."""
    part = floor.part(item)
    return f"{floor.read(part.width).text} × {floor.read(part.thickness).text}"


def edge_words(floor: Floor, solid: Solid) -> str:
    """Along what the length of a piece with sloping ends is measured: `longest edge`."""
    return spelled(MEASURED[solid.measured], floor.run.build.units)


def capital(words: str) -> str:
    """The same words at the beginning of a line."""
    return words[:1].upper() + words[1:]


def inside(words: str) -> str:
    """The same words within a sentence."""
    return f"{words[:1].lower()}{words[1:]}"
