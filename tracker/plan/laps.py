"""Half-laps of a piece, in the frame of `plan.shape`: the position of each trench for the piece that crosses there."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.design.model import Build, EdgeName, EndName, FaceName, Hand, Lap, Part
from tracker.measure import Angle, Length
from tracker.plan.geometry import solid
from tracker.plan.shape import Solid
from tracker.plan.slants import across
from tracker.plan.trig import sine, times
from tracker.words import say

Shoulders = tuple[tuple[float, float], tuple[float, float]]
SLACK = 1e-6
"""Millimetres of rounding: a lap may be flush with an end."""


class HalfLap(Struct, frozen=True, kw_only=True):
    """A half-lap where two pieces cross: a trench across one of them."""

    miter: Angle
    """The angle of the trench's shoulders from square across the piece."""
    along: Length
    """The width of the trench, measured along the piece's edge."""
    shift: Length
    """How far the trench shifts along the piece from one edge to the other."""
    depth: Length


def half_lap(width: Length, thickness: Length, other_width: Length, crossing: Angle = 90.0) -> HalfLap:
    """The trench in a piece of `width` and `thickness` for a piece of the same thickness that crosses at `crossing`."""
    if not 0 < crossing <= 90:
        raise ValueError(
            say("pieces cross at an angle above 0° and up to 90°, not at {crossing:g}°", crossing=crossing)
        )
    miter = 90.0 - crossing
    return HalfLap(
        miter=miter,
        along=other_width if miter == 0 else times(other_width, 1 / sine(crossing)),
        shift=across(width, miter),
        depth=thickness / 2,
    )


class LapShape(Struct, frozen=True, kw_only=True):
    """One trench. `from_end` is measured along `edge`, from the end to the trench's nearer shoulder.

    `along` is its width along that edge, `miter` the angle of its shoulders from square across the piece. From `edge`
    to the other edge it runs away from its end.
    """

    crosses: str
    end: EndName
    face: FaceName
    edge: EdgeName
    from_end: Length
    along: Length
    depth: Length
    miter: Angle
    shoulders: Shoulders
    """x of the nearer and of the farther shoulder, in mm, each at the near edge and at the far edge."""
    row: int
    """Its index in the part's laps."""

    def off(self, solid: Solid) -> bool:
        """Whether any of it is past an end, on its face or at its depth."""
        faces = (float(solid.thickness), float(solid.thickness - self.depth))
        heights = faces if self.face == "top" else (0.0, float(self.depth))
        places = [
            (x, y, z) for pair in self.shoulders for x, y in zip(pair, (0.0, float(solid.width)), strict=True)
            for z in heights
        ]  # fmt: skip
        return any(not solid.reach("A", y, z) - SLACK <= x <= solid.reach("B", y, z) + SLACK for x, y, z in places)

    def meets(self, other: LapShape) -> bool:
        """Whether two trenches run into each other, on whichever faces: at half depth they would cut the piece in
        two."""
        spans = [
            (sorted(mine), sorted(theirs))  # at each edge, both shoulders of each trench
            for mine, theirs in zip(zip(*self.shoulders, strict=True), zip(*other.shoulders, strict=True), strict=True)
        ]
        before = all(mine[1] <= theirs[0] + SLACK for mine, theirs in spans)
        after = all(theirs[1] <= mine[0] + SLACK for mine, theirs in spans)
        return not (before or after)


def laps_of(build: Build, part: Part, hand: Hand | None) -> tuple[LapShape, ...]:
    """Every half-lap of one piece of `part`, in the order of the file."""
    return tuple(_laps(build, part, hand)) if part.laps else ()


def _laps(build: Build, part: Part, hand: Hand | None) -> Iterator[LapShape]:
    shape = solid(part, hand)
    for row, lap in enumerate(part.laps):
        cut = half_lap(part.width, part.thickness, build.part(lap.crosses).width, lap.angle)
        edge: EdgeName = "far" if hand == "right" else "near"
        yield LapShape(
            crosses=lap.crosses, end=lap.end, face=lap.face, edge=edge, from_end=lap.from_end, along=cut.along,
            depth=cut.depth, miter=cut.miter, shoulders=_shoulders(lap, edge, cut, shape), row=row,
        )  # fmt: skip


def _shoulders(lap: Lap, edge: EdgeName, cut: HalfLap, shape: Solid) -> Shoulders:
    inward = 1 if lap.end == "A" else -1
    start = shape.reach(
        lap.end, float(shape.width) if edge == "far" else 0.0, float(shape.thickness) if lap.face == "top" else 0.0
    )
    found = []
    for distance in (lap.from_end, lap.from_end + cut.along):
        here, beyond = start + inward * float(distance), start + inward * float(distance + cut.shift)
        found.append((here, beyond) if edge == "near" else (beyond, here))
    return found[0], found[1]
