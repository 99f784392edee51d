"""Problems with screws, dowels and bolts in place, and notes on small clearances."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from tracker.design.model import Build, Hole, Part
from tracker.design.problems import Problem
from tracker.measure.length import ZERO
from tracker.plan.fasteners import fastener_of, pocket_of, through
from tracker.plan.place.placer import Placer
from tracker.plan.pocket_holes import LEAST_SEAT, LEAST_UNDER
from tracker.plan.screws.clearance import LEAST_CLEARANCE, Clearance
from tracker.plan.screws.mate_holes import MateHole, is_bored, mate_hole, mate_words
from tracker.plan.screws.proposing import MOST_HOLES, holes_of
from tracker.plan.screws.rods import Screw
from tracker.plan.screws.survey import Survey, surveys
from tracker.plan.screws.words import hole_words, meets_words, mm_words, nearest_words
from tracker.words import say


def screw_problems(build: Build, placer: Placer | None = None) -> tuple[Problem, ...]:
    """Check every line of screws, dowels and bolts against everything around it; the worst of each line is reported
    once."""
    if not any(hole.fastens for part in build.parts for hole in part.holes):
        return ()
    if holes_of(build) > MOST_HOLES:
        what = say(
            "a build of more than {most} holes isn't checked for screws that run into each other",
            most=MOST_HOLES,
        )
        return tuple(sorted([Problem(0, what, "", "note"), *row_problems(build)]))
    worst: dict[tuple[str, Hole], tuple[Survey, Screw, Clearance]] = {}
    found: list[Problem] = []
    for survey in surveys(build, placer):
        for screw in survey.screws:
            hole = survey.timbers[screw.piece].part.holes[screw.row]
            if hole.fastens:
                key, near = (screw.piece[0], replace(hole, end="A")), survey.clearance(screw)
                if key not in worst or near.mm < worst[key][2].mm:
                    worst[key] = (survey, screw, near)
        found += _unbored(build, survey)
    for survey, screw, near in worst.values():
        found += _screw(build, survey, screw, near)
    return tuple(sorted(dict.fromkeys([*found, *row_problems(build)])))


def row_problems(build: Build) -> Iterator[Problem]:
    """What is wrong with a line of holes wherever its piece goes."""
    for part in build.parts:
        for row, hole in enumerate(part.holes):
            yield from _row(build, part, row, hole)


def _screw(build: Build, survey: Survey, screw: Screw, near: Clearance) -> Iterator[Problem]:
    part = survey.timbers[screw.piece].part
    hole = part.holes[screw.row]
    which = sum(each.row == screw.row for each in survey.timbers[screw.piece].solid.holes[: screw.hole])
    name = f"{part.name}: {hole_words(screw, hole, which)}"
    line = _line(part, screw.row, "from_edge", "places")
    if near.mm < 0:
        yield Problem(line, f"{name}: {meets_words(build, screw, near)}", _hint(near))
    elif near.mm < LEAST_CLEARANCE:
        clear = mm_words(build, near.mm)
        yield Problem(
            line,
            say("{name}: {clear} clear between {nearest}", name=name, clear=clear, nearest=nearest_words(build, near)),
            _hint(near),
            "note",
        )
    if screw.enters is None:
        said = say(
            "{part}: what its {kind} at end {end} goes into isn't known", part=part.name, kind=hole.kind, end=screw.end
        )
        yield Problem(line, said, say("no piece with a place is there"), "note")


def _unbored(build: Build, survey: Survey) -> Iterator[Problem]:
    """Dowels and bolts need a hole in the other piece, too: where it is, for the first of each line without one."""
    missing: dict[tuple[str, Hole], list[MateHole]] = {}
    for screw in survey.screws:
        hole = survey.timbers[screw.piece].part.holes[screw.row]
        there = mate_hole(survey, screw) if hole.kind in ("dowel", "bolt") else None
        if there is not None and not is_bored(survey, screw):
            missing.setdefault((screw.piece[0], replace(hole, end="A", from_end=None)), []).append(there)
    for (part_id, hole), holes in missing.items():
        part = build.part(part_id)
        row = next(at for at, each in enumerate(part.holes) if each.line == hole.line and each.kind == hole.kind)
        more = say(", and {count} more", count=len(holes) - 1) if len(holes) > 1 else ""
        what = say(
            "{part}: its {kind} needs a hole in {mate}{more}",
            part=part.name,
            kind=hole.kind,
            mate=mate_words(build, holes[0]),
            more=more,
        )
        yield Problem(_line(part, row, ""), what, say("kerfcard screws lists them"), "note")


def _hint(near: Clearance) -> str:
    if near.to == "screw":
        return say("move one of them along the joint")
    return {"thread": say("a shorter screw, or another place")}.get(near.rod, "another place")


def _row(build: Build, part: Part, row: int, hole: Hole) -> Iterator[Problem]:
    if not hole.fastens:
        return
    fastener = fastener_of(build, part, hole)
    thick = through(part, hole)
    if hole.kind in ("screw", "bolt"):
        if hole.recess is not None and hole.recess >= thick:
            what = say("{part}: its recess is deeper than the piece", part=part.name)
            yield Problem(
                _line(part, row, "recess"),
                what,
                say("the piece is {length} there", length=mm_words(build, float(thick))),
            )
        elif fastener.length is not None and fastener.length <= thick - (hole.recess or ZERO):
            what = say(
                "{part}: a {kind} {length} long ends in its own piece",
                part=part.name,
                kind=hole.kind,
                length=mm_words(build, float(fastener.length)),
            )
            hint = say("it goes through {length} first", length=mm_words(build, float(thick - (hole.recess or ZERO))))
            yield Problem(_line(part, row, "screw", "length"), what, hint)
        if hole.plug_diameter is not None and hole.plug_diameter <= fastener.diameter:
            key = "counterbore" if hole.kind == "bolt" else "plug"
            what = say("{part}: its {key} is no wider than its {kind}", part=part.name, key=key, kind=hole.kind)
            yield Problem(_line(part, row, key), what)
    if hole.kind in ("pocket", "screw") and fastener.length is None:
        hint = say('say it: screw = "1 1/4"')
        what = say("{part}: practice has no screw for stock of that thickness", part=part.name)
        yield Problem(_line(part, row, ""), what, hint, "note")
    deep = hole.depth if hole.kind == "dowel" else None
    if deep is not None and fastener.length is not None and fastener.length <= deep:
        what = say(
            "{part}: a dowel {length} long ends in its own hole",
            part=part.name,
            length=mm_words(build, float(fastener.length)),
        )
        yield Problem(_line(part, row, "length", "depth"), what, say("half of it goes into each piece"))
    if hole.kind == "pocket":
        yield from _pocket(build, part, row, hole)


def _pocket(build: Build, part: Part, row: int, hole: Hole) -> Iterator[Problem]:
    made, fastener = pocket_of(part, hole), fastener_of(build, part, hole)
    line = _line(part, row, "shoulder", "bore", "screw")
    if fastener.length is not None and float(fastener.length) <= made.seat:
        what = say(
            "{part}: a screw {length} long ends in its own piece",
            part=part.name,
            length=mm_words(build, float(fastener.length)),
        )
        yield Problem(
            _line(part, row, "screw"), what, say("its seat is {length} from the end", length=mm_words(build, made.seat))
        )
    if made.seat > made.deepest + 1e-6:
        what = say("{part}: the pocket's seat isn't all in the wood", part=part.name)
        yield Problem(line, what, say("{length} from the end is the most", length=mm_words(build, made.deepest)))
    elif made.under < LEAST_UNDER:
        what = say("{part}: the wood behind the pocket is too thin for its bore", part=part.name)
        yield Problem(
            line,
            what,
            say("{length} is the least; a thinner bore, or thicker stock", length=mm_words(build, LEAST_UNDER)),
            "note",
        )
    elif made.seat < LEAST_SEAT:
        what = say(
            "{part}: the screw's head has {length} of wood before it", part=part.name, length=mm_words(build, made.seat)
        )
        yield Problem(line, what, say("{length} is the least", length=mm_words(build, LEAST_SEAT)), "note")


def _line(part: Part, row: int, *keys: str) -> int:
    """The line of the first of these keys that the row of holes has, or else the row's line."""
    named = [f"holes.{row}.{key}" for key in keys if key] + [f"holes.{row}"]
    return next((part.lines[key] for key in named if key in part.lines), part.line)
