"""Words that several cards share, and the cautions that stand where work can hurt someone."""

from __future__ import annotations

from tracker.design.model import Finish
from tracker.design.tables.finishes import finish_named
from tracker.floor.floor import Floor
from tracker.work.run import Item

MEASURED = {
    "long": "longest edge",
    "short": "shortest edge",
    "middle": "centre line",
    "overall": "long point to long point",
}
CAUTIONS = {
    "saw": "Guard on. Reach in only when the blade stands. The manual governs.",
    "drill": "Clamp the piece; no gloves at the drill. The manual governs.",
    "bench": "Gloves and air as the label says. Never load a clamped piece.",
    "sanding": "Dust harms lungs: extraction and respirator. The manual governs.",
    "finishing": "Oily rags self-ignite: dry flat outdoors, or in water under a lid.",
}
"""The usual cautions; common practice. Local codes and licensed practice go before all of them."""
RAGS = CAUTIONS["finishing"]
FUMES = "Its vapour burns: no flame or spark near it, and fresh air. The label governs."


def finish_caution(finish: Finish) -> str:
    """The caution that belongs to a finish: rags that heat, or vapour. One that isn't known may be an oil."""
    known = finish_named(finish.kind)
    return RAGS if known is None or known.rags_heat else FUMES


def section_words(floor: Floor, item: Item) -> str:
    """`5 1⁄2″ × 3⁄4″`."""
    part = floor.part(item)
    return f"{floor.read(part.width).text} × {floor.read(part.thickness).text}"


def measured_words(floor: Floor, item: Item) -> str:
    """Where the length is measured; nothing when all edges are the same and the ends are square."""
    solid = floor.solid(item)
    if solid.a.square and solid.b.square:
        return ""
    return MEASURED[solid.measured]


def brief(name: str, most: int = 44) -> str:
    """A title that is too long for its place, shortened within the name: what tells twins apart stands at its end.

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
