"""Where pieces are in an assembly, as the build file says it."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.measure import Angle, Length

Side = Literal["A", "B", "near", "far", "bottom", "top"]
"""One of the six sides of a piece."""
Direction = Literal["left", "right", "front", "back", "up", "down"]
"""A direction in an assembly, as seen from its front."""
BoxSide = Literal["left", "right", "front", "back", "bottom", "top"]
"""A side of the upright box around a placed piece."""
Mirror = Literal["left-right", "front-back", "both"]


class Facing(Struct, frozen=True):
    """How a placed piece is turned: two of its sides, and the directions they face."""

    sides: tuple[Side, Side] = ("B", "top")
    directions: tuple[Direction, Direction] = ("right", "up")


class Splayed(Struct, frozen=True):
    """A splayed leg at one corner of its assembly. Its joint says how it is turned."""

    depth: Literal["front", "back"]
    across: Literal["left", "right"]


class Place(Struct, frozen=True, kw_only=True):
    """A row of `place`: where pieces of one part, or assemblies of one kind, are in the assembly that joins them.

    The steps, in this order: the piece is turned as `lies` says, leaned toward a direction, turned about the vertical,
    and put `at` its place (a side of the upright box around it, and where that side is). Then it is repeated by `count`
    and `step`, side by side in a `row`, or `around` the vertical through the middle of the assembly's size; and
    mirrored about that middle. Angles are in degrees; turns are anticlockwise as seen from above.
    """

    id: str
    lies: Facing | Splayed = Facing()
    at: tuple[tuple[BoxSide, Length], ...] = ()
    lean: tuple[tuple[Direction, Angle], ...] = ()
    turn: Angle = 0.0
    mirror: Mirror | None = None
    around: tuple[Angle, ...] = ()
    count: int = 1
    step: tuple[tuple[Direction, Length], ...] = ()
    row: Direction | None = None
    line: int = 0

    @property
    def makes(self) -> int:
        """How many pieces the row places."""
        images = 1 if self.mirror is None else 4 if self.mirror == "both" else 2
        return (len(self.around) or self.count) * images
