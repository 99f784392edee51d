"""Words that several cards share, and the cautions that stand where work can hurt someone."""

from __future__ import annotations

from tracker.design.model import Finish
from tracker.design.tables.finishes import finish_named
from tracker.floor.floor import Floor
from tracker.plan.geometry import Solid
from tracker.words import say
from tracker.words.spelling import spelled
from tracker.work.operations import Step
from tracker.work.run import Item

MEASURED = {
    "long": say("longest edge"),
    "short": say("shortest edge"),
    "middle": say("centre line"),
    "overall": say("long point to long point"),
}
CAUTIONS = {
    "saw": say("Guard on. Stop the blade before you reach in. See manual."),
    "drill": say("Clamp the piece; no gloves at the drill. See manual."),
    "bench": say("Gloves and ventilation per label. Put no load on a clamped piece."),
    "sanding": say("Dust harms lungs: collector on, respirator on. See manual."),
    "finishing": say("Oily rags self-ignite: dry them flat outdoors, or in water with a lid."),
}
"""The usual cautions; common practice. Local codes and licensed practice go before all of them."""
BY_OPERATION = {
    "joint": say("Guard on; push blocks; no short pieces. See manual."),
    "resaw": say("Guard down to the wood; push block. See manual."),
    "rest": say("Thin boards cup: stickers, and air on both faces."),
    "plane": say("Stand to the side; no short pieces. See manual."),
    "rip": say("Guard and riving knife on; push stick. See manual."),
    "taper": say("Clamp the piece in its jig; hands clear of the blade."),
    **dict.fromkeys(
        ("tenon", "groove", "dado", "rabbet", "bevel"),
        say("Featherboard, push block; guard back on after. See manual."),
    ),
    **dict.fromkeys(
        ("notch", "mortise", "slot", "profile"), say("Clamp the piece; hands clear of the cutter. See manual.")
    ),
    "shape": say("Clamp the piece; hands clear of the cutter. See manual."),
}
"""Where an operation asks for another than its station's; common practice, no source."""
RAGS = CAUTIONS["finishing"]
FUMES = say("Flammable fumes: no flames or sparks; open a window. Follow the label.")


def step_caution(step: Step) -> str:
    """The caution of what is done, wherever the tablet is: a saw's guard is no matter at the drill."""
    return BY_OPERATION.get(step.operation, CAUTIONS[step.station])


def finish_caution(finish: Finish) -> str:
    """The caution that belongs to a finish: rags that heat, or vapour. One that isn't known may be an oil."""
    known = finish_named(finish.kind)
    return RAGS if known is None or known.rags_heat else FUMES


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
