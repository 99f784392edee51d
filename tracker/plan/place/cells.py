"""One piece of wood as convex bodies, in its own frame: what its ends, tapers and half-laps leave of a board.

Faces are named as the piece lies: top, bottom, near, far, A, B, `taper 0`; those of a lap are `shoulder` and `lap`.
Where a lap divides a piece into bodies that are one wood, the faces between them are called `inner`. Holes are left
out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracker.plan.laps import LapShape
from tracker.plan.place.bodies import Body, box, dot, norm, times
from tracker.plan.shape import Solid, TaperShape
from tracker.plan.trig import distance

INNER = "inner"
LEAST_VOLUME = 1e-6
"""Cubic millimetres: a smaller body is rounding."""


def cells_of(solid: Solid, laps: Sequence[LapShape] = ()) -> tuple[Body, ...]:
    """The convex bodies of one piece; more than one only where half-laps cut it."""
    width, thickness = float(solid.width), float(solid.thickness)
    reach = float(solid.edges.overall) + width + thickness
    body = box((-reach, 0.0, 0.0), (2 * reach, width, thickness))
    at, along_y, along_z = solid.plane_a  # kept: x >= at + along_y * y + along_z * z
    length = norm((-1.0, along_y, along_z))
    body = body.clipped((-1.0 / length, along_y / length, along_z / length), -at / length, "A")
    at, along_y, along_z = solid.plane_b
    length = norm((1.0, -along_y, -along_z))
    body = body.clipped((1.0 / length, -along_y / length, -along_z / length), at / length, "B")
    for taper in solid.tapers:
        if taper.takes_wood:
            body = _tapered(body, taper, width)
    cells = [body] if body else []
    for lap in laps:
        cells = [piece for cell in cells for piece in _lapped(cell, lap, width, thickness)]
    return tuple(cells)


def _tapered(body: Body, taper: TaperShape, width: float) -> Body:
    far = taper.edge == "far"
    start = (float(taper.start_x), width if far else 0.0)
    tip = (float(taper.end_x), width - float(taper.depth) if far else float(taper.depth))
    # The part to the left of the line from p to q is kept.
    p, q = (start, tip) if (taper.end == "B") != far else (tip, start)
    along, across = q[0] - p[0], q[1] - p[1]
    length = distance(along, across)
    normal = (across / length, -along / length, 0.0)
    return body.clipped(normal, dot(normal, (p[0], p[1], 0.0)), f"taper {taper.row}")


def _lapped(cell: Body, lap: LapShape, width: float, thickness: float) -> Iterator[Body]:
    """What is left of the trench, over or under it, and right of it."""
    left, right = sorted(lap.shoulders, key=sum)

    def plane(shoulder: tuple[float, float]) -> tuple[tuple[float, float, float], float]:
        slope = (shoulder[1] - shoulder[0]) / width
        length = norm((1.0, -slope, 0.0))
        return (1.0 / length, -slope / length, 0.0), shoulder[0] / length

    (to_left, left_at), (to_right, right_at) = plane(left), plane(right)
    middle = cell.clipped(times(to_left, -1), -left_at, INNER)
    middle = middle.clipped(to_right, right_at, INNER) if middle else middle
    depth = float(lap.depth)
    if middle and lap.face == "top":
        middle = middle.clipped((0.0, 0.0, 1.0), thickness - depth, "lap")
    elif middle:
        middle = middle.clipped((0.0, 0.0, -1.0), -depth, "lap")
    for each in (
        cell.clipped(to_left, left_at, "shoulder"), middle, cell.clipped(times(to_right, -1), -right_at, "shoulder")
    ):  # fmt: skip
        if each.volume > LEAST_VOLUME:
            yield each
