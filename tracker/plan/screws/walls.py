"""Curves that are sawn after the holes are bored: upright walls through a panel, along its outline and its cutouts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.design.model import Build
from tracker.plan.convex import Point
from tracker.plan.outline import OutlineError, outlined
from tracker.plan.outline.curve import flat, inside
from tracker.plan.place.bodies import Vector, bounds
from tracker.plan.place.placed import Placed
from tracker.plan.place.placer import Placer
from tracker.plan.place.poses import Pose
from tracker.plan.screws.rods import Rod
from tracker.plan.shape import Solid

CHORD = 0.05
"""Millimetres by which the chords may be off the curve."""
UNSAWN = 0.5
"""Millimetres: an outline this close to the edge of its panel leaves nothing to saw."""
OUTLINE, WASTE = "outline", "waste"


class Wall(Struct, frozen=True, kw_only=True):
    """An outline on its panel. `pose` takes a point of the picture to the panel's frame; `axes` are the panel's left to
    right and front to back in that frame, `low` its left front corner. `loops`: the outline, then its cutouts; `sawn`:
    all of their chords except those along the panel's edges, where there is nothing to saw."""

    pose: Pose
    axes: tuple[int, int]
    low: Point
    loops: tuple[tuple[Point, ...], ...]
    sawn: tuple[tuple[Point, Point], ...]

    def shadow(self, point: Vector) -> Point:
        """A point projected onto the panel."""
        there = self.pose.of(point)
        return there[self.axes[0]] - self.low[0], there[self.axes[1]] - self.low[1]

    def keeps(self, point: Point) -> bool:
        """Whether a point of the panel is in the kept part."""
        outer, *cutouts = self.loops
        return inside(outer, point) and not any(inside(each, point) for each in cutouts)


def to_wall(rod: Rod, wall: Wall, wander: float, below: float) -> tuple[float, str]:
    """(clearance, name) of a rod and a wall from which the saw may stray by `wander`, measured to the rod's projection
    on the panel. If it is nowhere nearer than `below`, only that is returned. Negative in the waste, however far from
    the line."""
    a, b = wall.shadow(rod.a), wall.shadow(rod.b)
    reach = max(0.0, below + rod.radius + wander + CHORD)
    least = _to_chords(a, b, wall.sawn, reach)
    gap = least - rod.radius - wander - CHORD
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    if not wall.keeps(middle):
        return -abs(gap), WASTE
    return gap, OUTLINE


def _to_chords(a: Point, b: Point, chords: Sequence[tuple[Point, Point]], least: float) -> float:
    """The least distance between a segment and any of some others, where it is less than `least`."""
    left, right = min(a[0], b[0]), max(a[0], b[0])
    front, back = min(a[1], b[1]), max(a[1], b[1])
    for p, q in chords:
        if (
            (p[0] < left - least and q[0] < left - least) or (p[0] > right + least and q[0] > right + least)
            or (p[1] < front - least and q[1] < front - least) or (p[1] > back + least and q[1] > back + least)
        ):  # fmt: skip
            continue
        least = min(least, _apart(a, b, p, q))
    return least


def _chords(loops: Sequence[Sequence[Point]], panel: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Every chord that doesn't lie along an edge of the panel."""
    for loop in loops:
        for at, q in enumerate(loop):
            p = loop[at - 1]
            if not any(_along(p, q, panel[edge - 1], end) for edge, end in enumerate(panel)):
                yield p, q


def _along(p: Point, q: Point, a: Point, b: Point) -> bool:
    return max(_to_segment(p, a, b), _to_segment(q, a, b)) < UNSAWN


def _apart(a: Point, b: Point, p: Point, q: Point) -> float:
    """The distance of two segments in the plane; either may be a point."""
    if _side(a, b, p) * _side(a, b, q) < 0 and _side(p, q, a) * _side(p, q, b) < 0:
        return 0.0
    return min(_to_segment(a, p, q), _to_segment(b, p, q), _to_segment(p, a, b), _to_segment(q, a, b))


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _to_segment(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = dx * dx + dy * dy
    share = 0.0 if length < 1e-18 else min(1.0, max(0.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length))
    return float(((a[0] + share * dx - p[0]) ** 2 + (a[1] + share * dy - p[1]) ** 2) ** 0.5)


class Walls:
    """The outlines of a build, each computed once. One that can't be sawn is left to the check of outlines."""

    def __init__(self, build: Build, placer: Placer) -> None:
        self._build, self._placer = build, placer
        self._made: dict[str, tuple[tuple[Point, ...], ...]] = {}
        self._by_panel: dict[str, list[str]] = {}
        for outline in build.outlines:
            self._by_panel.setdefault(outline.of, []).append(outline.id)

    def of(self, piece: Placed) -> Iterator[Wall]:
        """The walls that a placed piece is sawn to: its own, and those of the assemblies it is in."""
        back = piece.pose.inverse
        yield from self.alone(piece.shape.solid, piece.part, back)
        for assembly in piece.within:
            if assembly[0] in self._by_panel:
                yield from self._in_assembly(piece, back, assembly)

    def alone(self, solid: Solid, part_id: str, pose: Pose) -> Iterator[Wall]:
        """The walls of a part itself; `pose` takes a point to its own frame."""
        if part_id in self._by_panel:
            low = min(x for x, _ in solid.silhouette())
            panel = tuple((x - low, y) for x, y in solid.silhouette())
            yield from self._walls(part_id, pose, (0, 1), (low, 0.0), panel)

    def _in_assembly(self, piece: Placed, back: Pose, assembly: Numbered) -> Iterator[Wall]:
        placed = self._placer.placed(*assembly)
        here = next((each for each in placed if each.key == piece.key), None)
        if here is None:
            return
        low, high = bounds([point for each in placed for point in each.points])
        sizes = [high[axis] - low[axis] for axis in range(3)]
        thin = min(range(3), key=lambda axis: (sizes[axis], -axis))
        right, deep = (axis for axis in range(3) if axis != thin)
        wide, far = sizes[right], sizes[deep]
        panel = ((0.0, 0.0), (wide, 0.0), (wide, far), (0.0, far))
        yield from self._walls(assembly[0], here.pose @ back, (right, deep), (low[right], low[deep]), panel)

    def _walls(
        self, of: str, pose: Pose, axes: tuple[int, int], low: Point, panel: Sequence[Point]
    ) -> Iterator[Wall]:  # fmt: skip
        for id_ in self._by_panel[of]:
            loops = self._loops(id_)
            if loops:
                yield Wall(pose=pose, axes=axes, low=low, loops=loops, sawn=tuple(_chords(loops, panel)))

    def _loops(self, id_: str) -> tuple[tuple[Point, ...], ...]:
        if id_ not in self._made:
            outline = next(each for each in self._build.outlines if each.id == id_)
            try:
                made = outlined(self._build, self._placer, outline)
            except (OutlineError, ValueError):
                self._made[id_] = ()
            else:
                self._made[id_] = tuple(tuple(flat(made.place.loop(loop), CHORD)) for loop in made.loops)
        return self._made[id_]
