"""Screws, holes and the ends of pieces, asked directly: on a coarse grid, and in whole builds."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from kit.build_text import one_wood
from place.test_wrong_screws import HEAD, PLACE

from tracker.design import load_build
from tracker.plan.checks import measures
from tracker.plan.cuts import piece_cuts
from tracker.plan.feasibility import check
from tracker.plan.geometry import solid
from tracker.plan.loops import loop_of
from tracker.plan.outline import outline_problems
from tracker.plan.place import place_problems
from tracker.plan.place.bodies import box
from tracker.plan.place.cells import cells_of
from tracker.plan.place.poses import Pose
from tracker.plan.screws import screw_problems
from tracker.plan.screws.choose import choose, evened
from tracker.plan.screws.clearance import boxes_apart, clearance, point_to_body, segments_apart, to_faces, to_hollow
from tracker.plan.screws.mate_holes import mate_hole
from tracker.plan.screws.placed_screws import around
from tracker.plan.screws.proposing import with_places
from tracker.plan.screws.rods import Rod
from tracker.plan.screws.survey import surveys
from tracker.plan.screws.walls import Wall, _chords, to_wall
from tracker.plan.setups import plan_setups
from tracker.plan.taper_marks import taper_marks
from tracker.plan.wood import wood_problems
from tracker.plan.wood.assessment import assess

HERE = Path(__file__).parent
WHOLE_BUILDS = (
    *sorted((HERE / "builds").glob("*.toml")), *sorted((HERE.parent / "samples" / "pieces").glob("*.toml")),
)  # fmt: skip


def rods() -> Iterator[Any]:
    """Rods on a grid, near faces, hollows, walls and one another."""
    wood = box((0.0, 0.0, 0.0), (60.0, 40.0, 20.0))
    hollow = box((20.0, 10.0, 5.0), (30.0, 20.0, 20.0)).clipped((0.6, 0.8, 0.0), 30.0, "slant")
    panel = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]
    outline = [(5.0, 0.0), (55.0, 0.0), (55.0, 35.0), (30.0, 40.0), (5.0, 35.0)]
    loops = (tuple(outline), ((20.0, 10.0), (20.0, 20.0), (30.0, 20.0), (30.0, 10.0)))
    walls = [
        Wall(pose=Pose(), axes=axes, low=low, loops=loops, sawn=tuple(_chords(loops, panel)))
        for axes, low in (((0, 1), (0.0, 0.0)), ((0, 2), (-5.0, 10.0)))
    ]
    yield walls
    for seed in range(60):
        chance = random.Random(f"rods {seed}")
        a, b, c, d = (tuple(5.0 * chance.randint(0, most) for most in (12, 8, 4)) for _ in range(4))
        if a == b or c == d:
            continue
        rod = Rod(a, b, chance.choice((1.0, 2.5)), ("rail", 1), frozenset({chance.choice(("top", "A"))}), "bore")
        later = chance.choice((None, {"top": 2.0}, {}))
        yield [to_faces(rod, wood, later, sawn=sawn) for sawn in (True, False)]
        yield segments_apart(a, b, c, d), point_to_body(c, hollow), to_hollow(rod, hollow)
        yield (
            [to_wall(rod, wall, 1.0, below) for wall in walls for below in (3.0, 1e9)],
            boxes_apart(rod.box, hollow.box),
        )


def rows_of_screws() -> Iterator[Any]:
    """The best marks of a row, by the clearance at each."""
    for seed in range(40):
        chance = random.Random(f"rows {seed}")
        places = [12.0 + 4 * at for at in range(chance.randint(1, 14))]
        values = [float(chance.randint(0, 6)) for _ in places]
        for count in (1, 2, 3):
            found = choose(values, places, count, 12.0, 8.0)
            yield found, found and evened(values, places, 12.0, 8.0, found)


def whole_builds() -> Iterator[Any]:
    """Builds of every kind: what is wrong with their places, screws and outlines, and how they move and stand."""
    for path in WHOLE_BUILDS:
        build = load_build(path.read_text("utf-8")).build
        if build is None:
            continue
        built, said = with_places(build)
        yield said, place_problems(built), screw_problems(built), outline_problems(built), wood_problems(built)
        yield [screw for survey in surveys(built) for screw in survey.screws], assess(built)


MORE = (
    "", 'tapers = [{ edges = "far", end = "A", length = 200, leave = 60 }]\n',
    'route = ["cut", "drill", "taper"]\ntapers = [{ edges = "far", end = "A", length = 200, leave = 60 }]\n',
    'features = [{ kind = "notch", on = "far", from = { B = 0 }, length = 40, depth = 45 }]\n',
)  # fmt: skip
FASTENED = {
    "pocket": ("screw = 30", "screw = 57, bore = 12", "shoulder = 8", ""),
    "screw": ("screw = 30, from_end = 20, gauge = 8", "screw = 50, recess = 6, plug = 10, from_end = 20"),
    "dowel": ('face = "end", diameter = 8, length = 40', 'face = "end", diameter = 10, depth = 30, length = 90'),
}
BORED = {
    "bolt": ("diameter = 6, length = 60, from_end = 20, counterbore = 14, recess = 5", "diameter = 8, from_end = 24"),
    "through": ("diameter = 8, from_end = 20", "diameter = 4, from_end = 60"),
    "blind": ("diameter = 8, from_end = 20, depth = 12", "diameter = 8, from_end = 15, depth = 19"),
}


def screws_in_place() -> Iterator[Any]:
    """A rail on a leg with rows of screws, dowels, bolts and plain holes, some of which need a place."""
    for seed in range(40):
        chance = random.Random(f"screws {seed}")
        rows = []
        for kind in chance.choices([*FASTENED, *FASTENED, *BORED], k=chance.randint(1, 3)):
            placed = kind in FASTENED and chance.random() < 0.5
            where = f"places = {chance.randint(1, 4)}" if placed else f"from_edge = {10 * chance.randint(1, 9)}"
            end, size = chance.choice(("B", "B", "both")), chance.choice((FASTENED | BORED)[kind])
            rows.append(f'{{ kind = "{kind}", end = "{end}", {where}{size and ", "}{size} }}')
        text = f'{HEAD}\n[[parts]]\nid = "rail"\nname = "Rail"\nwood = "oak"\nlength = 300\n{MORE[seed % len(MORE)]}'
        loaded = load_build(f"{text}holes = [{', '.join(rows)}]\n{PLACE}")
        yield loaded.problems
        if loaded.build is None:
            continue
        build, said = with_places(loaded.build)
        yield said, [part.holes for part in build.parts], screw_problems(build)
        for survey in surveys(build):
            yield survey.screws, [mate_hole(survey, screw) for screw in survey.screws]
            yield [clearance(screw, survey.timbers, around(screw, survey.screws)) for screw in survey.screws]


POCKET = '"pocket", screw = 30'


def pieces() -> Iterator[Any]:
    """Pieces with slanted ends, tapers and holes, at the limits of the wood and of the saw."""
    for seed in range(60):
        chance = random.Random(f"pieces {seed}")
        lines = [f"length = {chance.choice((60, 150, 400, 1200))}", f"quantity = {chance.randint(1, 3)}"]
        for end in "ab":
            cut = {"miter": chance.choice((0, 15, 45, 60)), "bevel": chance.choice((0, 0, 10, 45, 46))}
            longer = {"long": chance.choice(("near", "far")), "long_face": chance.choice(("top", "bottom"))}
            given = [f"{key} = {value}" for key, value in cut.items() if value]
            given += [f'{key} = "{longer[key]}"' for key in longer if cut["miter" if key == "long" else "bevel"]]
            lines += [f"end_{end} = {{ {', '.join(given)} }}"] if given else []
        if chance.random() < 0.5:
            edges, leave = chance.choice(("near", "far", "both")), chance.choice((20, 60, 99))
            size = chance.choice(("length = 100", "start = 40", "length = 400", "start = 0"))
            lines.append(f'tapers = [{{ edges = "{edges}", end = "{chance.choice("AB")}", {size}, leave = {leave} }}]')
        if chance.random() < 0.6:
            hole = f'end = "{chance.choice(("A", "B", "both"))}", from_edge = {10 * chance.randint(1, 10)}'
            where = f"from_end = {10 * chance.randint(1, 5)}"
            through, blind = f'"through", diameter = 8, {where}', f'"blind", diameter = 8, depth = 20, {where}'
            lines.append(f"holes = [{{ kind = {chance.choice((through, blind, POCKET))}, {hole} }}]")
        text = one_wood("Pieces", "mm", "oak", "white oak", "thickness = 20", "width = 100", 'lengths = ["2 m"]')
        rail = ["[[parts]]", 'id = "rail"', 'name = "Rail"', 'wood = "oak"', *lines]
        loaded = load_build(f"{text}\n" + "\n".join(rail) + "\n")
        yield loaded.problems
        if loaded.build is None:
            continue
        build, (part,) = loaded.build, loaded.build.parts
        yield check(build)
        made, plan = solid(part), plan_setups(build)
        yield made.edges, made.silhouette(), made.tapers, made.holes, measures(made), taper_marks(made), plan
        yield piece_cuts(build, plan, part, 1), loop_of(build, part), [sorted(body.points) for body in cells_of(made)]


JOINED: dict[str, Callable[[], Iterator[Any]]] = {
    each.__name__: each for each in (rods, rows_of_screws, screws_in_place, pieces, whole_builds)
}
