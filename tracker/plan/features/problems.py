"""What is wrong with the features of a part: off the piece, through it, cutting it apart, or into one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from math import cos, pi, sin

from tracker.design.feature import OPPOSITE
from tracker.design.model import Build, Part
from tracker.design.problems import Problem
from tracker.plan.features.shapes import FeatureShape, Region, Round, features_of
from tracker.plan.features.side import Half, Linear
from tracker.plan.features.volume import within, without
from tracker.plan.laps import LapShape, laps_of
from tracker.plan.place.bodies import Body, Vector, bounds, cross, dot, minus, norm, plus, times, unit
from tracker.plan.place.cells import cells_of
from tracker.plan.place.separation import boxes_apart, separation
from tracker.plan.shape import Solid

SLACK = 1e-6
SHARED = 1e-3
"""Cubic millimetres that two features share before they meet: less is what rounding makes of two that touch."""
SIDES_OF_ROUND = 24
MOST_SHAPES, MOST_OF_A_BUILD = 100, 300
"""Features of one part, and of all parts together, those of rows counted one by one: a file from a stranger may not
keep the program busy."""
RUNNING = frozenset({"groove", "dado", "rabbet"})
"""What may run into other joinery, such as the groove of a panel into the mortises of its frame."""
JOINERY = RUNNING | {"mortise", "tenon", "notch"}


def feature_problems(build: Build, part: Part, solid: Solid) -> Iterator[Problem]:
    """Problems and notes of one part, each at its row."""
    if sum(each.count for each in part.features) > MOST_SHAPES:
        yield _problem(part, 0, f"more than {MOST_SHAPES} features, those of rows counted one by one")
        return
    if sum(each.count for other in build.parts for each in other.features) > MOST_OF_A_BUILD:
        if part.id == next(other.id for other in build.parts if other.features):
            yield _problem(part, 0, f"the build has more than {MOST_OF_A_BUILD} features, those of rows counted singly")
        return
    bodies = cells_of(solid)
    if not bodies:
        return
    shapes = features_of(part, solid)
    wrong: set[int] = set()
    for shape in shapes:
        for problem in _alone(part, shape, solid, bodies[0]):
            wrong.add(shape.row)
            yield problem
    if wrong:
        return
    yield from _one_tenon_an_end(part, shapes)
    yield from _meet(part, shapes, bodies[0], _others(build, part, solid, bodies[0]))


def _problem(part: Part, row: int, what: str, hint: str = "") -> Problem:
    line = part.features[row].line if part.features else part.line
    return Problem(line, f"{part.name}: {what}", hint)


def _alone(part: Part, shape: FeatureShape, solid: Solid, body: Body) -> Iterator[Problem]:
    """What is wrong with one feature by itself."""
    feature = shape.feature
    open_to: set[str] = {feature.on, OPPOSITE[feature.on]} if feature.through else {feature.on}
    if feature.kind == "profile":
        open_to = {side for each in feature.edges for side in each}
        if any(edge in ("A", "B") and not solid.end(edge).square for edge, _ in feature.edges):
            yield _problem(part, shape.row, f"{shape.name}: an end that isn't square gets no profile by itself")
            return
        if any((edge == "A" and solid.tenon_a) or (edge == "B" and solid.tenon_b) for edge, _ in feature.edges):
            yield _problem(part, shape.row, f"{shape.name}: that end has a tenon")
            return
    if feature.kind == "notch":
        open_to |= {"top", "bottom"}
    if feature.kind == "bevel":
        open_to = {feature.on, "top", "bottom"}
    if feature.kind == "rabbet" and feature.edge:
        open_to.add(feature.edge)
    if feature.kind == "dado":
        open_to |= _ends_of_dado(feature.on, feature.stop)
    out = _outside(shape, body, frozenset(open_to))
    deep = {OPPOSITE[feature.on]} & out
    if deep and feature.kind not in ("tenon", "profile", "bevel"):
        yield _problem(part, shape.row, f"{shape.name} comes out at the other side", _through_hint(feature.kind))
    elif out:
        yield _problem(part, shape.row, f"{shape.name} leaves the piece", f"past {', '.join(sorted(out))}")
    elif not feature.through and _bottom_out(shape, body):
        yield _problem(
            part, shape.row, f"{shape.name} leans so much that its bottom comes out", "deeper, or more upright"
        )
    elif shape.regions and feature.kind not in ("mortise", "slot") and _cut_apart(shape, body):
        yield _problem(part, shape.row, f"{shape.name} cuts the piece apart")


def _through_hint(kind: str) -> str:
    return "through = true?" if kind in ("mortise", "slot", "bore", "bolt") else "it is deeper than the wood"


def _ends_of_dado(on: str, stop: Sequence[tuple[str, object]]) -> set[str]:
    sides = {"near", "far"} if on in ("top", "bottom") else {"top", "bottom"}
    return sides - {side for side, value in stop if value}


def _outside(shape: FeatureShape, body: Body, open_to: frozenset[str]) -> set[str]:
    """The faces of the piece that a feature passes though it isn't open to them."""
    points = list(shape.corners)
    for each in shape.rounds:
        points += _rim(each)
    out = set()
    for plane in body.planes:
        if plane.name in open_to:
            continue
        opposite = shape.feature.kind != "tenon" and plane.name == OPPOSITE[shape.feature.on]
        slack = -SLACK if opposite and not shape.feature.through else SLACK
        if shape.feature.kind in ("profile", "bevel", "tenon"):
            slack = SLACK
        if any(dot(plane.normal, point) - plane.distance > slack for point in points):
            out.add(plane.name)
    return out


def _bottom_out(shape: FeatureShape, body: Body) -> bool:
    """Whether the flat bottom of a leaning hole comes out at the side that it was bored from."""
    plane = next((each for each in body.planes if each.name == shape.feature.on), None)
    if plane is None or not shape.feature.lean:
        return False
    bottoms = (point for each in shape.rounds for point in list(_rim(each))[SIDES_OF_ROUND:])
    return any(dot(plane.normal, point) - plane.distance > SLACK for point in bottoms)


def _rim(each: Round) -> Iterator[Vector]:
    """Points of a round hole's edge where it enters and where it stops."""
    way = unit(minus(each.leaves, each.enters))
    u, v = _square_to(way)
    for end in (each.enters, each.leaves):
        for at in range(SIDES_OF_ROUND):
            angle = 2 * pi * at / SIDES_OF_ROUND
            yield plus(end, plus(times(u, each.radius * cos(angle)), times(v, each.radius * sin(angle))))


def _square_to(way: Vector) -> tuple[Vector, Vector]:
    u = unit(cross(way, (0.0, 0.0, 1.0) if abs(way[2]) < 0.9 else (1.0, 0.0, 0.0)))
    return u, cross(way, u)


def _cut_apart(shape: FeatureShape, body: Body) -> bool:
    """Whether the piece falls into two, or is gone, when this alone is cut."""
    left: tuple[Body, ...] = (body,)
    for region in shape.regions:
        left = without(left, region, shape.name)
    if not left:
        return True
    reached, waiting = [left[0]], list(left[1:])
    while found := [each for each in waiting if any(_touch(each, other) for other in reached)]:
        reached += found
        waiting = [each for each in waiting if each not in found]
    return bool(waiting)


def _touch(first: Body, second: Body) -> bool:
    return not boxes_apart(first, second, SLACK) and separation(first, second).gap <= SLACK


def _one_tenon_an_end(part: Part, shapes: Sequence[FeatureShape]) -> Iterator[Problem]:
    seen: dict[str, FeatureShape] = {}
    for shape in shapes:
        if shape.feature.kind == "tenon" and seen.setdefault(shape.on, shape) is not shape:
            yield _problem(part, shape.row, f"end {shape.on} has a tenon already", "one tenon an end")


def _others(build: Build, part: Part, solid: Solid, body: Body) -> list[tuple[str, Body]]:
    """The holes and half-laps of a part as bodies, each with its name."""
    found = []
    for hole in solid.holes:
        wide = 9.5 if hole.diameter is None else float(hole.diameter)
        each = Round(enters=hole.enters, leaves=hole.leaves, radius=wide / 2)
        if norm(minus(each.leaves, each.enters)) > SLACK:
            found += [(f"hole {hole.which + 1} at end {hole.end}", one) for one in within((body,), _prism(each))]
    for lap in laps_of(build, part, solid.hand):
        taken = _lap_body(lap, body, float(solid.width), float(solid.thickness))
        found += [(f"the half-lap for {lap.crosses}", one) for one in taken]
    return found


def _lap_body(lap: LapShape, body: Body, width: float, thickness: float) -> Iterator[Body]:
    left, right = sorted(lap.shoulders, key=sum)
    region = []
    for shoulder, sign in ((left, -1.0), (right, 1.0)):
        slope = (shoulder[1] - shoulder[0]) / width
        region.append(Half(Linear((sign, -sign * slope, 0.0), 0.0), sign * shoulder[0]))
    depth = float(lap.depth)
    top = lap.face == "top"
    region.append(Half(Linear((0.0, 0.0, -1.0 if top else 1.0), 0.0), -(thickness - depth) if top else depth))
    yield from within((body,), tuple(region))


def _prism(each: Round) -> Region:
    """The prism around a round hole."""
    way = unit(minus(each.leaves, each.enters))
    u, v = _square_to(way)
    halves = [
        Half(Linear(way, 0.0), dot(way, each.leaves)),
        Half(Linear(times(way, -1), 0.0), -dot(way, each.enters) + each.radius),
    ]
    for at in range(SIDES_OF_ROUND):
        angle = 2 * pi * at / SIDES_OF_ROUND
        normal = plus(times(u, cos(angle)), times(v, sin(angle)))
        halves.append(Half(Linear(normal, 0.0), dot(normal, each.enters) + each.radius))
    return tuple(halves)


def _bodies(shape: FeatureShape, body: Body) -> list[Body]:
    """What a feature takes of the piece, as convex bodies; of a tenon the tenon too, which nothing else may cut."""
    found = [each for region in shape.regions for each in within((body,), region)]
    if shape.kept is not None:
        found += within((body,), shape.kept)
    for each in shape.rounds:
        found += within((body,), _prism(each))
    feature = shape.feature
    if feature.kind == "profile" and feature.shape != "chamfer":
        found += [each for region in _profile_regions(shape, body) for each in within((body,), region)]
    return found


def _profile_regions(shape: FeatureShape, body: Body) -> Iterator[Region]:
    """The wedge around what a round over or a cove takes."""
    radius = 0.0 if shape.feature.radius is None else float(shape.feature.radius)
    planes = {plane.name: plane for plane in body.planes}
    for edge, face in shape.feature.edges:
        if edge in planes and face in planes:
            halves = (planes[edge], planes[face])
            yield tuple(Half(Linear(times(each.normal, -1), 0.0), radius - each.distance) for each in halves)


def _meet(
    part: Part, shapes: Sequence[FeatureShape], body: Body, others: Sequence[tuple[str, Body]]
) -> Iterator[Problem]:
    """The first thing that each feature runs into."""
    taken = [_Taken(shape, body) for shape in shapes]
    for at, mine in enumerate(taken):
        shape = mine.shape
        for name, other in others:
            if not _boxes_apart(mine.box, other.box) and any(_share(each, other) for each in mine.bodies):
                yield _problem(part, shape.row, f"{shape.name} meets {name}")
                break
        for before in taken[:at]:
            if not _shared(mine, before, body):
                continue
            what = f"{shape.name} meets {before.shape.name} (line {before.shape.feature.line})"
            kinds = {shape.feature.kind, before.shape.feature.kind}
            if kinds <= JOINERY and kinds & RUNNING:
                line = part.features[shape.row].line
                yield Problem(line, f"{part.name}: {what}", "they are cut into one another", "note")
                continue
            yield _problem(part, shape.row, what)
            break


class _Taken:
    """What one feature takes of the piece; round holes become bodies only where something is near."""

    def __init__(self, shape: FeatureShape, body: Body) -> None:
        self.shape, self._body = shape, body
        round_only = bool(shape.rounds) and not shape.regions
        self.box = bounds([p for each in shape.rounds for p in _rim(each)]) if round_only else _box(self.bodies)

    @cached_property
    def bodies(self) -> list[Body]:
        return _bodies(self.shape, self._body)


def _shared(mine: _Taken, other: _Taken, body: Body) -> bool:
    """Whether two features take the same wood; the edges of one profile run into each other at corners."""
    if _boxes_apart(mine.box, other.box):
        return False
    if other.shape.row == mine.shape.row and mine.shape.feature.kind == "profile":
        return False
    if not any(_share(one, two) for one in mine.bodies for two in other.bodies):
        return False
    return not (_profile_on_waste(mine.shape, other.shape, body) or _profile_on_waste(other.shape, mine.shape, body))


_Box = tuple[Vector, Vector] | None


def _box(bodies: Sequence[Body]) -> _Box:
    """The box around some bodies; None around none."""
    return bounds([point for body in bodies for point in body.points]) if bodies else None


def _boxes_apart(one: _Box, two: _Box) -> bool:
    if one is None or two is None:
        return True
    (al, ah), (bl, bh) = one, two
    return any(al[k] >= bh[k] - SLACK or bl[k] >= ah[k] - SLACK for k in range(3))


def _profile_on_waste(profile: FeatureShape, tenon: FeatureShape, body: Body) -> bool:
    """Whether a profile only meets what is cut away around a tenon."""
    if profile.feature.kind != "profile" or tenon.kept is None:
        return False
    regions = profile.regions or tuple(_profile_regions(profile, body))
    theirs = list(within((body,), tenon.kept))
    mine = [each for region in regions for each in within((body,), region)]
    return not any(_share(one, two) for one in mine for two in theirs)


def _share(first: Body, second: Body) -> bool:
    """Whether two bodies have wood in common."""
    if boxes_apart(first, second, -SLACK):
        return False
    rest = first
    for plane in second.planes:
        rest = rest.clipped(plane.normal, plane.distance, "")
        if not rest:
            return False
    return rest.volume > SHARED
