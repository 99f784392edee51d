"""The cautions that are shown wherever work can hurt someone, as one table.

All are common practice, without a source; the tool's manual, the label and local codes override them.
"""

from __future__ import annotations

from tracker.design.model import Finish
from tracker.design.tables.finishes import finish_named
from tracker.words import say
from tracker.work.operations import JOINERY, Step, kind_of

BLADE = say("Guard on. Stop the blade, then reach in. See manual.")
RAGS = say("Oily rags self-ignite: dry flat outdoors, or keep in water, lid on.")
FUMES = say("Flammable fumes: no flames or sparks; open a window. Follow the label.")
_CUTTER = say("Piece clamped, hands clear of the cutter. See manual.")
_GUARD_OFF = say("Featherboard, push block; refit the guard. See manual.")
_BIT = say("Clamp the pieces; free hand clear of the bit, eyes covered.")

BY_STATION = {
    "saw": BLADE,
    "drill": say("Clamp the piece; no gloves at the drill. See manual."),
    "bench": say("Hold the work fast; both hands behind the sharp edge."),
    "sanding": say("Dust harms lungs: collector, respirator. See manual."),
    "finishing": RAGS,
}
"""The caution for work that isn't listed below; at the bench that is a maker's own step, mostly with hand tools."""
BY_KIND = {
    "joint": say("Guard on; push blocks; no short pieces. See manual."),
    "resaw": say("Guard down to the wood; push block. See manual."),
    "rest": say("Thin boards cup: stickers, and air on both faces."),
    "plane": say("Stand to the side; no short pieces. See manual."),
    "rip": say("Guard and riving knife on; push stick. See manual."),
    "taper": say("Clamp the piece in its jig; hands clear of the blade."),
    **dict.fromkeys(JOINERY - {"notch", "mortise", "slot"}, _GUARD_OFF),
    **dict.fromkeys(("notch", "mortise", "slot", "profile", "shape"), _CUTTER),
    "dry fit": say("Put no load on a clamped piece; fingers clear of the jaws."),
    "spread": say("Gloves on, fresh air. Follow the label on the bottle."),
    "clamp": say("Clamps store force: fingers clear, tighten them in turn."),
    "unclamp": say("Clamps store force: hold the work, ease them off in turn."),
    "drive screws": _BIT,
    "take screws out": _BIT,
    "plug": say("Pare away from you, hands behind the edge. Glue: see its label."),
    "attach": say("Two people to lift what is heavy; fingers clear of the joints."),
    "prove": say("Clamps off, glue cured first; hands and feet clear."),
    "between": say("Respirator on. Dust of a finish can self-ignite: empty the bag."),
}
"""By the kind of step: the word of the build file, or the step of a glue-up or a finish."""


def step_caution(step: Step) -> str:
    """The caution of what is done, wherever the tablet is: a saw's guard doesn't matter at the drill."""
    for kind in (kind_of(step.operation), step.id.split()[0], step.id):
        if kind in BY_KIND:
            return BY_KIND[kind]
    return BY_STATION[step.station]


def finish_caution(finish: Finish) -> str:
    """The caution of a finish: rags that heat up, or fumes. A finish that isn't known may be an oil."""
    known = finish_named(finish.kind)
    return RAGS if known is None or known.rags_heat else FUMES
