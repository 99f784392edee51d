"""Board plans as polygons (shapely), drawn from the ends in the build file, to find overlaps.

Shares no code with the planner: the outline of a piece is computed here from mitre, long edge, hand, turn and flip.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import cos, radians, tan

from shapely import Polygon, affinity

from tracker.design.model import Build, EndCut, EndCuts
from tracker.plan.boards import BoardPlan, PlacedPiece

TOUCH = 1e-4
"""Millimetres by which polygons may touch by rounding: blanks are whole 1/320 mm for the solver."""


def trapezoid(length: float, width: float, a: EndCut, b: EndCut) -> Polygon:
    """A mitred board seen from above, tip to tip `length`, its near edge at y = 0."""
    a_near, a_far = _setbacks(width, a)
    b_near, b_far = _setbacks(width, b)
    return Polygon([(a_near, 0), (length - b_near, 0), (length - b_far, width), (a_far, width)])


def _setbacks(width: float, cut: EndCut) -> tuple[float, float]:
    """The distances of the near and the far corner from the tip."""
    back = width * tan(radians(cut.miter))
    return (back, 0.0) if cut.long == "far" else (0.0, back)


def outline(build: Build, piece: PlacedPiece) -> Polygon:
    """The outline of a blank in its place on the board."""
    part = build.part(piece.part)
    width = float(part.width if piece.width is None else piece.width)
    length = float(piece.length)
    ends = part.ends
    if isinstance(ends, EndCuts) and build.shop.nest_miters and not part.allowance:
        shape = trapezoid(length, width, ends.a, ends.b)
    else:
        shape = Polygon([(0, 0), (length, 0), (length, width), (0, width)])
    middle = (length / 2, width / 2)
    if part.hand(piece.piece) == "right":
        shape = affinity.scale(shape, 1, -1, origin=middle)
    if piece.turned:
        shape = affinity.rotate(shape, 180, origin=middle)
    if piece.over:
        shape = affinity.scale(shape, 1, -1, origin=middle)
    return affinity.translate(shape, float(piece.at), float(piece.across))


def overlaps(build: Build, plan: BoardPlan, pieces: Iterable[PlacedPiece] | None = None) -> list[str]:
    """The pieces that are nearer than a kerf to each other, or outside the clear wood of their board."""
    faults = []
    kerf = float(build.shop.kerf)
    for wood in plan.woods:
        for board in wood.boards:
            shown = board.pieces if pieces is None else tuple(pieces)
            shapes = [(piece, outline(build, piece)) for piece in shown]
            for n, (one, shape) in enumerate(shapes):
                faults += [
                    f"{one.id} and {other.id} on {board.key} are {shape.distance(neighbour):.4f} apart"
                    for other, neighbour in shapes[n + 1 :]
                    if shape.distance(neighbour) < kerf - TOUCH
                ]
                left, near, right, far = shape.bounds
                clear = [(float(s.start), float(s.end)) for s in board.stretches]
                if not any(start - TOUCH <= left and right <= end + TOUCH for start, end in clear):
                    faults.append(f"{one.id} lies beyond the clear wood of {board.key}")
                if near < -TOUCH or far > float(build.wood(wood.wood).width) + TOUCH:
                    faults.append(f"{one.id} lies beside {board.key}")
        if pieces is not None:
            break
    return faults


def pieces_apart(length: float, width: float, miters: tuple[float, float], kerf: float) -> float:
    """The distance between the beginnings of two trapezoids, one turned, that are a kerf apart; by bisection on
    polygons."""
    cut_a, cut_b = (EndCut(miter=miter, long="far") for miter in miters)
    one = trapezoid(length, width, cut_a, cut_b)
    other = affinity.rotate(trapezoid(length, width, cut_a, cut_b), 180, origin=(length / 2, width / 2))
    low, high = 0.0, 2 * length
    while high - low > 1e-9:
        middle = (low + high) / 2
        if one.distance(affinity.translate(other, middle, 0)) >= kerf and middle > length / 2:
            high = middle
        else:
            low = middle
    assert cos(radians(miters[0])) > 0
    return high
