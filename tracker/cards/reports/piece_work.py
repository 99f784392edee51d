"""The work on a piece as plain data: its passes over the saw, tapers, holes, and the joint that sets its ends."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tracker.cards.piece.features import feature_words, features_on
from tracker.cards.piece.marking_out import hole_words, taper_words
from tracker.cards.reports.numbers import PLACES, Json, deg, mm
from tracker.design.model import Build, CornerJoint, Hand, Part, RingJoint, SplayedLegJoint
from tracker.design.own_step import Count, OwnStep, StepNumber
from tracker.measure import Length, Mark, Span, read_angle, read_as_written
from tracker.plan import geometry
from tracker.plan.cuts import Pass, PieceCuts
from tracker.plan.features import net_volume
from tracker.plan.laps import laps_of
from tracker.plan.place.cells import cells_of
from tracker.plan.shape import HoleShape
from tracker.plan.taper_marks import TaperMark, taper_marks
from tracker.words import say


def cuts_report(cuts: PieceCuts) -> Json:
    """`cuts`: the pass that makes each end, the first end first. The blank's cut and the rip are separate."""
    blank = next((each for each in cuts.passes if each.operation == "cut" and each.end is None), None)
    rip = next(iter(cuts.of("rip")), None)
    return {
        "cuts": [cut_report(each) for each in cuts.ends],
        "blank_cut": None if blank is None else cut_report(blank),
        "rip": None if rip is None else {"fence_mm": mm(rip.set), "warning": rip.warning, "words": rip.words},
    }


def cut_report(each: Pass) -> Json:
    """One crosscut. `set_mm` is the distance of the stop, or of the mark from the end of the stock."""
    return {
        "operation": each.operation,
        "end": each.end,
        "first": each.first,
        "up": each.up,
        "fence": each.fence,
        "piece": each.piece,
        "swing": each.swing,
        "swing_deg": deg(each.swing_deg),
        "tilt": each.tilt,
        "tilt_deg": deg(each.tilt_deg),
        "stop_mm": None if each.stop is None else mm(each.stop),
        "set_mm": mm(each.set),
        "check_mm": mm(each.check),
        "blade": each.blade,
        "possible": each.possible,
        "warning": each.warning,
        "words": each.words,
    }


def features_report(build: Build, part: Part, hand: Hand | None) -> Json:
    """The tapers and holes of one piece, its joint, and all of them in words."""
    solid = geometry.solid(part, hand)
    return {
        "tapers": [_taper(mark) for mark in taper_marks(solid)],
        "holes": [_hole(hole) for hole in solid.holes],
        "joints": _joints(part),
        "marking": [*taper_words(build, part, hand), *hole_words(build, part, hand)],
    } | feature_report(build, part, hand)


def _taper(mark: TaperMark) -> Json:
    """As a tape is laid on the top face: along the edge from a corner, and along the end from the opposite corner."""
    return {
        "edge": mark.edge,
        "end": mark.end,
        "start_mm": mm(mark.start),
        "start_from": mark.start_from,
        "leaves_mm": mm(mark.leaves),
        "leaves_from": mark.leaves_from,
        "angle_deg": deg(mark.angle),
    }


def _hole(hole: HoleShape) -> Json:
    """Its axis in the piece's frame: x from the leftmost point, y from the near edge, z from the bottom face."""
    return {
        "kind": hole.kind,
        "end": hole.end,
        "face": hole.face,
        "enters_mm": [round(value, 6) for value in hole.enters],
        "leaves_mm": [round(value, 6) for value in hole.leaves],
        "diameter_mm": None if hole.diameter is None else mm(hole.diameter),
    }


def _joints(part: Part) -> list[dict[str, Any]]:
    ends = part.ends
    if isinstance(ends, RingJoint):
        return [{"kind": "ring", "sides": ends.sides, "lean_deg": deg(ends.lean), "butted": ends.butted}]
    if isinstance(ends, CornerJoint):
        return [{"kind": "corner", "angle_deg": deg(ends.angle), "lean_deg": deg(ends.lean), "butted": ends.butted}]
    if isinstance(ends, SplayedLegJoint):
        front, side = deg(ends.front), deg(ends.side)
        return [{"kind": "splayed leg", "height_mm": mm(ends.height), "front_deg": front, "side_deg": side}]
    return []


def joint_words(joint: Json) -> str:
    """`ring of 6, leaning 10°`."""
    if joint["kind"] == "splayed leg":
        return say(
            "splayed leg, {front:g}° in front and {side:g}° at the side",
            front=joint["front_deg"],
            side=joint["side_deg"],
        )
    what = (
        say("ring of {sides}", sides=joint["sides"])
        if joint["kind"] == "ring"
        else say("corner of {angle:g}°", angle=joint["angle_deg"])
    )
    lean = say(", leaning {lean:g}°", lean=joint["lean_deg"]) if joint["lean_deg"] else ""
    return say("{what}{lean}, butted", what=what, lean=lean) if joint["butted"] else f"{what}{lean}"


def feature_report(build: Build, part: Part, hand: Hand | None) -> Json:
    """`features`, and the volume that is left of the piece after all cuts."""
    solid, shapes, mark = geometry.solid(part, hand), features_on(part, hand), build.shop.mark
    return {
        "net_volume_mm3": round(net_volume(solid, cells_of(solid, laps_of(build, part, hand)), shapes), 3),
        "shoulders_mm": mm(solid.length - solid.tenon_a - solid.tenon_b) if solid.tenon_a or solid.tenon_b else None,
        "features": [
            {
                "kind": shape.feature.kind,
                "name": shape.name,
                "on": shape.on,
                "numbers_mm": {name: mm(value) for name, value in shape.numbers if isinstance(value, Length)},
                "numbers_deg": {
                    name.removesuffix(" deg"): deg(value)
                    for name, value in shape.numbers
                    if not isinstance(value, Length)
                },
                "through": shape.feature.through,
                "operation": shape.feature.operation,
                "tool": shape.feature.tool,
                "words": feature_words(shape, mark),
            }
            for shape in shapes
        ],
    }


def own_steps_report(steps: tuple[OwnStep, ...], mark: Mark) -> list[Json]:
    """The maker's own steps. `numbers` has lengths under `_mm`, angles under `_deg`, times under `_s` and counts under
    their name; `words` has them as the tape and the scale read them."""
    return [
        {
            "do": step.do,
            "station": step.station,
            "after": step.after,
            "before": step.before,
            "numbers": dict(_number(name, value) for name, value in step.numbers),
            "words": {name: _number_words(value, mark) for name, value in step.numbers},
            "notes": step.notes,
            "picture": step.picture,
            "tool": step.tool,
            "jig": step.jig,
        }
        for step in steps
    ]


def _number(name: str, value: StepNumber) -> tuple[str, float]:
    if isinstance(value, Length):
        return f"{name}_mm", mm(value)
    if isinstance(value, Count):
        return name, round(float(value.number), PLACES)
    return (f"{name}_s", value.seconds) if isinstance(value, Span) else (f"{name}_deg", deg(value))


def _number_words(value: StepNumber, mark: Mark) -> str:
    if isinstance(value, Length):
        return read_as_written(value, mark).plain
    return value.text if isinstance(value, Span | Count) else f"{read_angle(value)}°"


def own_step_words(thing: Json) -> Iterator[str]:
    """`Bandsaw the curve: radius 2 1/2", tilt 15°. Leave the line.`, from the report of a piece or an assembly."""
    for step in thing["steps"]:
        numbers = ", ".join(f"{name} {words}" for name, words in step["words"].items())
        tool = say("tool: {tool}", tool=step["tool"]) if step["tool"] else ""
        jig = say("jig: {jig}", jig=step["jig"]) if step["jig"] else ""
        said = "; ".join(each for each in (numbers, tool, jig, step["notes"].rstrip(".")) if each)
        yield f"{step['do'][0].upper()}{step['do'][1:]}{f': {said}' if said else ''}."
    yield from (say("Note on {step}: {words}", step=step, words=words) for step, words in thing["step_notes"].items())
