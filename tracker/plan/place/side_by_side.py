"""The pieces of a build of which nobody says where they go: side by side, to one scale."""

from __future__ import annotations

import math

from tracker.design.model import Build
from tracker.plan.place.bodies import bounds
from tracker.plan.place.placed import Placed
from tracker.plan.place.poses import Pose
from tracker.plan.place.shapes import Shapes

GAP = 0.3
"""The gap between two pieces, as a share of the width of the widest."""


def side_by_side(build: Build) -> tuple[Placed, ...]:
    """Every piece of a build, loose on its face, each behind the one before, in as many columns as make the whole about
    square. Pieces without a shape are left out."""
    shapes = Shapes(build)
    loose = [
        Placed(part=part.id, number=number, hand=part.hand(number), shape=shape, pose=Pose(), cells=shape.cells)
        for part in build.parts
        for number in range(1, part.quantity + 1)
        if (shape := shapes.of(part.id, part.hand(number))).cells
    ]
    boxes = [bounds(piece.points) for piece in loose]
    longest = max((high[0] - low[0] for low, high in boxes), default=0.0)
    gap = GAP * max((high[1] - low[1] for low, high in boxes), default=0.0)
    deep = max(longest, math.sqrt(longest * sum(high[1] - low[1] + gap for low, high in boxes)))
    x, y, out = 0.0, 0.0, []
    for piece, (low, high) in zip(loose, boxes, strict=True):
        if y > 0 and y + high[1] - low[1] > deep:
            x, y = x + longest + gap, 0.0
        out.append(piece.moved(Pose().by((x - low[0], y - low[1], -low[2]))))
        y += high[1] - low[1] + gap
    return tuple(out)
