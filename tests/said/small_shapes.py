"""Shapes of wood and what is worked out about them, asked directly: on a coarse grid, so that much meets, touches or is
equally far."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from typing import Any

from outlines.outline_kit import FORK, SEAT, build_with, random_outline
from place.box_build import build_of
from plan.random_features import build_text as feature_text
from plan.random_features import random_board

from tracker.design import load_build
from tracker.design.model import Build
from tracker.plan.checks import measures
from tracker.plan.contact import glue_lines
from tracker.plan.convex import Point
from tracker.plan.feasibility import check
from tracker.plan.features import features_of
from tracker.plan.features.problems import feature_problems
from tracker.plan.features.taken import bodies_of, other_work
from tracker.plan.features.volume import featured, net_volume
from tracker.plan.geometry import solid
from tracker.plan.outline import OutlineError, boards, fit, outline_problems, outlined
from tracker.plan.outline.bends import least_turn, tightest
from tracker.plan.outline.crossings import crossings
from tracker.plan.outline.curve import Line, Loop, distance, extent, flat, inside, moments, perimeter
from tracker.plan.outline.necks import necks
from tracker.plan.outline.offset import for_bush
from tracker.plan.outline.short_grain import short_grain
from tracker.plan.outline.svg_path import svg_loops
from tracker.plan.place import Placer, place_problems
from tracker.plan.place.cells import cells_of
from tracker.plan.place.meetings import loose, meetings
from tracker.plan.place.placed import PlaceError
from tracker.plan.place.separation import separation


def polygons() -> Iterator[Any]:
    """Polygons with corners on a grid: what is inside, what crosses, where grain is short and where it is narrow."""
    for seed in range(30):
        chance = random.Random(f"polygons {seed}")
        corners = [(10.0 * chance.randint(0, 9), 10.0 * chance.randint(0, 9)) for _ in range(chance.randint(2, 9))]
        loop = _ring(corners)
        yield crossings([loop], chance.choice((1, 3, 99))), moments(loop), extent(loop), perimeter(loop)
        second = _ring([(x + 10.0, y) for x, y in corners[::-1]])
        yield crossings([loop, second], 99), tightest(loop, [second]), least_turn(loop, [second])
        grid = [(10.0 * x, 10.0 * y) for x in range(-1, 11, 2) for y in range(-1, 11, 2)]
        yield [(inside(corners, point), distance(corners, point)) for point in grid]
        grain = 45.0 * chance.randint(0, 4)
        yield short_grain([corners, corners[:3]], grain, 5.0), necks(loop, [second], lambda _, grain=grain: grain)


def _ring(corners: list[Point]) -> Loop:
    return tuple(Line(corners[at - 1], corner) for at, corner in enumerate(corners))


PATHS = (
    "M0 0H40V30z", "m5 5h40v30h-40zm100,0 10 0 0 10z", "M0 0L10 0 10 10 0 10 0 0", "M0 0C10 20 30 20 40 0S60-20 80 0z",
    "M0 0Q20 40 40 0T80 0L40-60z", "M0 0T10 10L0 10z", "M0 0S10 10 20 0z", "M0 0A20 10 30 0110 10A5 5 0 1 0 0 0z",
    "M0 0a0 5 0 0 1 10 10L0 10z", "M0 0A5 5 0 0 1 0 0L9 0 9 9z", "M1 1A20 20 0 1 1 30 30A20 30 15 0 0 1 1z", "", "z",
    "L0 0", "M0 0L10 0L10 10", "M0 0H10V10H0V.0000001", "M0 0 L 1", "M0 0 x", "M1e8 0z", "M1e7 0H1e3z", "M0 0z1 1",
    "M0 0zM1 1z",     "M0,0,10,0,10,10z", "M0 0h1e-13h10v10z", "M.5.5-3-4+2 7z",
)  # fmt: skip


def svg_paths() -> Iterator[Any]:
    """Path data, good and bad, whether open paths are closed or not."""
    for d in PATHS:
        for closing in (False, True):
            try:
                loops = svg_loops(d, closing)
            except OutlineError as wrong:
                yield str(wrong.what), wrong.hint
                continue
            yield [[(type(part).__name__, part.at(0.3), part.at(1.0), part.length) for part in loop] for loop in loops]
            yield [(flat(loop, 0.5), moments(loop), extent(loop)) for loop in loops]


def outlines() -> Iterator[Any]:
    """Outlines of glued panels with what is said about them."""
    odd = (SEAT, FORK, 'corners = [[0, 0], [170, 0], [170, 300], [0, 300]]\nmirror = "both"\n')
    for seed in range(6 + len(odd)):
        chance = random.Random(f"outlines {seed}")
        text = odd[seed] if seed < len(odd) else random_outline(chance)
        at = f"at = {{ left = {chance.choice((0, 10, 700))}, front = {chance.choice((0, 60, 119, 120))} }}\n"
        build = build_with(text if "cutouts" in text else text + (at if seed % 2 else ""))
        yield outline_problems(build)
        try:
            each = outlined(build, Placer(build), build.outlines[0])
        except OutlineError as wrong:
            yield str(wrong.what)
            continue
        yield fit(each), boards(each), each.seams, each.marks, tightest(each.outer, each.cutouts)
        try:
            yield [flat(loop, 1.0) for loop in for_bush(each, 17.0, 8.0).loops]
        except OutlineError as wrong:
            yield str(wrong.what)


def features() -> Iterator[Any]:
    """What random features take, where they are on the piece, and what they may not meet."""
    for seed in range(16):
        chance = random.Random(f"small features {seed}")
        board = random_board(chance)
        if seed % 2:  # they come into one another's way
            for row in board.rows:
                for key in sorted({"A", "B"} & row.get("from", {}).keys()):
                    row["from"][key] = 40.0 * chance.randint(0, 4)
        build = load_build(feature_text(board)).build
        if build is None:
            yield "no build"
            continue
        yield from _featured(build)


def _featured(build: Build) -> Iterator[Any]:
    for part in build.parts:
        made = solid(part)
        cells, shapes = cells_of(made), features_of(part, made)
        bodies = featured(cells, shapes)
        yield net_volume(made, bodies, shapes), [sorted(body.points) for body in bodies], shapes
        yield list(feature_problems(build, part, made)), [name for name, _ in other_work(build, part, made, cells[0])]
        yield [len(bodies_of(shape, bodies[0])) for shape in shapes if bodies], measures(made), check(build)


def boxes_in_place() -> Iterator[Any]:
    """Pieces of an assembly put down on a grid: what meets, what is loose, and what is wrong."""
    ways = ("top front", "A up, near left", "far up, A left", "bottom right, A front", "B up, far front")
    for seed in range(24):
        chance = random.Random(f"places {seed}")
        rows, joins = [], dict[str, int]()
        for part in chance.choices(("post", "odd", "leg", "hand"), k=chance.randint(1, 3)):
            joins[part] = joins.get(part, 0) + 1
            left, front, top = 20 * chance.randint(0, 6), 20 * chance.randint(0, 3), 100 * chance.randint(1, 3)
            at = f"left = {left}, front = {front}, top = {top}"
            turn = f", turn = {chance.choice((15, 90))}" if chance.random() < 0.2 else ""
            hand = ', hand = "left"' if part == "hand" else ""
            rows.append(f'{{ part = "{part}", lies = "{chance.choice(ways)}"{hand}, at = {{ {at} }}{turn} }}')
        try:
            build = build_of(", ".join(rows), ", ".join(f"{part} = {n}" for part, n in joins.items()))
        except AssertionError as wrong:
            yield str(wrong)
            continue
        yield place_problems(build)
        placer = Placer(build)
        try:
            placed = placer.placed("box", 1)
        except PlaceError as wrong:
            yield str(wrong)
            continue
        found = meetings(placed)
        yield found, loose(placed, found), glue_lines(placed)
        yield [separation(a.cells[0], b.cells[0]) for a in placed for b in placed if a is not b]


SHAPES: dict[str, Callable[[], Iterator[Any]]] = {
    each.__name__: each for each in (polygons, svg_paths, outlines, features, boxes_in_place)
}
