"""How a row of places turns a piece before it is moved to its place."""

from __future__ import annotations

from tracker.design.model import SplayedLegJoint
from tracker.design.place import Place, Splayed
from tracker.plan.place.bodies import Vector, cross, times, unit
from tracker.plan.place.placed import PlaceError
from tracker.plan.place.poses import DIRECTIONS, Pose, about, axes, facing
from tracker.plan.place.shapes import Shape
from tracker.plan.trig import cosine, sine, tangent
from tracker.words import say

UP: Vector = (0.0, 0.0, 1.0)


def turned(row: Place, shape: Shape | None) -> Pose:
    """The piece turned as the row's `lies` says, then leaned, then turned about the vertical.

    `shape` is the piece's, None for an assembly. Raises PlaceError where the row asks for a splayed leg and the piece
    isn't one.
    """
    lies = row.lies
    pose = _splayed(row, lies, shape) if isinstance(lies, Splayed) else facing(lies.sides, lies.directions)
    for direction, angle in row.lean:
        pose = about(cross(UP, DIRECTIONS[direction]), angle) @ pose
    return about(UP, row.turn) @ pose if row.turn else pose


def _splayed(row: Place, corner: Splayed, shape: Shape | None) -> Pose:
    """A splayed leg at its corner: the only turn that makes its foot and its seat level."""
    joint = shape.part.ends if shape is not None else None
    if shape is None or not isinstance(joint, SplayedLegJoint):
        raise PlaceError(
            say("'{part}' isn't a splayed leg", part=row.id), say('its joint would be kind = "splayed leg"'), row.line
        )
    right = 1.0 if corner.across == "right" else -1.0
    back = 1.0 if corner.depth == "back" else -1.0
    leg = unit((-right * tangent(joint.front), -back * tangent(joint.side), 1.0))
    side = (0.0, back * cosine(joint.side), sine(joint.side))
    for along in (leg, times(leg, -1)):
        for way in (side, times(side, -1)):
            pose = axes(along, cross(way, along), way)
            heights = [pose.of(point)[2] for point in shape.points]
            lowest = min(heights)
            if sum(height - lowest < 1e-6 for height in heights) >= 4:
                return pose
    raise PlaceError(say("{part} doesn't stand flat", part=shape.part.name), "", row.line)
