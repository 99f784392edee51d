"""An outline for the screen: drawn on its panel with seams and grain, and what to know before sawing it."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.cards.template.template import grain_arrows
from tracker.design.model import Build, Part
from tracker.plan.convex import Point
from tracker.plan.geometry import solid
from tracker.plan.outline import Outlined, OutlineError, fit, outlined
from tracker.plan.outline.bends import tightest
from tracker.plan.outline.curve import extent, flat, perimeter
from tracker.plan.outline.problems import read, said_wrong
from tracker.plan.outline.tools import Tool, tools
from tracker.plan.outline.weak_places import is_weak, necks_of, short_grain_of
from tracker.plan.outline.whole_piece import whole_piece
from tracker.plan.place.placer import Placer
from tracker.words import say
from tracker.words.sides import side

_SMOOTH = 0.2
"""The largest error, in millimetres of the panel, of a curve on the screen."""


class OutlineDrawing(Struct, frozen=True, kw_only=True):
    """What is drawn, in millimetres of the panel: its size, lines and polygons. The first loop is the outer edge."""

    size: Point
    boards: tuple[tuple[Point, ...], ...]
    loops: tuple[tuple[Point, ...], ...]
    seams: tuple[tuple[Point, Point], ...]
    arrows: tuple[tuple[Point, ...], ...]
    marks: tuple[Point, ...]


class OutlineCard(Struct, frozen=True, kw_only=True):
    """One outline. `why` says why it can't be shown; then nothing is drawn."""

    id: str
    title: str
    said: tuple[str, ...] = ()
    drawing: OutlineDrawing | None = None
    why: str = ""


class TemplateChoice(Struct, frozen=True, kw_only=True):
    """Something of the build that can be printed at full size."""

    id: str
    title: str
    said: str


def _names(build: Build) -> dict[str, str]:
    return {each.id: each.name for each in build.parts} | {each.id: each.name for each in build.assemblies}


def template_choices(build: Build) -> tuple[TemplateChoice, ...]:
    """Every outline, then every part with odd ends or tapers."""
    names = _names(build)
    outlines = [
        TemplateChoice(id=each.id, title=each.id, said=say("sawn from {names}", names=names[each.of]))
        for each in build.outlines
    ]
    parts = [
        TemplateChoice(id=part.id, title=part.name, said=say("its ends and tapers"))
        for part in build.parts
        if _odd(part)
    ]
    return (*outlines, *parts)


def _odd(part: Part) -> bool:
    if part.tapers:
        return True
    try:
        return not solid(part, part.first_hand).square
    except ValueError:
        return False


def found(build: Build, id_: str) -> Outlined:
    """An outline by its id, or a part's own shape. Raises OutlineError with a sentence for the user."""
    outline = next((written for written in build.outlines if written.id == id_), None)
    if outline is None:
        part = build.part(id_)
        return whole_piece(build, Placer(build), id_, part.first_hand)
    try:
        return outlined(build, Placer(build), outline)
    except OutlineError as wrong:
        raise OutlineError(said_wrong(build, outline, wrong).what) from wrong


def outline_card(build: Build, id_: str, *, with_necks: bool = True) -> OutlineCard:
    """The card of an outline. `with_necks` takes a tenth of a second more."""
    try:
        each = found(build, id_)
    except OutlineError as wrong:
        return OutlineCard(id=id_, title=id_, why=str(wrong))
    said = (*_facts(build, each), *(_weak(build, each) if with_necks else ()))
    return OutlineCard(id=id_, title=_title(build, each), said=said, drawing=drawing_of(each))


def _title(build: Build, each: Outlined) -> str:
    """`Seat: seat-edge`: the maker's own id says little without what it is sawn from."""
    written = next((outline for outline in build.outlines if outline.id == each.id), None)
    return f"{_names(build)[written.of]}: {each.name}" if written else each.name


def drawing_of(each: Outlined) -> OutlineDrawing:
    moved = [tuple(each.on_panel(point) for point in flat(loop, _SMOOTH)) for loop in each.loops]
    return OutlineDrawing(
        size=each.panel.size,
        boards=tuple(board.corners for board in each.panel.boards),
        loops=tuple(moved),
        seams=each.panel.seams,
        arrows=tuple(tuple(each.on_panel(point) for point in run) for run in grain_arrows(each)),
        marks=tuple(mark.at for mark in each.panel.marks),
    )


def _facts(build: Build, each: Outlined) -> Iterator[str]:
    left, front, right, back = extent(each.outer)
    lies = fit(each)
    edges = sum(map(perimeter, each.loops))
    yield say(
        "{right} × {back}, {edges} of edge",
        right=read(build, right - left),
        back=read(build, back - front),
        edges=read(build, edges),
    )
    if lies.off_wood:
        yield say("It doesn't fit: part of it is on no board")
    elif lies.fits:
        yield say("{least} to spare on the {side}", least=read(build, lies.least), side=side(lies.side))
    else:
        yield say("It doesn't fit: {least} too far on the {side}", least=read(build, -lies.least), side=side(lies.side))
    bend = tightest(each.outer)
    if bend is not None:
        yield say("Tightest inside bend: radius {radius}", radius=read(build, bend.radius))
    yield from _gets_round(build, tools(build.shop, each))


_TOOLS = {"blade": say("blade"), "bit": say("bit"), "drum": say("drum")}


def _gets_round(build: Build, known: tuple[Tool, ...]) -> Iterator[str]:
    """For each kind of tool the largest that can follow the outline, or that none can."""
    for kind in dict.fromkeys(tool.kind for tool in known):
        best = next((tool for tool in known if tool.kind == kind and tool.enough), None)
        if best is None:
            yield say("No {kind} of the shop fits", kind=_TOOLS.get(kind, kind))
        else:
            yield say(
                "Largest {kind} that fits: {size}",
                kind=_TOOLS.get(kind, kind),
                size=read(build, float(best.size)),
            )


def _weak(build: Build, each: Outlined) -> Iterator[str]:
    weak = [neck for neck in necks_of(each) if is_weak(neck)]
    if weak:
        yield say("Weak: a neck of {width} across the grain", width=read(build, weak[0].width))
    short = short_grain_of(each)
    if short:
        yield say("Weak: short grain, {longest} fibres at most", longest=read(build, short[0].longest))
