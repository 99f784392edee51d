"""A piece of a part as an outline: a template for its odd ends and tapers."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from tracker.design.model import Build, Hand
from tracker.plan.convex import Point
from tracker.plan.outline.curve import Line, Loop
from tracker.plan.outline.errors import OutlineError
from tracker.plan.outline.outlined import Outlined
from tracker.plan.outline.panel import Board, Mark, Panel, faces, in_faces
from tracker.plan.place.placer import Placer
from tracker.words import say
from tracker.words.sides import side

FROM_END = 12.0
"""Millimetres from an end to the middle of its letter."""
_ASLANT = 0.01
"""Millimetres between the corners of the two faces: less counts as square."""


def whole_piece(build: Build, placer: Placer, part_id: str, hand: Hand | None) -> Outlined:
    """The top face of a piece, its holes, and its bottom face hidden below where an edge is sawn at an angle.

    Raises OutlineError for a part without a shape, KeyError for an unknown one.
    """
    part = build.part(part_id)
    try:
        solid = placer.shapes.of(part_id, hand).solid
        top, bottom = faces(solid)
    except ValueError as wrong:
        raise OutlineError(say("it has no shape: its ends cross"), key="of") from wrong
    if len(top) < 3:
        raise OutlineError(say("nothing is left of its top face"))
    low = min(p[0] for p in (*solid.section(float(solid.thickness)), *solid.section(0.0)))
    outer: Loop = tuple(Line(top[at - 1], point) for at, point in enumerate(top))
    same = len(top) == len(bottom) and all(
        abs(a[0] - b[0]) < _ASLANT and abs(a[1] - b[1]) < _ASLANT for a, b in zip(top, bottom, strict=True)
    )
    name = say("{part}, {hand}-hand", part=part.name, hand=side(hand)) if hand else part.name
    size = (max(p[0] for p in (*top, *bottom)), float(solid.width))
    grain = 90.0 if part.grain == "across" else 0.0
    corners = ((0.0, 0.0), (size[0], 0.0), size, (0.0, size[1]))
    marks = tuple(
        Mark((hole.enters[0] - low, hole.enters[1]), None if hole.diameter is None else float(hole.diameter), hole.kind)
        for hole in in_faces(solid)
    )
    panel = Panel(
        id=part.id, name=name, size=size, marks=marks,
        boards=(Board(key=(part.id, 1), name=part.name, corners=corners, grain=grain),),
    )  # fmt: skip
    return Outlined(
        id=part.id, name=name, panel=panel, outer=outer, hidden=() if same else bottom, ends=_ends(top, bottom)
    )  # fmt: skip


def _ends(top: Sequence[Point], bottom: Sequence[Point]) -> tuple[Point, Point]:
    """Places on the wood near its ends A (left) and B: on the middle line, within both faces."""
    middle = (min(p[1] for p in top) + max(p[1] for p in top)) / 2
    spans = [_span(face, middle) for face in (top, bottom) if len(face) >= 3]
    left, right = max(a for a, _ in spans), min(b for _, b in spans)
    inset = min(FROM_END, (right - left) / 4)
    return (left + inset, middle), (right - inset, middle)


def _span(face: Sequence[Point], level: float) -> tuple[float, float]:
    """From where to where a face reaches along a level line."""
    across = [
        a[0] + (b[0] - a[0]) * (level - a[1]) / (b[1] - a[1])
        for a, b in zip(face, (*face[1:], face[0]), strict=True)
        if (a[1] > level) != (b[1] > level)
    ]
    return (min(across), max(across)) if across else (-inf, inf)
