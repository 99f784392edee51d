"""Words that several cards share, and the cautions that stand where work can hurt someone."""

from __future__ import annotations

from tracker.cards.floor import Floor
from tracker.work.run import Item

MEASURED = {
    "long": "along the longest edge",
    "short": "along the shortest edge",
    "middle": "along the centre line",
    "overall": "overall, tip to tip",
}
CAUTIONS = {
    "saw": "Guard on, hands clear, blade stopped before you reach in. The saw's manual governs.",
    "drill": "Clamp the piece, no gloves at the drill. Eye protection. The tool's manual governs.",
    "bench": "Glue: air and gloves as its label says. Don't load or lift a clamped piece.",
    "sanding": "Dust harms lungs: extraction and a respirator. Hand-sand last with the grain.",
    "finishing": "Oily rags catch fire by themselves: dry them flat outdoors, or under water in a lidded metal can. "
    "The label on the tin governs.",
}
"""The usual cautions; common practice. Local codes and licensed practice go before all of them."""


def section_words(floor: Floor, item: Item) -> str:
    """`5 1⁄2″ wide, 3⁄4″ thick`."""
    part = floor.part(item)
    return f"{floor.read(part.width).text} wide, {floor.read(part.thickness).text} thick"


def measured_words(floor: Floor, item: Item) -> str:
    """Where the length is measured; nothing when all edges are the same and the ends are square."""
    solid = floor.solid(item)
    if solid.a.square and solid.b.square:
        return ""
    return MEASURED[solid.measured]
