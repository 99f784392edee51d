"""How near a rod comes to a face, a hollow or another rod. Every figure is a lower bound: the true one isn't less."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import sqrt

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.plan.place.bodies import Body, Vector, cross, dot, minus, norm, plus, times
from tracker.plan.screws.rods import Rod, Screw
from tracker.plan.screws.timber import Timber
from tracker.plan.screws.walls import to_wall

LEAST_CLEARANCE = 3.0
"""Millimetres: a smaller clearance is reported, and no place with less is proposed; common practice, no source."""
FAR = 1e9
"""Millimetres: the clearance where nothing is near."""
_GOLDEN = (sqrt(5) - 1) / 2
_STEPS = 24
_HOLLOW_SLACK = 1e-3
"""Millimetres by which the search along a rod may miss the nearest point of a hollow."""


class Clearance(Struct, frozen=True):
    """The least clearance of a screw in mm, negative where it runs into something. `rod`: which part of it. `to`: the
    nearest thing, `face`, `hollow` or `screw`, with its name and the piece that it belongs to; `other` is that screw.
    """

    mm: float
    rod: str = ""
    to: str = ""
    name: str = ""
    piece: Numbered | None = None
    other: Screw | None = None


NOTHING = Clearance(FAR)


def clearance(
    screw: Screw, timbers: Mapping[Numbered, Timber], others: Iterable[Screw] = (), below: float = FAR
) -> Clearance:
    """The nearest thing to a screw within `below`: faces, later cuts and hollows of its pieces, and other screws."""
    best = Clearance(below)
    for rod in screw.rods:
        timber = timbers[rod.piece]
        gap, face = to_faces(rod, timber.wood, timber.later, sawn=not screw.temporary)
        if gap < best.mm:
            best = Clearance(gap, rod.what, "face", face, rod.piece)
        for wall in () if screw.temporary else timber.walls:  # a temporary screw is out again before that saw cut
            gap, face = to_wall(rod, wall, timber.wander, best.mm)
            if gap < best.mm:
                best = Clearance(gap, rod.what, "face", face, rod.piece)
        for name, hollow in timber.hollows:
            if boxes_apart(rod.box, hollow.box) < best.mm:
                gap = to_hollow(rod, hollow)
                if gap < best.mm:
                    best = Clearance(gap, rod.what, "hollow", name, rod.piece)
    best = to_screws(screw, others, best)
    return best if best.to else NOTHING


def to_screws(screw: Screw, others: Iterable[Screw], best: Clearance) -> Clearance:
    """The nearest of some other screws, or `best` where none is nearer."""
    for other in others:
        best = _to_screw(screw, other, best)
    return best


def _to_screw(screw: Screw, other: Screw, best: Clearance) -> Clearance:
    for rod in screw.rods:
        for theirs in other.rods:
            if rod.piece != theirs.piece or boxes_apart(rod.box, theirs.box) >= best.mm:
                continue
            gap = rods_apart(rod, theirs)
            if gap < best.mm:
                best = Clearance(gap, rod.what, "screw", theirs.what, other.piece, other)
    return best


def to_faces(
    rod: Rod, wood: Body, later: Mapping[str, float] | None = None, *, sawn: bool = True
) -> tuple[float, str]:  # fmt: skip
    """(clearance, face) of a flat-ended cylinder in a convex body: exact, except for the faces it may come out of. A
    face that is cut later counts as nearer by what the saw may stray, unless the screw is out before (not `sawn`)."""
    direction = minus(rod.b, rod.a)
    length = norm(direction)
    (ax, ay, az), (dx, dy, dz) = rod.a, direction
    best, nearest = FAR, ""
    for plane in wood.planes:
        if plane.name in rod.opens or (not sawn and later and plane.name in later):
            continue
        nx, ny, nz = plane.normal
        rise = nx * dx + ny * dy + nz * dz
        across = rise / length
        out = nx * ax + ny * ay + nz * az + max(0.0, rise) + rod.radius * sqrt(max(0.0, 1 - across * across))
        gap = plane.distance - out - (later.get(plane.name, 0.0) if later else 0.0)
        if gap < best:
            best, nearest = gap, plane.name
    return best, nearest


def rods_apart(one: Rod, two: Rod) -> float:
    """The distance of two cylinders as if their ends were round."""
    return segments_apart(one.a, one.b, two.a, two.b) - one.radius - two.radius


def segments_apart(p1: Vector, q1: Vector, p2: Vector, q2: Vector) -> float:
    """The least distance of two segments of nonzero length (V. Lumelsky, Information Processing Letters 21, 1985)."""
    d1, d2, r = minus(q1, p1), minus(q2, p2), minus(p1, p2)
    a, b, c, e, f = dot(d1, d1), dot(d1, d2), dot(d1, r), dot(d2, d2), dot(d2, r)
    spread = a * e - b * b
    s = _unit((b * f - c * e) / spread) if spread > 1e-9 * a * e else 0.0
    t = (b * s + f) / e
    if t < 0:
        t, s = 0.0, _unit(-c / a)
    elif t > 1:
        t, s = 1.0, _unit((b - c) / a)
    return norm(minus(plus(p1, times(d1, s)), plus(p2, times(d2, t))))


def _unit(share: float) -> float:
    return min(1.0, max(0.0, share))


def to_hollow(rod: Rod, hollow: Body) -> float:
    """The distance from a rod with round ends to a convex hollow: along the axis the distance of a point is convex, so
    a golden-section search finds the minimum."""
    along = minus(rod.b, rod.a)

    def at(share: float) -> float:
        return point_to_body(plus(rod.a, times(along, share)), hollow)

    low, high = 0.0, 1.0
    x, y = 1 - _GOLDEN, _GOLDEN
    here, there = at(x), at(y)
    for _ in range(_STEPS):
        if here < there:
            high, y, there = y, x, here
            x = high - _GOLDEN * (high - low)
            here = at(x)
        else:
            low, x, here = x, y, there
            y = low + _GOLDEN * (high - low)
            there = at(y)
    return min(here, there, at(0.0), at(1.0)) - rod.radius - _HOLLOW_SLACK


def point_to_body(point: Vector, body: Body) -> float:
    """The distance of a point from a convex body; inside it, the depth as a negative number."""
    heights = [dot(plane.normal, point) - plane.distance for plane in body.planes]
    if max(heights) <= 0:
        return max(heights)
    best = FAR
    for (_, corners), plane, height in zip(body.faces, body.planes, heights, strict=True):
        if height > 0:
            best = min(best, _to_polygon(point, corners, plane.normal, height))
    return best


def _to_polygon(point: Vector, corners: Sequence[Vector], normal: Vector, height: float) -> float:
    """The distance of a point from a flat convex polygon; the point is `height` above its plane."""
    foot = minus(point, times(normal, height))
    over, best = True, FAR
    for at, corner in enumerate(corners):
        start = corners[at - 1]
        edge = minus(corner, start)
        if dot(cross(edge, minus(foot, start)), normal) < 0:
            over = False
        share = _unit(dot(minus(point, start), edge) / max(dot(edge, edge), 1e-18))
        best = min(best, norm(minus(point, plus(start, times(edge, share)))))
    return min(best, height) if over else best


def boxes_apart(one: tuple[Vector, Vector], two: tuple[Vector, Vector]) -> float:
    """The distance of two boxes: never more than that of their contents."""
    (al, ah), (bl, bh) = one, two
    x = max(0.0, bl[0] - ah[0], al[0] - bh[0])
    y = max(0.0, bl[1] - ah[1], al[1] - bh[1])
    z = max(0.0, bl[2] - ah[2], al[2] - bh[2])
    return sqrt(x * x + y * y + z * z)
