"""Where pieces are in an assembly, as the build file says it."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from tracker.measure import Angle, Length

Side = Literal["A", "B", "near", "far", "bottom", "top"]
"""One of a piece's own six sides."""
Direction = Literal["left", "right", "front", "back", "up", "down"]
"""A direction in an assembly, as seen from its front."""
BoxSide = Literal["left", "right", "front", "back", "bottom", "top"]
"""A side of the upright box that a placed piece fills."""
Mirror = Literal["left-right", "front-back", "both"]


class Facing(Struct, frozen=True):
    """How a placed piece is turned: two of its own sides, and the directions they point in."""

    sides: tuple[Side, Side] = ("B", "top")
    directions: tuple[Direction, Direction] = ("right", "up")


class Splayed(Struct, frozen=True):
    """A splayed leg at one corner of its assembly: its joint says how it is turned."""

    depth: Literal["front", "back"]
    across: Literal["left", "right"]


class Place(Struct, frozen=True, kw_only=True):
    """A row of `place`: where pieces of one part, or assemblies of one kind, are in the assembly that joins them.

    In this order: turned as `lies` says, leaned toward a direction, turned about the upright, put `at` their place
    (a side of the upright box around the piece, and where it is), then repeated by `count` and `step`, side by side in
    a `row`, or `around` the upright through the middle of the assembly's size; and mirrored about that middle.
    Angles in degrees, turns anticlockwise as seen from above.
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
        """How many the row places."""
        images = 1 if self.mirror is None else 4 if self.mirror == "both" else 2
        return (len(self.around) or self.count) * images
