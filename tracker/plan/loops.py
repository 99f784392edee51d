"""Pieces that form closed loops: rings of N equal sides, and frames and boxes of two long and two short sides.

A ring joint makes a loop, and so do corner joints when the joined pieces make a full turn. Written-out ends count as a
frame or a box when they turn by 180°/N, and the assembly joins N such pieces and no other piece: four 45° braces among
legs are not a frame.
"""

from __future__ import annotations

from msgspec import Struct

from tracker.design.model import Build, CornerJoint, EndCut, EndCuts, Part, RingJoint
from tracker.measure import Angle, Length
from tracker.plan import compound_mitre
from tracker.plan.geometry import solid


class Loop(Struct, frozen=True, kw_only=True):
    """The ring or frame that a piece is a side of. `sides_long` holds its outer edges: one length, or width and height.

    `sides_long` is empty when the pieces don't make one whole ring, and when they are butted: the length of the outer
    edges then depends on which piece runs past which. `cut` is that of a mitred joint.
    """

    sides: int
    lean: Angle
    cut: EndCut
    sides_long: tuple[Length, ...]
    butted: bool


def loop_of(build: Build, part: Part) -> Loop | None:
    """The loop that pieces of `part` form; None when they form none."""
    turned = _turned(part)
    if turned is None:
        return None
    sides, lean, butted = turned
    joined = _joined(build, part)
    alike = {each: count for each, count in joined.items() if _turned(each) == turned}
    whole = sum(alike.values()) == sides
    if not (isinstance(part.ends, RingJoint) or (whole and len(alike) == len(joined))):
        return None
    sides_long = _outer(sides, alike) if whole and not butted else ()
    return Loop(sides=sides, lean=lean, cut=_cut(part, sides, lean), sides_long=sides_long, butted=butted)


def _turned(part: Part) -> tuple[int, Angle, bool] | None:
    """How many such pieces make a full turn, how far they lean, and whether they are butted."""
    ends = part.ends
    if isinstance(ends, RingJoint):
        return ends.sides, ends.lean, ends.butted
    if isinstance(ends, CornerJoint):
        sides = _whole(360.0 / (180.0 - ends.angle))
        return (sides, ends.lean, ends.butted) if sides else None
    if not isinstance(ends, EndCuts):
        return None
    a, b = ends.a, ends.b
    flat = a.miter == b.miter > 0 == a.bevel == b.bevel and a.long == b.long
    upright = a.bevel == b.bevel > 0 == a.miter == b.miter and a.long_face == b.long_face
    sides = _whole(180.0 / (a.miter or a.bevel)) if flat or upright else 0
    return (sides, 90.0 if flat else 0.0, False) if sides else None


def _whole(sides: float) -> int:
    """The number of sides as a whole number; 0 when no ring has that many."""
    return 0 if sides < 3 - 1e-6 or abs(sides - round(sides)) > 1e-6 else round(sides)


def _cut(part: Part, sides: int, lean: Angle) -> EndCut:
    return compound_mitre.ring(sides, lean) if isinstance(part.ends, RingJoint | CornerJoint) else solid(part).a


def _joined(build: Build, part: Part) -> dict[Part, int]:
    """The parts that the assembly of this part joins, with their counts; the part alone when none joins it."""
    parts = {each.id: each for each in build.parts}
    for assembly in build.assemblies:
        joins = dict(assembly.joins)
        if part.id in joins:
            return {parts[name]: count for name, count in joins.items() if name in parts}
    return {part: part.quantity}


def _outer(sides: int, alike: dict[Part, int]) -> tuple[Length, ...]:
    """One length where all sides are equal, two for a frame of two and two."""
    count: dict[Length, int] = {}
    for part, many in alike.items():
        edges = solid(part).edges
        longest = max(edges.near_top, edges.far_top, edges.near_bottom, edges.far_bottom)
        count[longest] = count.get(longest, 0) + many
    if len(count) == 1 or (sides == 4 and sorted(count.values()) == [2, 2]):
        return tuple(count)
    return ()
