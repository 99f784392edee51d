"""From the cut list to the solid: resolves a part's joint, lengths, tapers and holes into one piece in space.

Lengths stay exact until an angle is involved. The frame is that of `plan.shape`.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from msgspec.structs import replace

from tracker.design.model import (
    CornerJoint,
    EdgeName,
    EndCut,
    EndCuts,
    EndName,
    Hand,
    Hole,
    HoleFace,
    Part,
    SplayedLegJoint,
    Taper,
)
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan import compound_mitre
from tracker.plan.pocket_holes import pocket_entry
from tracker.plan.shape import Corner, Edges, HoleShape, Plane, Solid, TaperShape, spread, tip
from tracker.plan.tapers import start_and_depth
from tracker.plan.trig import distance
from tracker.words import say


@lru_cache(maxsize=1024)  # a screen asks for the same piece repeatedly
def solid(part: Part, hand: Hand | None = None) -> Solid:
    """The solid of one piece of `part`. `hand` is its hand in a mirror pair; a right-hand piece is mirrored.

    Raises ValueError when the part has no shape: no length, a ring of two sides, an angle of 90°.
    """
    if part.width.mm <= 0 or part.thickness.mm <= 0:
        raise ValueError(say("the width and the thickness must be more than nothing"))
    a, b, length = _ends(part)
    if hand == "right":
        a, b = _mirrored(a), _mirrored(b)
    tenon_a, tenon_b = tenon_lengths(part)
    length += tenon_a + tenon_b
    edges = _edges(a, b, length, part)
    measured = "long" if part.length is None else part.measured
    bare = Solid(
        a=a, b=b, length=length, measured=measured, width=part.width, thickness=part.thickness, edges=edges,
        plane_a=_plane(a, tip(a, part.width, part.thickness), -1, part),
        plane_b=_plane(b, edges.overall - tip(b, part.width, part.thickness), 1, part),
        allowance=part.allowance, blank_length=edges.overall + part.allowance, tapers=(), holes=(), grain=part.grain,
        hand=hand, tenon_a=tenon_a, tenon_b=tenon_b,
    )  # fmt: skip
    return replace(bare, tapers=tuple(_tapers(part, bare)), holes=tuple(_holes(part, bare)))


def tenon_lengths(part: Part) -> tuple[Length, Length]:
    """How much the tenons at end A and end B add to the length between the shoulders."""
    found: dict[str, Length] = {}
    for feature in part.features:
        if feature.kind == "tenon" and feature.length is not None:
            found[feature.on] = max(found.get(feature.on, ZERO), feature.length)
    return found.get("A", ZERO), found.get("B", ZERO)


def _ends(part: Part) -> tuple[EndCut, EndCut, Length]:
    """Both ends of the left-hand piece, and its length as measured."""
    ends = part.ends
    if isinstance(ends, SplayedLegJoint):
        leg = compound_mitre.splayed_leg(ends.height, ends.front, ends.side)
        return leg.foot, leg.seat, leg.length
    if part.length is None:
        raise ValueError(say("the length is missing"))
    if isinstance(ends, EndCuts):
        return ends.a, ends.b, part.length
    if isinstance(ends, CornerJoint):
        cut = compound_mitre.corner(ends.angle, ends.lean, butted=ends.butted)
    else:
        cut = compound_mitre.ring(ends.sides, ends.lean, butted=ends.butted)
    return cut, cut, part.length


def _mirrored(cut: EndCut) -> EndCut:
    return EndCut(
        miter=cut.miter, bevel=cut.bevel, long="near" if cut.long == "far" else "far", long_face=cut.long_face
    )


def _edges(a: EndCut, b: EndCut, length: Length, part: Part) -> Edges:
    """The edges that make the piece `length` long as measured."""
    a_wide, a_deep = spread(a, part.width, part.thickness)
    b_wide, b_deep = spread(b, part.width, part.thickness)
    wide, deep = a_wide + b_wide, a_deep + b_deep
    # How much longer each is than the near bottom edge:
    extra = {
        "near_bottom": ZERO,
        "far_bottom": wide,
        "near_top": deep,
        "far_top": wide + deep,
        "middle": (wide + deep) / 2,
        "overall": tip(a, part.width, part.thickness) + tip(b, part.width, part.thickness),
    }
    four = [extra[name] for name in ("near_bottom", "far_bottom", "near_top", "far_top")]
    measured = "long" if part.length is None else part.measured
    from_near_bottom = {
        "long": max(four),
        "short": min(four),
        "middle": extra["middle"],
        "overall": extra["overall"],
    }[measured]
    near_bottom = length - from_near_bottom
    return Edges(**{name: near_bottom + more for name, more in extra.items()})


def _plane(cut: EndCut, at: Length, outward: int, part: Part) -> Plane:
    wide, deep = spread(cut, part.width, part.thickness)
    return float(at), outward * float(wide) / float(part.width), outward * float(deep) / float(part.thickness)


def _tapers(part: Part, bare: Solid) -> Iterator[TaperShape]:
    """Tapers in the order of the file: each leaves its width of what the ones before it left at that end."""
    left_at: dict[EndName, Length] = {"A": part.width, "B": part.width}
    for row, taper in enumerate(part.tapers):
        edges: tuple[EdgeName, ...] = ("near", "far") if taper.edges == "both" else (taper.edges,)
        left = left_at[taper.end]
        depth = None if taper.leave is None else (left - taper.leave) / len(edges)
        made = []
        for edge in edges:
            flipped: EdgeName = ("far" if edge == "near" else "near") if bare.hand == "right" else edge
            made.append(_taper(taper, row, flipped, depth, bare))
        taken = made[0].depth if len(made) == 1 else made[0].depth + made[1].depth
        left_at[taper.end] = left - taken if taper.leave is None else taper.leave
        yield from (replace(each, leave=left_at[taper.end]) for each in made)


def _taper(taper: Taper, row: int, edge: EdgeName, depth: Length | None, bare: Solid) -> TaperShape:
    """A taper marked out along the tapered edge, tip to tip. `depth` is given where it follows from what is left."""
    left_tip, right_tip = _edge_tips(edge, bare)
    start, depth = start_and_depth(taper, right_tip - left_tip, depth)
    toward_b = taper.end == "B"
    return TaperShape(
        edge=edge, end=taper.end, start_x=left_tip + start if toward_b else right_tip - start,
        end_x=right_tip if toward_b else left_tip, depth=depth, leave=ZERO, row=row, start=start,
    )  # fmt: skip


def _edge_tips(edge: EdgeName, bare: Solid) -> tuple[Length, Length]:
    """x of the two ends of one edge, on whichever face is longer there."""
    a_wide, a_deep = spread(bare.a, bare.width, bare.thickness)
    b_wide, b_deep = spread(bare.b, bare.width, bare.thickness)
    far = edge == "far"
    left = tip(bare.a, bare.width, bare.thickness) - (a_wide if far else ZERO) - max(a_deep, ZERO)
    right = bare.edges.overall - tip(bare.b, bare.width, bare.thickness) + (b_wide if far else ZERO)
    return left, right + max(b_deep, ZERO)


def _holes(part: Part, bare: Solid) -> Iterator[HoleShape]:
    for row, hole in enumerate(part.holes):
        for which, across in enumerate(hole.from_edge):
            enters, leaves = hole_axis(hole, across, bare)
            yield HoleShape(
                kind=hole.kind, end=hole.end, face=own_face(hole.face, bare.hand), enters=enters, leaves=leaves,
                diameter=hole.diameter, row=row, which=which,
            )  # fmt: skip


def own_face(face: HoleFace, hand: Hand | None) -> HoleFace:
    """The face of the piece that a hole goes into. On a right-hand piece near and far are swapped."""
    if hand != "right":
        return face
    return "far" if face == "near" else "near" if face == "far" else face


def hole_axis(hole: Hole, across: Length, bare: Solid) -> tuple[Corner, Corner]:
    """Where the axis of a hole enters the wood, and where it stops or comes out; `across` is one of its `from_edge`.

    A pocket hole leaves the end at mid-thickness. A hole in the end is square to the cut; all others are square to
    their face.
    """
    width, thickness = float(bare.width), float(bare.thickness)
    inward = 1.0 if hole.end == "A" else -1.0
    face = own_face(hole.face, bare.hand)
    if face in ("near", "far"):
        y, z = (0.0 if face == "near" else width), float(across)
        x = bare.reach(hole.end, y, z) + inward * float(hole.from_end or ZERO)
        deep = _depth(hole, width)
        return (x, y, z), (x, y + (deep if face == "near" else -deep), z)
    y = float(bare.width - across if bare.hand == "right" else across)
    if face == "end":
        z = float(bare.thickness / 2 if hole.from_face is None else hole.from_face)
        x = bare.reach(hole.end, y, z)
        _, along_y, along_z = bare.plane_a if hole.end == "A" else bare.plane_b
        square = distance(1.0, distance(along_y, along_z))
        deep = inward * _depth(hole, 0.0) / square
        return (x, y, z), (x + deep, y - deep * along_y, z - deep * along_z)
    z = thickness if face == "top" else 0.0
    if hole.kind == "pocket":
        middle = bare.reach(hole.end, y, thickness / 2)
        setback = pocket_entry(float(bare.thickness))
        return (middle + inward * setback, y, z), (middle, y, thickness / 2)
    x = bare.reach(hole.end, y, z) + inward * float(hole.from_end or ZERO)
    deep = _depth(hole, thickness)
    return (x, y, z), (x, y, z - deep if face == "top" else z + deep)


def _depth(hole: Hole, through: float) -> float:
    """How deep a hole is in its own piece, in mm; `through` is the depth of one that comes out at the other side."""
    if hole.kind == "dowel":
        whole = hole.fastener or ZERO
        return float(whole / 2 if hole.depth is None else hole.depth)
    return through if hole.kind != "blind" or hole.depth is None else float(hole.depth)


__all__ = ["Edges", "HoleShape", "Solid", "TaperShape", "solid"]
