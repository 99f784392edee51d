"""The drawing of a piece, ready to be put to scale on a screen or a label.

Millimetres, seen from above as the piece lies: x to the right along the length from the leftmost point of the piece,
y from the near edge (0) to the far edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class EndNote:
    """What stands at one end of the drawing. Words are ready: `15°`; empty when that angle is nought."""

    end: Literal["A", "B"]
    miter: str
    bevel: str
    swing: str
    """Which way, in words, e.g. `far edge longer`; empty for a square end."""
    long_point: Point | None
    """The tip of the top face at this end when the end is mitred."""
    trimmed: bool
    """False while the final cut at this end is still to be made."""

    @property
    def square(self) -> bool:
        return not (self.miter or self.bevel)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleMark:
    """A hole: where it enters, and where it leads to (the same point for a hole square to the face)."""

    start: Point
    tip: Point
    hidden: bool
    """True when it is drilled from the bottom face and so can't be seen from above."""
    pocket: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A piece from above, to scale."""

    outline: tuple[Point, ...]
    """The silhouette of the finished piece, both faces together, counter-clockwise."""
    top_face: tuple[Point, ...]
    """The upper face, counter-clockwise: what a bevel leaves of it."""
    hidden: tuple[tuple[Point, Point], ...]
    """Edges of the bottom face that can't be seen from above."""
    blank: tuple[Point, ...]
    """The blank around it, a rectangle; empty when the blank is the piece."""
    ends: tuple[EndNote, EndNote]
    """End A (left), then end B (right)."""
    holes: tuple[HoleMark, ...]
    grain: Literal["along", "across"]
    near_edge: str = "near edge"
    face: str = "top face"
