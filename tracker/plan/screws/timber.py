"""A piece of wood for the screw checks: one convex body, and the hollows in it. Millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.design.model import Build, Hand, Part
from tracker.plan.features import features_of
from tracker.plan.features.feature_shape import Region
from tracker.plan.laps import LapShape, laps_of
from tracker.plan.place.bodies import Body, Vector, bounds, box, dot, norm, times
from tracker.plan.place.cells import cells_of
from tracker.plan.place.placed import Placed
from tracker.plan.place.placer import Placer
from tracker.plan.place.poses import Pose
from tracker.plan.screws.rods import Rod, Screw
from tracker.plan.screws.walls import Wall, Walls
from tracker.plan.shape import Solid

TRIMMED = "trimmed"
"""The name of the face that sawing an assembly to its size leaves."""


class Timber(Struct, frozen=True, kw_only=True):
    """One piece in place. `wood` is all of it before laps; `hollows` are what laps and other joints take out, each with
    its name. `later` tells, for a face that is cut after the holes are bored, how far the saw may stray from it; from
    `walls`, the curves it is sawn to, the saw may stray by `wander`."""

    key: Numbered
    part: Part
    solid: Solid
    pose: Pose
    wood: Body
    hollows: tuple[tuple[str, Body], ...] = ()
    later: Mapping[str, float] = {}
    walls: tuple[Wall, ...] = ()
    wander: float = 0.0
    bores: tuple[Screw, ...] = ()

    def holds(self, point: Vector) -> bool:
        """Whether a point is in its wood."""
        return inside(self.wood, point) and not any(inside(hollow, point) for _, hollow in self.hollows)


def inside(body: Body, point: Vector) -> bool:
    return all(dot(plane.normal, point) <= plane.distance + 1e-6 for plane in body.planes)


class Timbers:
    """The wood and hollows of every part in its own frame, computed once for each hand."""

    def __init__(self, build: Build, placer: Placer) -> None:
        self._build = build
        self._walls = Walls(build, placer)
        self._wander = float(build.shop.wander)
        self._made: dict[tuple[str, Hand | None], tuple[Body, tuple[tuple[str, Body], ...]]] = {}

    def of(self, piece: Placed) -> Timber:
        """A placed piece as a timber."""
        solid, part = piece.shape.solid, piece.shape.part
        wood, hollows = self._own(part, piece.hand, solid)
        wood = piece.pose.carry(wood)
        sawn = {plane for cell in piece.cells for plane in cell.planes if plane.name == TRIMMED}
        for plane in sorted(sawn, key=lambda each: each.normal):
            wood = wood.clipped(plane.normal, plane.distance, TRIMMED)
        return Timber(
            key=piece.key, part=part, solid=solid, pose=piece.pose, wood=wood,
            hollows=tuple((name, piece.pose.carry(hollow)) for name, hollow in hollows), later=self._later(part),
            walls=tuple(self._walls.of(piece)), wander=self._wander,
            bores=tuple(_bores(part, solid, piece.pose, piece.key)),
        )  # fmt: skip

    def alone(self, part: Part, solid: Solid) -> Timber:
        """A piece by itself in its own frame, where its place isn't known."""
        wood, hollows = self._own(part, solid.hand, solid)
        walls = tuple(self._walls.alone(solid, part.id, Pose()))
        return Timber(
            key=(part.id, 1), part=part, solid=solid, pose=Pose(), wood=wood, hollows=hollows, later=self._later(part),
            walls=walls, wander=self._wander, bores=tuple(_bores(part, solid, Pose(), (part.id, 1))),
        )  # fmt: skip

    def _own(self, part: Part, hand: Hand | None, solid: Solid) -> tuple[Body, tuple[tuple[str, Body], ...]]:
        key = (part.id, hand)
        if key not in self._made:
            laps = laps_of(self._build, part, hand)
            self._made[key] = (cells_of(solid)[0], tuple(_hollows(part, solid, laps)))
        return self._made[key]

    def _later(self, part: Part) -> dict[str, float]:
        """Faces that are cut after the holes are bored: those of a trimmed assembly, and tapers after drilling."""
        found = {TRIMMED: self._wander}
        route = part.route or ()
        if "taper" in route and "drill" in route and route.index("taper") > route.index("drill"):
            found |= {f"taper {row}": self._wander for row in range(len(part.tapers))}
        return found


def _hollows(part: Part, solid: Solid, laps: tuple[LapShape, ...]) -> Iterator[tuple[str, Body]]:
    """What laps and features take out of a piece; for a tenon, the waste around it."""
    for lap in laps:
        yield "half-lap", lap_hollow(solid, lap)
    for shape in features_of(part, solid):
        for region in shape.regions:
            hollow = region_hollow(solid, region)
            if hollow:
                yield shape.feature.kind, hollow


def region_hollow(solid: Solid, region: Region) -> Body:
    """A convex region cut out of a piece, bounded a little beyond the piece; None where it doesn't touch the piece."""
    reach = (float(solid.edges.overall), float(solid.width), float(solid.thickness))
    body = box((-reach[0], -reach[1], -reach[2]), (2 * reach[0], 2 * reach[1], 2 * reach[2]))
    for half in region:
        length = norm(half.form.normal)
        body = body.clipped(times(half.form.normal, 1 / length), (half.most - half.form.at) / length, "wall")
        if not body:
            break
    return body


def _bores(part: Part, solid: Solid, pose: Pose, key: Numbered) -> Iterator[Screw]:
    """The round holes that features bore in a piece at `pose`, as something that screws may run into."""
    for shape in features_of(part, solid):
        for each in shape.rounds:
            rod = Rod(pose.of(each.enters), pose.of(each.leaves), each.radius, key, frozenset(), shape.feature.kind)
            yield Screw(
                piece=key, hole=-1, kind="blind", end="A", face="top", row=-1, rods=(rod,), mouth=rod.a, tip=rod.b
            )  # fmt: skip


def lap_hollow(solid: Solid, lap: LapShape) -> Body:
    """The trench of a half-lap, through the whole width and out of its face."""
    width, thickness, depth = float(solid.width), float(solid.thickness), float(lap.depth)
    left, right = sorted(lap.shoulders, key=sum)
    low, high = bounds([(x, 0.0, 0.0) for x in (*left, *right)])
    bottom, top = (thickness - depth, thickness + 1.0) if lap.face == "top" else (-1.0, depth)
    body = box((low[0] - width, -1.0, bottom), (high[0] + width, width + 1.0, top))
    for (near, far), side in ((left, -1.0), (right, 1.0)):
        slope = (far - near) / width
        normal = times((1.0, -slope, 0.0), side / norm((1.0, -slope, 0.0)))
        body = body.clipped(normal, dot(normal, (near, 0.0, 0.0)), "shoulder")
    return body
