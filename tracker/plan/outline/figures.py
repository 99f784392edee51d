"""From a build file's figures to loops: rounded corners, arcs, battens, whole shapes."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from math import acos, atan2, dist, pi, radians, sin, sqrt, tan

from tracker.design.outline import Circle, Corner, Corners, Cutout, Figure, Oval, Path, PathStep, Slot, Spot, SvgPath
from tracker.plan import convex
from tracker.plan.convex import Point
from tracker.plan.outline.battens import batten, closed_batten
from tracker.plan.outline.curve import TURN, Arc, Line, Loop, Move, Segment, extent, moments, shift, turned
from tracker.plan.outline.errors import OutlineError
from tracker.plan.outline.svg_path import svg_loops
from tracker.words import say

SAME = 1e-9
MOST_SEGMENTS = 2_000


def loops_of(figure: Figure, key: str = "") -> tuple[Loop, ...]:
    """The closed curves of a figure; for a drawing's path, the largest first. Raises OutlineError."""
    match figure:
        case Corners():
            loops: tuple[Loop, ...] = (_polygon(figure.corners, key),)
        case Path():
            loops = (_path(figure, key),)
        case SvgPath():
            loops = _drawn(figure, key)
        case Circle():
            loops = (_round(float(figure.diameter) / 2),)
        case Oval():
            wide, deep = float(figure.wide), float(figure.deep)
            loops = (Move(d=deep / wide).loop(_round(wide / 2)),)
        case Slot():
            loops = (_slot(float(figure.long), float(figure.wide)),)
    if sum(map(len, loops)) > MOST_SEGMENTS:
        raise OutlineError(
            say("more than {most:,} lines and curves", most=MOST_SEGMENTS),
            key=key,
            hint=say("a simpler drawing will do"),
        )
    return loops


def cutout_loops(cutout: Cutout, key: str) -> tuple[Loop, ...]:
    """The loops of a cutout, moved to its place. Raises OutlineError."""
    move = shift(*_point(cutout.at)) @ turned(radians(cutout.turn))
    return tuple(move.loop(loop) for loop in loops_of(cutout.figure, key))


def _point(spot: Spot) -> Point:
    return (float(spot[0]), float(spot[1]))


def _round(radius: float) -> Loop:
    return (Arc((0.0, 0.0), radius, 0.0, TURN),)


def _slot(long: float, wide: float) -> Loop:
    r, x = wide / 2, (long - wide) / 2
    ends: Loop = (Arc((x, 0.0), r, -pi / 2, pi), Arc((-x, 0.0), r, pi / 2, pi))
    if x < SAME:
        return ends
    return (Line((-x, -r), (x, -r)), ends[0], Line((x, r), (-x, r)), ends[1])


def _drawn(figure: SvgPath, key: str) -> tuple[Loop, ...]:
    """A drawing's y runs down: it is flipped, and the lowest point of its largest curve gets y = 0."""
    try:
        loops = svg_loops(figure.d)
    except OutlineError as wrong:
        raise OutlineError(wrong.what, *wrong.lengths, key=key, hint=wrong.hint) from None
    if not loops:
        raise OutlineError(say("the path has no closed curve"), key=key)
    unit = float(figure.unit)
    ordered = sorted(loops, key=lambda loop: -abs(moments(loop)[0]))
    turned_over = Move(unit, 0.0, 0.0, -unit, 0.0, extent(ordered[0])[3] * unit)
    return tuple(turned_over.loop(loop) for loop in ordered)


# -- corners ----------------------------------------------------------------------------------------------------------


def _polygon(corners: Sequence[Corner], key: str) -> Loop:
    points = [(float(each.x), float(each.y)) for each in corners]
    count = len(points)
    for at, here in enumerate(points):
        if dist(points[at - 1], here) < SAME:
            raise OutlineError(
                say("corners {at} and {next_corner} are in one place", at=at or count, next_corner=at + 1),
                key=f"{key}.{at}",
            )
    cuts = [
        _Rounding(points[at - 1], here, points[(at + 1) % count], float(corners[at].radius))
        for at, here in enumerate(points)
    ]
    loop: list[Segment] = []
    for at, cut in enumerate(cuts):
        following = (at + 1) % count
        needed, room = cut.back + cuts[following].back, dist(points[at], points[following])
        if needed > room + 1e-6:
            raise OutlineError(
                say(
                    "the roundings of corners {at} and {following} need {{}}, and the side is {{}} long",
                    at=at + 1,
                    following=following + 1,
                ),
                needed, room, key=f"{key}.{at}",
            )  # fmt: skip
        loop.extend(cut.arc)
        if room - needed > SAME:
            loop.append(Line(cut.leaves, cuts[following].meets))
    return tuple(loop)


class _Rounding:
    """A corner cut back along both its sides by `back`, from `meets` to `leaves`."""

    def __init__(self, before: Point, here: Point, after: Point, radius: float) -> None:
        u, v = _toward(here, before), _toward(here, after)
        half = acos(max(-1.0, min(1.0, u[0] * v[0] + u[1] * v[1]))) / 2
        straight = radius == 0 or half > pi / 2 - 1e-9
        self.back = 0.0 if straight else radius / tan(half) if half > 1e-9 else float("inf")
        self.meets = (here[0] + u[0] * self.back, here[1] + u[1] * self.back)
        self.leaves = (here[0] + v[0] * self.back, here[1] + v[1] * self.back)
        self.arc: tuple[Segment, ...] = ()
        if straight or half <= 1e-9:
            return
        middle = _toward((0.0, 0.0), (u[0] + v[0], u[1] + v[1]))
        away = radius / sin(half)
        centre = (here[0] + middle[0] * away, here[1] + middle[1] * away)
        self.arc = (_between(centre, radius, self.meets, self.leaves),)


def _between(centre: Point, radius: float, start: Point, end: Point) -> Arc:
    """The shorter arc between two points of a circle."""
    begin = atan2(start[1] - centre[1], start[0] - centre[0])
    finish = atan2(end[1] - centre[1], end[0] - centre[0])
    return Arc(centre, radius, begin, (finish - begin + pi) % TURN - pi)


def _toward(start: Point, end: Point) -> Point:
    length = dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)


# -- a path -----------------------------------------------------------------------------------------------------------


def _path(path: Path, key: str) -> Loop:
    start = here = _point(path.start)
    first = path.steps[0]
    if len(path.steps) == 1 and first.smooth and dist(_point(first.smooth[-1]), start) < SAME:
        return closed_batten([start, *map(_point, first.smooth[:-1])])
    anticlockwise = convex.area([start, *_turning_points(path)]) > 0
    loop: list[Segment] = []
    for row, step in enumerate(path.steps, 1):
        made = _step(here, step, anticlockwise, f"{key}.{row}")
        loop.extend(made)
        here = made[-1].end if made else here
    if dist(here, start) > SAME:
        loop.append(Line(here, start))
    if not loop:
        raise OutlineError(say("its points are all in one place"), key=key)
    return tuple(loop)


def _turning_points(path: Path) -> Iterator[Point]:
    for step in path.steps:
        yield from (_point(spot) for spot in (*step.smooth, step.through, step.to) if spot is not None)


def _step(here: Point, step: PathStep, anticlockwise: bool, key: str) -> tuple[Segment, ...]:
    if step.smooth:
        nails = [here, *map(_point, step.smooth)]
        for a, b in itertools.pairwise(nails):
            if dist(a, b) < SAME:
                raise OutlineError(say("two nails of the batten are in one place"), key=key)
        return batten(nails)
    assert step.to is not None
    to = _point(step.to)
    if dist(here, to) < SAME:
        if step.through is not None or step.radius is not None:
            raise OutlineError(say("an arc ends where it begins"), key=key, hint=say("write a circle as two arcs"))
        return ()
    if step.through is not None:
        return (_through(here, _point(step.through), to, key),)
    if step.radius is not None:
        return (_bowed(here, to, float(step.radius), (step.bows == "out") == anticlockwise, key),)
    return (Line(here, to),)


def _through(p: Point, m: Point, q: Point, key: str) -> Segment:
    """The arc from p to q through m: its centre is equally far from all three."""
    double = 2 * (p[0] * (m[1] - q[1]) + m[0] * (q[1] - p[1]) + q[0] * (p[1] - m[1]))
    along = (m[0] - p[0]) * (q[0] - p[0]) + (m[1] - p[1]) * (q[1] - p[1])
    if abs(double) < 1e-9 * max(1.0, dist(p, q) ** 2):
        if not 0 <= along <= dist(p, q) ** 2:
            raise OutlineError(say("the point it goes through is on the line, beyond its ends"), key=key)
        return Line(p, q)
    p2, m2, q2 = (a[0] * a[0] + a[1] * a[1] for a in (p, m, q))
    centre = (
        (p2 * (m[1] - q[1]) + m2 * (q[1] - p[1]) + q2 * (p[1] - m[1])) / double,
        (p2 * (q[0] - m[0]) + m2 * (p[0] - q[0]) + q2 * (m[0] - p[0])) / double,
    )
    begin, middle, finish = (atan2(a[1] - centre[1], a[0] - centre[0]) for a in (p, m, q))
    up = (finish - begin) % TURN
    return Arc(centre, dist(p, centre), begin, up if (middle - begin) % TURN <= up else up - TURN)


def _bowed(p: Point, q: Point, radius: float, to_right: bool, key: str) -> Arc:
    """The shorter arc of a radius; seen from p to q it bows to the right or to the left."""
    apart = dist(p, q)
    if radius < apart / 2 - 1e-9:
        raise OutlineError(say("a radius of {} can't span {}: at least {}"), radius, apart, apart / 2, key=key)
    rise = sqrt(max(0.0, radius * radius - apart * apart / 4))
    right = ((q[1] - p[1]) / apart, -(q[0] - p[0]) / apart)
    side = -rise if to_right else rise
    centre = ((p[0] + q[0]) / 2 + right[0] * side, (p[1] + q[1]) / 2 + right[1] * side)
    begin, finish = (atan2(a[1] - centre[1], a[0] - centre[0]) for a in (p, q))
    turn = (finish - begin) % TURN if to_right else -((begin - finish) % TURN)
    return Arc(centre, dist(p, centre), begin, turn)
