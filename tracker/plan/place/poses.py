"""Where a piece is and how it is turned, in the frame of its assembly.

x to the right, y to the back, z up, as seen from the front; the origin is the left front bottom corner of the
assembly's size.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.design.place import Direction, Side
from tracker.measure import Angle
from tracker.plan.place.bodies import Body, Plane, Vector, cross, dot, minus, plus, unit
from tracker.plan.trig import cosine, sine

DIRECTIONS: dict[Direction, Vector] = {
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "front": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
}
SIDES: dict[Side, Vector] = {
    "A": (-1.0, 0.0, 0.0),
    "B": (1.0, 0.0, 0.0),
    "near": (0.0, -1.0, 0.0),
    "far": (0.0, 1.0, 0.0),
    "bottom": (0.0, 0.0, -1.0),
    "top": (0.0, 0.0, 1.0),
}
Rows = tuple[Vector, Vector, Vector]
_SAME: Rows = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


class Pose(Struct, frozen=True):
    """A rigid move, p → rows·p + shift; if the determinant of the rows is -1, it also mirrors."""

    rows: Rows = _SAME
    shift: Vector = (0.0, 0.0, 0.0)

    def of(self, point: Vector) -> Vector:
        """The moved point."""
        return plus(self.turned(point), self.shift)

    def turned(self, direction: Vector) -> Vector:
        """The turned direction."""
        a, b, c = self.rows
        return (dot(a, direction), dot(b, direction), dot(c, direction))

    def __matmul__(self, first: Pose) -> Pose:
        """This move applied after `first`."""
        columns = tuple(zip(*first.rows, strict=True))
        a, b, c = (tuple(dot(row, column) for column in columns) for row in self.rows)
        return Pose((_three(a), _three(b), _three(c)), self.of(first.shift))

    def by(self, shift: Vector) -> Pose:
        """The same pose, shifted further."""
        return Pose(self.rows, plus(self.shift, shift))

    @property
    def inverse(self) -> Pose:
        """The inverse move."""
        a, b, c = (_three(column) for column in zip(*self.rows, strict=True))
        x, y, z = self.shift
        turned = Pose((a, b, c)).turned((-x, -y, -z))
        return Pose((a, b, c), turned)

    @property
    def mirrored(self) -> bool:
        return dot(self.rows[0], cross(self.rows[1], self.rows[2])) < 0

    def carry(self, body: Body) -> Body:
        """The moved body. The faces of a mirrored body are reversed, so that they still face outward."""
        planes = []
        for plane in body.planes:
            normal = self.turned(plane.normal)
            planes.append(Plane(normal, plane.distance + dot(normal, self.shift), plane.name))
        rings = [(name, ring[::-1]) for name, ring in body.rings] if self.mirrored else body.rings
        return Body([self.of(point) for point in body.points], rings, planes)


def facing(own: tuple[Side, Side], ways: tuple[Direction, Direction]) -> Pose:
    """The rotation that points two of a piece's sides, square to each other, in two directions."""
    first, second = SIDES[own[0]], SIDES[own[1]]
    aim, second_aim = DIRECTIONS[ways[0]], DIRECTIONS[ways[1]]
    base, target = axes(first, second, cross(first, second)), axes(aim, second_aim, cross(aim, second_aim))
    a, b, c = (_three(column) for column in zip(*base.rows, strict=True))
    return target @ Pose((a, b, c))


def axes(x: Vector, y: Vector, z: Vector) -> Pose:
    """The rotation that takes the x, y and z of a piece to these directions."""
    a, b, c = (_three(row) for row in zip(x, y, z, strict=True))
    return Pose((a, b, c))


def about(axis: Vector, angle: Angle) -> Pose:
    """A rotation about a line through the origin by an angle in degrees, right-handed (Rodrigues' formula)."""
    x, y, z = unit(axis)
    c, s = cosine(angle), sine(angle)
    k = 1 - c
    return Pose(
        (
            (c + x * x * k, x * y * k - z * s, x * z * k + y * s),
            (y * x * k + z * s, c + y * y * k, y * z * k - x * s),
            (z * x * k - y * s, z * y * k + x * s, c + z * z * k),
        )
    )


def around(middle: Vector, angle: Angle) -> Pose:
    """A rotation about the vertical through `middle`, anticlockwise as seen from above."""
    spin = about((0.0, 0.0, 1.0), angle)
    return Pose(spin.rows, minus(middle, spin.turned(middle)))


def mirrored(size: Vector, axes_flipped: tuple[int, ...]) -> Pose:
    """The mirror image about the middle of `size`, along each of these axes (0 = x)."""
    rows = [list(row) for row in _SAME]
    shift = [0.0, 0.0, 0.0]
    for axis in axes_flipped:
        rows[axis][axis] = -1.0
        shift[axis] = size[axis]
    a, b, c = (_three(row) for row in rows)
    return Pose((a, b, c), _three(shift))


def _three(row: Sequence[float]) -> Vector:
    return (row[0], row[1], row[2])
