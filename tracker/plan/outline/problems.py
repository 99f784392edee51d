"""Problems and notes on the outlines of a build, each with its line."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.design.model import Build
from tracker.design.outline import Outline
from tracker.design.problems import Problem
from tracker.measure import Length, read_length
from tracker.plan.convex import Point
from tracker.plan.outline.curve import distance, extent, flat, inside
from tracker.plan.outline.errors import OutlineError
from tracker.plan.outline.outlined import Fit, Outlined, boards, fit, outlined
from tracker.plan.outline.tools import Tool, tools
from tracker.plan.outline.weak_places import is_weak, necks_of, short_grain_of
from tracker.plan.place.placer import Placer
from tracker.words import say
from tracker.words.sides import side

SLIVER = 10.0
"""Millimetres: a narrower remainder of a board is a sliver. Common practice, no source."""
LARGE, SMALL = 3000.0, 10.0
MOST_NAMED = 5


def outline_problems(build: Build) -> tuple[Problem, ...]:
    """Check every outline against its panel, the grain and the shop's tools."""
    placer = Placer(build)
    return tuple(problem for outline in build.outlines for problem in _problems(build, placer, outline))


def said_wrong(build: Build, outline: Outline, wrong: OutlineError) -> Problem:
    """An outline's problem in words, with lengths in the build's units."""
    what = wrong.what.format(*(read(build, length) for length in wrong.lengths))
    return Problem(outline.line_of(wrong.key), f"{outline.id}: {what}", wrong.hint)


def read(build: Build, millimetres: float) -> str:
    return read_length(Length.of(millimetres, "mm"), build.shop.mark).plain


def _problems(build: Build, placer: Placer, outline: Outline) -> Iterator[Problem]:
    try:
        each = outlined(build, placer, outline)
    except OutlineError as wrong:
        yield said_wrong(build, outline, wrong)
        return
    found = fit(each)
    if not found.fits:
        yield Problem(outline.line_of("at"), f"{outline.id}: {_runs_off(build, each, found)}", say("move or shrink it"))
    for what, key in _notes(build, each):
        yield Problem(outline.line_of(key), f"{outline.id}: {what}", "", "note")


def _runs_off(build: Build, each: Outlined, found: Fit) -> str:
    where = say("the {side} of {panel}", side=side(found.side), panel=each.panel.name)
    if found.off_wood:
        return say("part of it lies on no board of {panel}", panel=each.panel.name)
    if found.least + each.margin < 0:
        return say("runs {least} off {where}", least=read(build, -found.least - each.margin), where=where)
    room = read(build, found.least + each.margin)
    return say(
        "comes within {room} of {where}, and its margin is {margin}",
        room=room,
        where=where,
        margin=read(build, each.margin),
    )


def _notes(build: Build, each: Outlined) -> Iterator[tuple[str, str]]:
    """Each note as a sentence and the key that it belongs to."""
    left, front, right, back = extent(each.outer)
    for size in (right - left, back - front):
        if not SMALL <= size <= LARGE:
            yield say("it is {size} across: is its unit right?", size=read(build, size)), "corners"
    for board in boards(each):
        if board.area > 0 and board.widest < SLIVER:
            yield (
                say("a sliver of {board} stays, {widest} wide", board=board.name, widest=read(build, board.widest)),
                "at",
            )
    weak = [neck for neck in necks_of(each) if is_weak(neck)]
    yield from ((_neck(build, neck.width, neck.at, neck.as_strong_as), "") for neck in weak[:MOST_NAMED])
    for place in short_grain_of(each)[:MOST_NAMED]:
        yield (
            (
                say(
                    "short grain at {at}: {reach} across the grain on fibres of {longest} at most",
                    at=_at(build, place.at),
                    reach=read(build, place.reach),
                    longest=read(build, place.longest),
                )
            ),
            "",
        )
    for mark in each.marks:
        gap, half = _from_line(each, mark.at), (mark.diameter or 0.0) / 2
        if -half < gap < half + float(build.shop.wander):  # further out, the hole is drilled into the waste
            yield (
                say(
                    "a {mark} at {at} is {gap} from the line",
                    mark=mark.words,
                    at=_at(build, mark.at),
                    gap=read(build, max(gap - half, 0.0)),
                ),
                "",
            )
    missing = _none_gets_round(tools(build.shop, each))
    if missing:
        yield missing, ""


def _neck(build: Build, width: float, at: Point, strong: float) -> str:
    straight = f"{strong:.1f} mm" if build.units == "mm" else f"{strong / 25.4:.2f} in"
    return say(
        "a neck of {width} at {at} is as strong as {straight} of straight grain",
        width=read(build, width),
        at=_at(build, at),
        straight=straight,
    )


def _none_gets_round(found: tuple[Tool, ...]) -> str:
    """The kinds of tool that the shop has, but none small enough."""
    kinds = {tool.kind for tool in found} - {tool.kind for tool in found if tool.enough}
    bend = {"blade": say("turns its curves"), "bit": say("gets into its bends"), "drum": say("gets into its bends")}
    return "; ".join(say("no {kind} of the shop {bend}", kind=kind, bend=bend[kind]) for kind in sorted(kinds))


def _at(build: Build, point: Point) -> str:
    return ", ".join(read(build, value) for value in point)


def _from_line(each: Outlined, point: Point) -> float:
    """How far a point is from the nearest edge; negative outside the outline."""
    polygons = [flat(loop, 0.5) for loop in each.loops]
    gap = min(distance(points, point) for points in polygons)
    return gap if inside(polygons[0], point) and not any(inside(each, point) for each in polygons[1:]) else -gap
