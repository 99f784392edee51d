"""Features of a piece that run into one another, into its holes or into its half-laps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from tracker.design.model import Part
from tracker.design.problems import Problem
from tracker.plan.features.feature_shape import FeatureShape
from tracker.plan.features.taken import SLACK, bodies_of, profile_regions, rim
from tracker.plan.features.volume import within
from tracker.plan.place.bodies import Body, Vector, bounds
from tracker.plan.place.separation import boxes_apart
from tracker.words import say

SHARED = 1e-3
"""Cubic millimetres that two features must share to count as meeting; less is rounding between two that touch."""
RUNNING = frozenset({"groove", "dado", "rabbet"})
"""Kinds that may run into other joinery, such as the groove of a panel into the mortises of its frame."""
JOINERY = RUNNING | {"mortise", "tenon", "notch"}


def problem_at_row(part: Part, row: int, what: str, hint: str = "") -> Problem:
    """A problem at the line of one row of the part's features."""
    line = part.features[row].line if part.features else part.line
    return Problem(line, f"{part.name}: {what}", hint)


def meetings(
    part: Part, shapes: Sequence[FeatureShape], body: Body, others: Sequence[tuple[str, Body]]
) -> Iterator[Problem]:
    """The first thing that each feature runs into."""
    taken = [_Taken(shape, body) for shape in shapes]
    for at, mine in enumerate(taken):
        shape = mine.shape
        for name, other in others:
            if not _boxes_apart(mine.box, other.box) and any(_share(each, other) for each in mine.bodies):
                what = say("{shape} meets {name}", shape=shape.name, name=name)
                yield problem_at_row(part, shape.row, what, _by_hand() if shape.rounds else "")
                break
        for before in taken[:at]:
            if not _shared(mine, before, body):
                continue
            what = say(
                "{shape} meets {other} (line {line})",
                shape=shape.name,
                other=before.shape.name,
                line=before.shape.feature.line,
            )
            kinds = {shape.feature.kind, before.shape.feature.kind}
            if kinds <= JOINERY and kinds & RUNNING:
                line = part.features[shape.row].line
                yield Problem(line, f"{part.name}: {what}", say("they are cut into one another"), "note")
                continue
            yield problem_at_row(part, shape.row, what, _by_hand() if "profile" in kinds else "")
            break


def _by_hand() -> str:
    """The hint for a bore through a joint, or a profile past one, that a maker may intend."""
    return say("if it is meant to, make it a step of your own: steps = [{ do = ... }]")


class _Taken:
    """What one feature removes. Round holes become bodies only where something is near."""

    def __init__(self, shape: FeatureShape, body: Body) -> None:
        self.shape, self._body = shape, body
        round_only = bool(shape.rounds) and not shape.regions
        self.box = bounds([p for each in shape.rounds for p in rim(each)]) if round_only else _box(self.bodies)

    @cached_property
    def bodies(self) -> list[Body]:
        return bodies_of(self.shape, self._body)


def _shared(mine: _Taken, other: _Taken, body: Body) -> bool:
    """Whether two features remove the same wood; the edges of one profile may run into each other at corners."""
    if _boxes_apart(mine.box, other.box):
        return False
    if other.shape.row == mine.shape.row and mine.shape.feature.kind == "profile":
        return False
    if not any(_share(one, two) for one in mine.bodies for two in other.bodies):
        return False
    return not (_profile_on_waste(mine.shape, other.shape, body) or _profile_on_waste(other.shape, mine.shape, body))


_Box = tuple[Vector, Vector] | None


def _box(bodies: Sequence[Body]) -> _Box:
    """The bounding box of some bodies; None without bodies."""
    return bounds([point for body in bodies for point in body.points]) if bodies else None


def _boxes_apart(one: _Box, two: _Box) -> bool:
    if one is None or two is None:
        return True
    (al, ah), (bl, bh) = one, two
    return any(al[k] >= bh[k] - SLACK or bl[k] >= ah[k] - SLACK for k in range(3))


def _profile_on_waste(profile: FeatureShape, tenon: FeatureShape, body: Body) -> bool:
    """Whether a profile only meets the waste around a tenon."""
    if profile.feature.kind != "profile" or tenon.kept is None:
        return False
    regions = profile.regions or tuple(profile_regions(profile, body))
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
