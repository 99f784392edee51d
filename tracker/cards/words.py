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


def brief(name: str, most: int = 44) -> str:
    """A title that is too long for its place, shortened within the name: what differs between twins is at its end.

    `Lower left rear stretcher… 101 of 120, left`.
    """
    if len(name) <= most:
        return name
    words = name.split(" ")
    number = next((at for at in range(1, len(words)) if words[at].isdigit()), len(words))
    tail = " ".join(words[number:])
    room = max(8, most - len(tail) - 2)
    head = name[:room].rpartition(" ")[0] or name[:room]
    return f"{head}… {tail}".rstrip()
