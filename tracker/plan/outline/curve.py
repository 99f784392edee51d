"""Curves in the plane: lines, arcs and cubic curves, exact, and the loops they form.

Millimetres; x to the right, y up. A loop is a list of segments, each beginning where the one before ends.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import acos, atan2, ceil, copysign, cos, dist, hypot, pi, sin, sqrt, tan

from msgspec import Struct

from tracker.plan.convex import Point

TURN = 2 * pi
_GAUSS = (
    (0.0, 128 / 225),
    (0.5384693101056831, 0.4786286704993665),
    (-0.5384693101056831, 0.4786286704993665),
    (0.9061798459386640, 0.2369268850561891),
    (-0.9061798459386640, 0.2369268850561891),
)
"""Nodes and weights of Gauss's quadrature with five points on -1 … 1 (Abramowitz and Stegun, table 25.4)."""


class Line(Struct, frozen=True):
    """Straight from `start` to `end`."""

    start: Point
    end: Point

    def at(self, t: float) -> Point:
        return (self.start[0] + t * (self.end[0] - self.start[0]), self.start[1] + t * (self.end[1] - self.start[1]))

    def way(self, t: float) -> Point:
        """The derivative at `t`."""
        return (self.end[0] - self.start[0], self.end[1] - self.start[1])

    def bend(self, t: float) -> float:
        """The curvature at `t`, positive where it turns left."""
        return 0.0

    def steps(self, tolerance: float) -> int:
        """How many chords of equal `t` stay within `tolerance` of the curve."""
        return 1

    @property
    def length(self) -> float:
        return dist(self.start, self.end)

    def reversed(self) -> Line:
        return Line(self.end, self.start)


class Arc(Struct, frozen=True):
    """An arc of a circle, from the angle `begin` through `turn`, in radians; positive is anticlockwise."""

    centre: Point
    radius: float
    begin: float
    turn: float

    @property
    def start(self) -> Point:
        return self.at(0.0)

    @property
    def end(self) -> Point:
        return self.at(1.0)

    def at(self, t: float) -> Point:
        angle = self.begin + t * self.turn
        return (self.centre[0] + self.radius * cos(angle), self.centre[1] + self.radius * sin(angle))

    def way(self, t: float) -> Point:
        angle = self.begin + t * self.turn
        return (-self.radius * sin(angle) * self.turn, self.radius * cos(angle) * self.turn)

    def bend(self, t: float) -> float:
        return 1 / self.radius if self.turn > 0 else -1 / self.radius

    def steps(self, tolerance: float) -> int:
        reach = min(tolerance, self.radius) / self.radius
        return max(1, ceil(abs(self.turn) / (2 * acos(1 - reach))))

    @property
    def length(self) -> float:
        return abs(self.turn) * self.radius

    def reversed(self) -> Arc:
        return Arc(self.centre, self.radius, self.begin + self.turn, -self.turn)

    def cubics(self, widest: float) -> tuple[Cubic, ...]:
        """The arc as cubic curves of at most `widest` radians; those of 30° are off by radius × 4e-7, of 45° by
        4e-6."""
        count = max(1, ceil(abs(self.turn) / widest - 1e-9))
        step = self.turn / count
        pull = 4 / 3 * tan(step / 4) * self.radius
        found = []
        for which in range(count):
            a, b = self.begin + which * step, self.begin + (which + 1) * step
            p, q = self.at(which / count), self.at((which + 1) / count)
            first = (p[0] - pull * sin(a), p[1] + pull * cos(a))
            second = (q[0] + pull * sin(b), q[1] - pull * cos(b))
            found.append(Cubic(p, first, second, q))
        return tuple(found)


class Cubic(Struct, frozen=True):
    """A cubic Bézier curve."""

    start: Point
    first: Point
    second: Point
    end: Point

    def at(self, t: float) -> Point:
        u = 1 - t
        a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        return (
            a * self.start[0] + b * self.first[0] + c * self.second[0] + d * self.end[0],
            a * self.start[1] + b * self.first[1] + c * self.second[1] + d * self.end[1],
        )

    def way(self, t: float) -> Point:
        x, y = (self._slope(axis, t) for axis in (0, 1))
        return (x, y)

    def _slope(self, axis: int, t: float) -> float:
        u, p, a, b, q = 1 - t, self.start[axis], self.first[axis], self.second[axis], self.end[axis]
        return 3 * (u * u * (a - p) + 2 * u * t * (b - a) + t * t * (q - b))

    def bend(self, t: float) -> float:
        u, way = 1 - t, self.way(t)
        x, y = (
            6
            * (
                u * (self.second[k] - 2 * self.first[k] + self.start[k])
                + t * (self.end[k] - 2 * self.second[k] + self.first[k])
            )
            for k in (0, 1)
        )
        speed = hypot(*way) ** 3
        return (way[0] * y - way[1] * x) / speed if speed > 1e-12 else 0.0

    def steps(self, tolerance: float) -> int:
        p, a, b, q = self.start, self.first, self.second, self.end
        bulge = max(
            hypot(p[0] - 2 * a[0] + b[0], p[1] - 2 * a[1] + b[1]), hypot(a[0] - 2 * b[0] + q[0], a[1] - 2 * b[1] + q[1])
        )
        return max(1, ceil(sqrt(6 * bulge / (8 * tolerance))))

    @property
    def length(self) -> float:
        count = max(4, self.steps(0.5))
        return sum(
            weight / 2 / count * hypot(*self.way((part + (1 + node) / 2) / count))
            for part in range(count)
            for node, weight in _GAUSS
        )

    def reversed(self) -> Cubic:
        return Cubic(self.end, self.second, self.first, self.start)


Segment = Line | Arc | Cubic
Loop = tuple[Segment, ...]


class Move(Struct, frozen=True):
    """x → a·x + c·y + e, y → b·x + d·y + f: the six numbers of a drawing's `matrix(a b c d e f)` (SVG 1.1, 7.4)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def of(self, p: Point) -> Point:
        return (self.a * p[0] + self.c * p[1] + self.e, self.b * p[0] + self.d * p[1] + self.f)

    def __matmul__(self, first: Move) -> Move:
        """This move applied after `first`."""
        e, f = self.of((first.e, first.f))
        return Move(
            self.a * first.a + self.c * first.b, self.b * first.a + self.d * first.b,
            self.a * first.c + self.c * first.d, self.b * first.c + self.d * first.d, e, f,
        )  # fmt: skip

    @property
    def area(self) -> float:
        """The factor for areas; negative for a mirror image."""
        return self.a * self.d - self.b * self.c

    @property
    def even(self) -> bool:
        """Whether circles stay circles."""
        size, mirrored = hypot(self.a, self.b), self.area < 0
        c, d = (self.b, -self.a) if mirrored else (-self.b, self.a)
        return abs(self.c - c) <= 1e-9 * size and abs(self.d - d) <= 1e-9 * size

    def segment(self, segment: Segment) -> tuple[Segment, ...]:
        """The moved segment; an arc that doesn't stay circular becomes cubic curves."""
        if isinstance(segment, Line):
            return (Line(self.of(segment.start), self.of(segment.end)),)
        if isinstance(segment, Cubic):
            return (
                Cubic(self.of(segment.start), self.of(segment.first), self.of(segment.second), self.of(segment.end)),
            )
        if not self.even:
            return tuple(moved for cubic in segment.cubics(pi / 8) for moved in self.segment(cubic))
        centre, start = self.of(segment.centre), self.of(segment.start)
        turn = -segment.turn if self.area < 0 else segment.turn
        begin = atan2(start[1] - centre[1], start[0] - centre[0])
        return (Arc(centre, segment.radius * hypot(self.a, self.b), begin, turn),)

    def loop(self, loop: Iterable[Segment]) -> Loop:
        return tuple(moved for segment in loop for moved in self.segment(segment))


def shift(x: float, y: float) -> Move:
    return Move(e=x, f=y)


def turned(angle: float) -> Move:
    """A rotation about zero by an angle in radians, anticlockwise."""
    return Move(cos(angle), sin(angle), -sin(angle), cos(angle))


def flat(loop: Sequence[Segment], tolerance: float) -> list[Point]:
    """The corners of a polygon that stays within `tolerance` of the loop."""
    points: list[Point] = []
    for segment in loop:
        count = segment.steps(tolerance)
        points.extend(segment.at(step / count) for step in range(count))
    return points


def backwards(loop: Sequence[Segment]) -> Loop:
    return tuple(segment.reversed() for segment in reversed(loop))


def anticlockwise(loop: Sequence[Segment]) -> Loop:
    """The loop, reversed if necessary to run anticlockwise."""
    return tuple(loop) if moments(loop)[0] > 0 else backwards(loop)


def moments(loop: Sequence[Segment]) -> tuple[float, float, float]:
    """The area and its first moments about x = 0 and y = 0, by Green's theorem; negative for a clockwise loop.

    The quadrature is exact for lines and cubics, and nearly so for arcs.
    """
    area = x_moment = y_moment = 0.0
    for segment in loop:
        count = max(3, segment.steps(0.5)) if isinstance(segment, Arc) else 1
        for part in range(count):
            for node, weight in _GAUSS:
                t = (part + (1 + node) / 2) / count
                (x, y), (dx, dy) = segment.at(t), segment.way(t)
                swept = weight / 2 / count * (x * dy - y * dx)
                area += swept / 2
                x_moment += swept * x / 3
                y_moment += swept * y / 3
    return area, x_moment, y_moment


def perimeter(loop: Sequence[Segment]) -> float:
    return sum(segment.length for segment in loop)


def extent(loop: Sequence[Segment]) -> tuple[float, float, float, float]:
    """The least x and y, and the greatest x and y; exact."""
    points = [point for segment in loop for point in _extremes(segment)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _extremes(segment: Segment) -> list[Point]:
    points = [segment.start, segment.end]
    if isinstance(segment, Arc):
        low, high = sorted((segment.begin, segment.begin + segment.turn))
        quarter = ceil(low / (pi / 2))
        while quarter * pi / 2 < high:
            points.append(segment.at((quarter * pi / 2 - segment.begin) / segment.turn))
            quarter += 1
    elif isinstance(segment, Cubic):
        for axis in (0, 1):
            points.extend(segment.at(t) for t in _level(segment, axis))
    return points


def _level(cubic: Cubic, axis: int) -> list[float]:
    """Where a cubic is level along an axis: the roots of its derivative between 0 and 1."""
    p, a, b, q = cubic.start[axis], cubic.first[axis], cubic.second[axis], cubic.end[axis]
    u, v, w = q - 3 * b + 3 * a - p, 2 * (b - 2 * a + p), a - p
    under = v * v - 4 * u * w
    if under < 0:
        return []
    larger = -(v + copysign(sqrt(under), v)) / 2  # nothing cancels, however small u is
    return [over / below for over, below in ((larger, u), (w, larger)) if below and 0 < over / below < 1]


def inside(points: Sequence[Point], point: Point) -> bool:
    """Whether a point is inside a polygon (even-odd rule)."""
    odd = False
    for at, b in enumerate(points):
        a = points[at - 1]
        if (a[1] <= point[1]) != (b[1] <= point[1]):
            odd ^= point[0] < a[0] + (point[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
    return odd


def distance(points: Sequence[Point], p: Point) -> float:
    """The distance from a point to the edge of a polygon."""
    least = float("inf")
    for at, b in enumerate(points):
        a = points[at - 1]
        dx, dy = b[0] - a[0], b[1] - a[1]
        square = dx * dx + dy * dy
        t = max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square)) if square else 0.0
        least = min(least, hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy))
    return least
