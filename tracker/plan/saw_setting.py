"""How the mitre saw is set for an end, and how the piece lies for it.

The assumed saw: the fence is behind the piece, the person in front; the mitre scale swings left and right (the
direction of the handle) up to the shop's `max_miter` each side; the blade tilts left only, up to `max_bevel`. Every end
can be cut with the blade swung to the left by laying the piece accordingly: turned over, or end for end. So this is
what the cards say: the saw keeps its setting for both ends and both hands, and left and right pieces can't come out as
two of a kind. Beyond the scale there are other lays, tried in this order: the piece at 90° to the fence with the
complement set, the piece on edge (bevel becomes mitre), both.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from tracker.design.model import EndCut, EndName, Shop
from tracker.measure import Angle
from tracker.measure.angle import complement
from tracker.measure.tape_reading import read_angle
from tracker.plan.compound_mitre import on_edge
from tracker.words import say
from tracker.words.sides import side, turned_by

Way = Literal["plain", "complement", "on edge", "on edge, complement", "not on this saw"]
WAYS: tuple[Way, ...] = ("plain", "complement", "on edge", "on edge, complement", "not on this saw")
Side = Literal["left of the blade", "right of the blade", "toward you"]
Vector = tuple[int, int, int]

SLACK: Angle = 1e-6
"""Degrees of rounding: a scale that ends at 45° also cuts 45.0000001°."""
SIDES: dict[str, Vector] = {
    "top face": (0, 0, 1),
    "bottom face": (0, 0, -1),
    "far edge": (0, 1, 0),
    "near edge": (0, -1, 0),
}
_FACES = ("top face", "bottom face")
_EDGES = ("far edge", "near edge")


class SawSetting(Struct, frozen=True, kw_only=True):
    """One cut: the setting of the scales and how the piece lies. Angles in degrees, 0 for a square, upright cut."""

    miter_deg: Angle
    bevel_deg: Angle
    swing: Literal["left", "right", ""]
    """The direction of the handle; empty when the mitre is 0."""
    tilt: Literal["left", ""]
    up: str
    """What faces up: `top face`, `bottom face`, `near edge` or `far edge`."""
    fence: str
    """What lies against the fence: an edge, a face, or `end A` or `end B` when the piece points at the person."""
    piece: Side
    way: Way
    note: str
    """The whole setting in words."""

    @property
    def possible(self) -> bool:
        return self.way != "not on this saw"

    @property
    def square(self) -> bool:
        return self.miter_deg == 0 and self.bevel_deg == 0

    @property
    def lay(self) -> str:
        """`top face up, near edge to the fence`."""
        return say("{face} up, {edge} to the fence", face=side(self.up), edge=side(self.fence))

    @property
    def angles(self) -> str:
        """`swing 5.7° left, tilt 29.5° left`, `square`, to the precision of the scale."""
        said = (("swing", self.miter_deg, self.swing), ("tilt", self.bevel_deg, self.tilt))
        return ", ".join(turned_by(motion, read_angle(angle), way) for motion, angle, way in said if angle) or say(
            "square"
        )


def setting(end: EndCut, which_end: EndName, shop: Shop) -> SawSetting:
    """How `which_end` of a piece is cut on this shop's saw; `end` is for the piece's own hand."""
    lays = [lay for lay in _ways_to_lay(end, which_end) if _reached(lay, shop)]
    if lays:
        return _said(min(lays, key=_preference), end, which_end, shop)
    beyond = _Lay("not on this saw", end.miter, end.bevel, "", "", "top face", "far edge", _natural(which_end))
    return _said(beyond, end, which_end, shop)


def square_setting(which_end: EndName, shop: Shop) -> SawSetting:
    """How a square end is cut."""
    return setting(EndCut(), which_end, shop)


class _Lay(Struct, frozen=True):
    way: Way
    miter: Angle
    bevel: Angle
    swing: Literal["left", "right", ""]
    tilt: Literal["left", "right", ""]
    up: str
    fence: str
    piece: Side
    turned: bool = False
    """Whether the end is cut on the other side of the blade than it lies on the drawing."""


def _ways_to_lay(end: EndCut, which: EndName) -> Iterator[_Lay]:
    """Every way to lay the piece for this cut, including those that the saw doesn't reach."""
    edge_miter, edge_bevel = on_edge(end)
    for ups, backs, miter, bevel, edge in (
        (_FACES, _EDGES, end.miter, end.bevel, False),
        (_EDGES, _FACES, edge_miter, edge_bevel, True),
    ):
        for up in ups:
            for back in backs:
                yield _lay("on edge" if edge else "plain", miter, bevel, up, back, end, which)
            way: Way = "on edge, complement" if edge else "complement"
            yield _lay(way, complement(miter), bevel, up, f"end {which}", end, which)


def _lay(way: Way, miter: Angle, bevel: Angle, up: str, fence: str, end: EndCut, which: EndName) -> _Lay:
    """The saw's swing and tilt for a lay, from the signs of the cut's outward normal in the saw's frame.

    The saw's frame: X right along the fence, Y toward the fence, Z up. The cut plane is X = -(nY/nX) Y - (nZ/nX) Z:
    swung left when X grows with Y, tilted left when X shrinks with Z.
    """
    outward = 1 if which == "B" else -1
    normal = (
        outward,
        0 if not end.miter else -1 if end.long == "far" else 1,
        0 if not end.bevel else -1 if end.long_face == "top" else 1,
    )
    z_axis = SIDES[up]
    y_axis = SIDES.get(fence, (outward, 0, 0))
    x_axis = cross(y_axis, z_axis)
    along, back, height = (_dot(normal, axis) for axis in (x_axis, y_axis, z_axis))
    lean = along * height
    turn = -along * back
    piece: Side = "toward you"
    if fence in SIDES:
        piece = "left of the blade" if along > 0 else "right of the blade"
    return _Lay(
        way,
        miter,
        bevel,
        "left" if turn > 0 else "right" if turn < 0 else "",
        "left" if lean > 0 else "right" if lean < 0 else "",
        up,
        fence,
        piece,
        piece != _natural(which),
    )


def _natural(which: EndName) -> Side:
    return "right of the blade" if which == "A" else "left of the blade"


def _reached(lay: _Lay, shop: Shop) -> bool:
    return lay.miter <= shop.max_miter + SLACK and lay.bevel <= shop.max_bevel + SLACK and lay.tilt != "right"


def _preference(lay: _Lay) -> tuple[int, bool, bool, bool]:
    return WAYS.index(lay.way), lay.swing == "right", lay.up not in ("top face", "far edge"), lay.turned


def _said(lay: _Lay, end: EndCut, which: EndName, shop: Shop) -> SawSetting:
    assert lay.tilt != "right"
    return SawSetting(
        miter_deg=lay.miter,
        bevel_deg=lay.bevel,
        swing=lay.swing,
        tilt=lay.tilt,
        up=lay.up,
        fence=lay.fence,
        piece=lay.piece,
        way=lay.way,
        note=_note(lay, end, which, shop),
    )


def _note(lay: _Lay, end: EndCut, which: EndName, shop: Shop) -> str:
    lies = say(
        "{face} up, {edge} to the fence, piece {where}",
        face=side(lay.up),
        edge=side(lay.fence),
        where=side(lay.piece),
    )
    if lay.way == "plain":
        return lies
    past = _past(end, shop)
    if lay.way == "not on this saw":
        return say("not on this saw: {past}; cut it to a line by hand, or on a saw that reaches it", past=past)
    jig = say("clamp it in a jig, an auxiliary fence square to the saw's fence; never hold it by hand")
    if lay.way == "on edge":
        return say("{past}: stand the piece on its edge if the saw is tall enough for it; {lies}", past=past, lies=lies)
    first = say("{past}: set the complement, {miter}°", past=past, miter=read_angle(lay.miter))
    edge = say(", and stand the piece on its edge") if lay.way == "on edge, complement" else ""
    return say(
        "{first}{edge}; {side} up, piece at 90° to the fence with end {which} against it; {jig}",
        first=first,
        edge=edge,
        side=side(lay.up),
        which=which,
        jig=jig,
    )


def _past(end: EndCut, shop: Shop) -> str:
    """What the saw's scale can't reach: `swing 60° is past this saw's 50°`."""
    past = [
        say(
            "{angle} is past this saw's {limit}°",
            angle=turned_by(motion, read_angle(angle), ""),
            limit=read_angle(limit),
        )
        for motion, angle, limit in (("swing", end.miter, shop.max_miter), ("tilt", end.bevel, shop.max_bevel))
        if angle > limit + SLACK
    ]
    return say(" and ").join(past)


def cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _dot(a: Vector, b: Vector) -> int:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
