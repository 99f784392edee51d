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
        yield Problem(outline.line_of("at"), f"{outline.id}: {_runs_off(build, each, found)}", "move or shrink it")
    for what, key in _notes(build, each):
        yield Problem(outline.line_of(key), f"{outline.id}: {what}", "", "note")


def _runs_off(build: Build, each: Outlined, found: Fit) -> str:
    where = f"the {found.side} of {each.panel.name}"
    if found.off_wood:
        return f"part of it lies on no board of {each.panel.name}"
    if found.least + each.margin < 0:
        return f"runs {read(build, -found.least - each.margin)} off {where}"
    room = read(build, found.least + each.margin)
    return f"comes within {room} of {where}, and its margin is {read(build, each.margin)}"


def _notes(build: Build, each: Outlined) -> Iterator[tuple[str, str]]:
    """Each note as a sentence and the key that it belongs to."""
    left, front, right, back = extent(each.outer)
    for size in (right - left, back - front):
        if not SMALL <= size <= LARGE:
            yield f"it is {read(build, size)} across: is its unit right?", "corners"
    for board in boards(each):
        if board.area > 0 and board.widest < SLIVER:
            yield f"a sliver of {board.name} stays, {read(build, board.widest)} wide", "at"
    yield from ((_neck(build, neck.width, neck.at, neck.as_strong_as), "") for neck in necks_of(each) if is_weak(neck))
    for place in short_grain_of(each)[:MOST_NAMED]:
        yield (
            (
                f"short grain at {_at(build, place.at)}: {read(build, place.reach)} across the grain on fibres of "
                f"{read(build, place.longest)} at most"
            ),
            "",
        )
    for mark in each.marks:
        gap, half = _from_line(each, mark.at), (mark.diameter or 0.0) / 2
        if -half < gap < half + float(build.shop.wander):  # further out, the hole is drilled into the waste
            yield f"a {mark.words} at {_at(build, mark.at)} is {read(build, max(gap - half, 0.0))} from the line", ""
    missing = _none_gets_round(tools(build.shop, each))
    if missing:
        yield missing, ""


def _neck(build: Build, width: float, at: Point, strong: float) -> str:
    straight = f"{strong:.1f} mm" if build.units == "mm" else f"{strong / 25.4:.2f} in"
    return f"a neck of {read(build, width)} at {_at(build, at)} is as strong as {straight} of straight grain"


def _none_gets_round(found: tuple[Tool, ...]) -> str:
    """The kinds of tool that the shop has, but none small enough."""
    kinds = {tool.kind for tool in found} - {tool.kind for tool in found if tool.enough}
    bend = {"blade": "turns its curves", "bit": "gets into its bends", "drum": "gets into its bends"}
    return "; ".join(f"no {kind} of the shop {bend[kind]}" for kind in sorted(kinds))


def _at(build: Build, point: Point) -> str:
    return ", ".join(read(build, value) for value in point)


def _from_line(each: Outlined, point: Point) -> float:
    """How far a point is from the nearest edge; negative outside the outline."""
    polygons = [flat(loop, 0.5) for loop in each.loops]
    gap = min(distance(points, point) for points in polygons)
    return gap if inside(polygons[0], point) and not any(inside(each, point) for each in polygons[1:]) else -gap
