"""A curved piece as the build file describes it: an outline sawn from a part or from a glued-up assembly.

An outline has its own coordinates: x to the right along the panel and y to its back, as seen from above. The file says
where zero is.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct, field

from tracker.design.lines import Lines
from tracker.design.place import Mirror
from tracker.measure import Angle, Length

PanelSide = Literal["left", "right", "front", "back"]
Bows = Literal["out", "in"]
Spot = tuple[Length, Length]
"""x and y."""


class Corner(Struct, frozen=True):
    """A corner of a polygon, rounded to `radius`; 0 is sharp."""

    x: Length
    y: Length
    radius: Length


class Corners(Struct, frozen=True, tag="corners"):
    """A closed polygon."""

    corners: tuple[Corner, ...]


class PathStep(Struct, frozen=True, kw_only=True):
    """One step of a path from the end of the step before: a line to `to`, an arc through a point or of a `radius`, or
    `smooth`: the curve of a batten bent round nails."""

    to: Spot | None = None
    through: Spot | None = None
    radius: Length | None = None
    bows: Bows = "out"
    smooth: tuple[Spot, ...] = ()


class Path(Struct, frozen=True, tag="path"):
    """Steps from `start`. If they don't end there, a line closes them."""

    start: Spot
    steps: tuple[PathStep, ...]


class SvgPath(Struct, frozen=True, tag="svg"):
    """The `d` attribute of a drawing's path (SVG 1.1, chapter 8). One of its units is one of the build's."""

    d: str
    unit: Length


class Circle(Struct, frozen=True, tag="circle"):
    diameter: Length


class Oval(Struct, frozen=True, tag="oval"):
    """An ellipse."""

    wide: Length
    deep: Length


class Slot(Struct, frozen=True, tag="slot"):
    """A rectangle whose ends are half circles."""

    long: Length
    wide: Length


Figure = Corners | Path | SvgPath | Circle | Oval | Slot
"""The middle of a circle, an oval or a slot is at zero."""


class Cutout(Struct, frozen=True, kw_only=True):
    """A shape sawn out of the inside of an outline: a figure turned by `turn` degrees anticlockwise, its zero moved to
    `at`."""

    figure: Figure
    at: Spot
    turn: Angle


class Outline(Struct, frozen=True, kw_only=True):
    """`of` is the part or the assembly it is sawn from. `at` says where its sides are on that panel; where `at` says
    nothing, it is in the middle. With `mirror` only the left (front) half is written."""

    id: str
    of: str
    figure: Figure
    cutouts: tuple[Cutout, ...] = ()
    at: tuple[tuple[PanelSide, Length], ...] = ()
    margin: Length
    mirror: Mirror | None = None
    line: int
    lines: Lines = field(default_factory=Lines)

    def line_of(self, key: str) -> int:
        """The line of a key such as `corners.2`, or of the table that holds it."""
        while key and key not in self.lines:
            key = key.rpartition(".")[0]
        return self.lines.get(key, self.line) if key else self.line
