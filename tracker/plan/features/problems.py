"""Problems with the features of a part: off the piece, through it, cutting it apart, or running into one another."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracker.design.feature import OPPOSITE
from tracker.design.model import Build, Part
from tracker.design.problems import Problem
from tracker.plan.features.feature_shape import FeatureShape
from tracker.plan.features.meeting import meetings, problem_at_row
from tracker.plan.features.shapes import features_of
from tracker.plan.features.taken import SIDES_OF_ROUND, SLACK, other_work, rim
from tracker.plan.features.volume import subtracted
from tracker.plan.place.bodies import Body, dot
from tracker.plan.place.cells import cells_of
from tracker.plan.place.separation import boxes_apart, separation
from tracker.plan.shape import Solid
from tracker.words import say

MOST_SHAPES, MOST_OF_A_BUILD = 100, 300
"""The most features of one part, and of all parts together, with rows counted one by one: a file from a stranger must
not keep the program busy."""


def feature_problems(build: Build, part: Part, solid: Solid) -> Iterator[Problem]:
    """The problems and notes of one part, each at its row."""
    if sum(each.count for each in part.features) > MOST_SHAPES:
        yield problem_at_row(
            part, 0, say("more than {most} features, those of rows counted one by one", most=MOST_SHAPES)
        )
        return
    if sum(each.count for other in build.parts for each in other.features) > MOST_OF_A_BUILD:
        if part.id == next(other.id for other in build.parts if other.features):
            yield problem_at_row(
                part,
                0,
                say(
                    "the build has more than {most} features, those of rows counted singly",
                    most=MOST_OF_A_BUILD,
                ),
            )
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
    yield from meetings(part, shapes, bodies[0], other_work(build, part, solid, bodies[0]))


def _alone(part: Part, shape: FeatureShape, solid: Solid, body: Body) -> Iterator[Problem]:
    """The problems of one feature by itself."""
    feature = shape.feature
    open_to: set[str] = {feature.on, OPPOSITE[feature.on]} if feature.through else {feature.on}
    if feature.kind == "profile":
        open_to = {side for each in feature.edges for side in each}
        if any(edge in ("A", "B") and not solid.end(edge).square for edge, _ in feature.edges):
            yield problem_at_row(
                part, shape.row, say("{shape}: an end that isn't square gets no profile by itself", shape=shape.name)
            )
            return
        if any((edge == "A" and solid.tenon_a) or (edge == "B" and solid.tenon_b) for edge, _ in feature.edges):
            yield problem_at_row(part, shape.row, say("{shape}: that end has a tenon", shape=shape.name))
            return
    if feature.kind == "notch":
        open_to |= {"top", "bottom"}
    if feature.kind == "bevel":
        open_to = {feature.on, "top", "bottom"} | {say("taper {row}", row=each.row) for each in solid.tapers}
    if feature.kind == "rabbet" and feature.edge:
        open_to.add(feature.edge)
    if feature.kind == "dado":
        open_to |= _ends_of_dado(feature.on, feature.stop)
    out = _outside(shape, body, frozenset(open_to))
    too_deep = feature.hole is not None and len(shape.rounds) == 1  # the narrow hole has nothing left to go through
    if too_deep or (OPPOSITE[feature.on] in out and feature.kind not in ("tenon", "profile", "bevel")):
        yield problem_at_row(
            part, shape.row, say("{shape} comes out at the other side", shape=shape.name), _through_hint(feature.kind)
        )
    elif out:
        yield problem_at_row(
            part,
            shape.row,
            say("{shape} leaves the piece", shape=shape.name),
            say("past {sides}", sides=", ".join(sorted(out))),
        )
    elif not feature.through and _bottom_out(shape, body):
        yield problem_at_row(
            part,
            shape.row,
            say("{shape} leans so much that its bottom comes out", shape=shape.name),
            say("deeper, or more upright"),
        )
    elif shape.regions and feature.kind not in ("mortise", "slot") and _cut_apart(shape, body):
        yield problem_at_row(part, shape.row, say("{shape} cuts the piece apart", shape=shape.name))


def _through_hint(kind: str) -> str:
    return say("through = true?") if kind in ("mortise", "slot", "bore", "bolt") else say("it is deeper than the wood")


def _ends_of_dado(on: str, stop: Sequence[tuple[str, object]]) -> set[str]:
    sides = {"near", "far"} if on in ("top", "bottom") else {"top", "bottom"}
    return sides - {side for side, value in stop if value}


def _outside(shape: FeatureShape, body: Body, open_to: frozenset[str]) -> set[str]:
    """The faces of the piece that a feature passes though it shouldn't be open to them."""
    points = list(shape.corners)
    for each in shape.rounds:
        points += rim(each)
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
    """Whether the flat bottom of a leaning hole breaks out at the side it was bored from."""
    plane = next((each for each in body.planes if each.name == shape.feature.on), None)
    if plane is None or not shape.feature.lean:
        return False
    bottoms = (point for each in shape.rounds for point in list(rim(each))[SIDES_OF_ROUND:])
    return any(dot(plane.normal, point) - plane.distance > SLACK for point in bottoms)


def _cut_apart(shape: FeatureShape, body: Body) -> bool:
    """Whether this feature alone cuts the piece in two, or leaves nothing of it."""
    left: tuple[Body, ...] = (body,)
    for region in shape.regions:
        left = subtracted(left, region, shape.name)
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
            yield problem_at_row(
                part, shape.row, say("end {on} has a tenon already", on=shape.on), say("one tenon an end")
            )
