"""Distances of rods, faces, hollows and curves, against scipy's least squares and shapely's plane geometry.

They are checked to be exact; `test_screws_judged` asks only that no clearance is too great."""

from __future__ import annotations

import random
from collections.abc import Sequence
from math import cos, hypot, pi, radians, sin

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from place.mesh_clearances import KEY, random_case, screw_of
from scipy.optimize import lsq_linear, nnls

from tracker.plan.place.bodies import Body, Vector, box, dot, unit
from tracker.plan.place.poses import Pose
from tracker.plan.screws.clearance import (
    FAR,
    Clearance,
    boxes_apart,
    clearance,
    point_to_body,
    rods_apart,
    segments_apart,
    to_faces,
    to_hollow,
    to_screws,
)  # fmt: skip
from tracker.plan.screws.placed_screws import coaxial, entering, leaving
from tracker.plan.screws.rods import Rod, Screw, run_out
from tracker.plan.screws.timber import Timber
from tracker.plan.screws.walls import CHORD, OUTLINE, WASTE, Wall, _chords, to_wall

Array = NDArray[np.float64]
SEEDS = range(40)


def anywhere(chance: random.Random, reach: float = 20.0) -> Vector:
    return (chance.uniform(-reach, reach), chance.uniform(-reach, reach), chance.uniform(-reach, reach))


def block(chance: random.Random) -> Body:
    """A block with a corner or two sawn off; the origin is inside."""
    low = (chance.uniform(-9, -4), chance.uniform(-9, -4), chance.uniform(-9, -4))
    body = box(low, (chance.uniform(4, 9), chance.uniform(4, 9), chance.uniform(4, 9)))
    for number in range(chance.randint(0, 2)):
        body = body.clipped(unit(anywhere(chance, 1.0)), chance.uniform(3, 6), f"taper {number}")
    return body


def rod(a: Vector, b: Vector, radius: float = 1.0, *opens: str) -> Rod:
    return Rod(a, b, radius, KEY, frozenset(opens), "thread")


# -- two points of convex hulls that are nearest, by non-negative least squares


def hulls_apart(one: Sequence[Vector], two: Sequence[Vector]) -> float:
    """The distance of two convex hulls: shares of the corners, not negative, that add up to one for each hull."""
    heavy = 1e5
    a, b = np.array(one), np.array(two)
    rows = np.vstack([np.hstack([a.T, -b.T]), np.zeros((2, len(a) + len(b)))])
    rows[3, : len(a)] = rows[4, len(a) :] = heavy
    shares, _ = nnls(rows, np.array([0, 0, 0, heavy, heavy]))
    return float(np.linalg.norm(rows[:3] @ shares))


@pytest.mark.parametrize("seed", SEEDS)
def test_two_segments(seed: int) -> None:
    chance = random.Random(seed)
    p, q, r, s = (anywhere(chance, 5.0) for _ in range(4))
    ways = np.column_stack([np.subtract(q, p), np.subtract(r, s)])
    shares = lsq_linear(ways, np.subtract(r, p), bounds=(0, 1), tol=1e-14).x
    truly = float(np.linalg.norm(ways @ shares - np.subtract(r, p)))
    assert segments_apart(p, q, r, s) == pytest.approx(truly, abs=1e-6)
    assert rods_apart(rod(p, q, 0.5), rod(r, s, 0.75)) == pytest.approx(truly - 1.25, abs=1e-6)


@pytest.mark.parametrize(
    ("third", "fourth", "apart"),
    [
        ((0, 3, 0), (10, 3, 0), 3.0),  # side by side
        ((20, 3, 0), (14, 3, 0), 5.0),  # in one direction, 4 beyond the end and 3 beside it
        ((-4, 0, 3), (-9, 0, 3), 5.0),
        ((5, -1, 2), (5, 1, 2), 2.0),  # crossing
        ((5, 1, 2), (5, 9, 2), hypot(1, 2)),
        ((10, 0, 0), (10, 5, 0), 0.0),  # touching
    ],
)
def test_segments_that_are_parallel_or_meet(third: Vector, fourth: Vector, apart: float) -> None:
    """The first goes from the origin to (10, 0, 0); by Pythagoras."""
    assert segments_apart((0, 0, 0), (10, 0, 0), third, fourth) == pytest.approx(apart)
    assert segments_apart(third, fourth, (10, 0, 0), (0, 0, 0)) == pytest.approx(apart)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_point_and_a_rod_and_a_hollow(seed: int) -> None:
    chance = random.Random(seed)
    body, point, other = block(chance), anywhere(chance), anywhere(chance)
    heights = [dot(plane.normal, point) - plane.distance for plane in body.planes]
    truly = hulls_apart(body.points, [point]) if max(heights) > 0 else max(heights)
    assert point_to_body(point, body) == pytest.approx(truly, abs=1e-5)
    apart = hulls_apart(body.points, [point, other])
    if apart > 0.1:  # ours is never more, and hardly less
        assert apart - 2e-3 <= to_hollow(rod(point, other, 0.5), body) + 0.5 <= apart
    else:
        assert to_hollow(rod(point, other, 0.5), body) <= -0.4


@pytest.mark.parametrize("seed", SEEDS)
def test_a_flat_ended_rod_and_the_faces(seed: int) -> None:
    """The rims of both ends, every half degree, against each face that it may not come out of."""
    chance = random.Random(seed)
    body, a, b, radius = block(chance), anywhere(chance, 3.0), anywhere(chance, 3.0), chance.uniform(0.2, 2)
    opens, later = chance.choice(["top", "A", ""]), chance.choice(["taper 0", "far"])
    way = np.subtract(b, a) / np.linalg.norm(np.subtract(b, a))
    u = np.cross(way, (1.0, 0, 0) if abs(way[0]) < 0.9 else (0, 1.0, 0))
    u, turn = u / np.linalg.norm(u), np.linspace(0, 2 * pi, 720, endpoint=False)
    ring = radius * (np.outer(np.cos(turn), u) + np.outer(np.sin(turn), np.cross(way, u)))
    rims = np.vstack([ring + a, ring + b])
    gaps = {plane.name: plane.distance - float((rims @ plane.normal).max()) for plane in body.planes}
    gaps.pop(opens, None)
    straying = {name: gap - (2.5 if name == later else 0.0) for name, gap in gaps.items()}
    unsawn = {name: gap for name, gap in gaps.items() if name != later}
    this = rod(a, b, radius, opens)
    for found, wanted in (
        (to_faces(this, body), gaps),
        (to_faces(this, body, {later: 2.5}), straying),
        (to_faces(this, body, {later: 2.5}, sawn=False), unsawn),
    ):
        assert found[0] == pytest.approx(min(wanted.values()), abs=1e-3)
        assert wanted[found[1]] == pytest.approx(min(wanted.values()), abs=1e-3)


@pytest.mark.parametrize("seed", SEEDS)
def test_two_boxes(seed: int) -> None:
    chance = random.Random(seed)
    one, two = (
        tuple(
            zip(*(sorted(pair) for pair in zip(anywhere(chance, 9.0), anywhere(chance, 9.0), strict=True)), strict=True)
        )
        for _ in range(2)
    )
    corners = [[(x, y, z) for x in (a[0], b[0]) for y in (a[1], b[1]) for z in (a[2], b[2])] for a, b in (one, two)]
    assert boxes_apart(one, two) == pytest.approx(hulls_apart(*corners), abs=1e-4)


def test_the_box_of_a_rod_holds_its_round_ends() -> None:
    low, high = rod((1, 5, -2), (4, 3, -2), 0.5).box
    assert (low, high) == ((0.5, 2.5, -2.5), (4.5, 5.5, -1.5))


# -- the nearest thing, with its name

WOOD = box((0, 0, 0), (100, 60, 20))
UPRIGHT = rod((50, 30, 0), (50, 30, 20), 2.0, "top", "bottom")
"""30 from the near edge and from the far one, and 50 from the ends."""


def timber(**more: object) -> Timber:
    return Timber(key=KEY, part=None, solid=None, pose=Pose(), wood=WOOD, **more)  # type: ignore[arg-type]


def nearest(this: Screw, others: Sequence[Screw] = (), **more: object) -> Clearance:
    return clearance(this, {KEY: timber(**more)}, others)


def named(found: Clearance) -> tuple[float, str, str, str]:
    return round(found.mm, 2), found.rod, found.to, found.name


def test_the_nearest_thing_is_named() -> None:
    """By hand: 28 to the far edge (the near one is opened); a hollow 12 mm away; a dowel 5 mm away."""
    screw = screw_of((rod((50, 30, 0), (50, 30, 20), 2.0, "top", "bottom", "near"),))
    assert named(nearest(screw)) == (28.0, "thread", "face", "far")
    assert nearest(screw).piece == KEY
    mortise = ("mortise", box((64, 20, 0), (80, 40, 20)))
    assert named(nearest(screw, hollows=(mortise,))) == (12.0, "thread", "hollow", "mortise")
    dowel = screw_of((Rod((60, 30, 0), (60, 30, 20), 3.0, KEY, frozenset(), "dowel"),))
    found = nearest(screw, [dowel], hollows=(mortise,))
    assert named(found) == (5.0, "thread", "screw", "dowel")
    assert found.other is dowel
    elsewhere = screw_of((Rod((60, 30, 0), (60, 30, 20), 3.0, ("leg", 1), frozenset(), "dowel"),))
    assert to_screws(screw, [elsewhere], Clearance(FAR)).other is None, "a screw of another piece"
    assert clearance(screw, {KEY: timber()}, (), 28.0).to == "", "only what is nearer than asked for"
    assert clearance(screw, {KEY: timber()}, (), 28.5).to == "face"


def test_a_temporary_screw_is_out_before_the_saw_comes() -> None:
    """The far edge is trimmed later, and the saw may stray by 3 mm; a curve runs 20 mm from the middle."""
    fixed = screw_of((UPRIGHT,))
    out = Screw(
        piece=KEY, hole=0, kind="screw", end="A", face="top", row=0, rods=(UPRIGHT,), mouth=UPRIGHT.a, tip=UPRIGHT.b,
        temporary=True,
    )  # fmt: skip
    assert named(nearest(fixed, later={"far": 3.0})) == (25.0, "thread", "face", "far")
    assert named(nearest(out, later={"far": 3.0})) == (28.0, "thread", "face", "near")
    ring = ((30.0, 10.0), (70.0, 10.0), (70.0, 50.0), (30.0, 50.0))
    wall = wall_of((ring,))
    assert named(nearest(fixed, walls=(wall,), wander=4.0)) == (round(20 - 2 - 4 - CHORD, 2), "thread", "face", OUTLINE)
    assert named(nearest(out, walls=(wall,), wander=4.0)) == (28.0, "thread", "face", "near")


# -- curves that are sawn later


def wall_of(loops: Sequence[Sequence[tuple[float, float]]], low: tuple[float, float] = (0.0, 0.0)) -> Wall:
    sawn = tuple((loop[at - 1], point) for loop in loops for at, point in enumerate(loop))
    return Wall(pose=Pose(), axes=(0, 1), low=low, loops=tuple(map(tuple, loops)), sawn=sawn)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_rod_and_a_curve(seed: int) -> None:
    """A round panel with a round hole, as polygons; in the waste the distance counts as negative."""
    chance = random.Random(seed)
    turn = [2 * pi * at / 24 for at in range(24)]
    outer = [(60 * cos(t), 60 * sin(t)) for t in turn]
    hole = [(10 + 15 * cos(t), 15 * sin(t)) for t in turn]
    low = anywhere(chance)[:2]
    a, b = anywhere(chance, 70.0), anywhere(chance, 70.0)
    b = tuple(x + (y - x) / 6 for x, y in zip(a, b, strict=True)) if seed % 5 else a
    shadow = [(p[0] - low[0], p[1] - low[1]) for p in (a, b)]
    axis = shapely.LineString(shadow)
    panel = shapely.Polygon(outer, [hole])
    gap = axis.distance(panel.boundary) - 1.5 - 2.0 - CHORD
    kept = panel.contains(shapely.Point(np.mean(shadow, axis=0)))
    found, name = to_wall(rod(a, b, 1.5), wall_of((outer, hole), low), 2.0, 100.0)
    assert (found, name) == (pytest.approx(gap if kept else -abs(gap)), OUTLINE if kept else WASTE)
    near = to_wall(rod(a, b, 1.5), wall_of((outer, hole), low), 2.0, 5.0)[0]
    assert near == pytest.approx(np.sign(found) * min(abs(found), 5.0) if kept or abs(found) < 5 else -5.0)


def test_what_lies_along_an_edge_is_not_sawn() -> None:
    """The left and the lower edge are the panel's own, within half a millimetre; the other two are sawn."""
    panel = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)]
    loop = [(0.4, 0.4), (99.0, 0.4), (99.0, 49.0), (0.4, 49.0)]
    assert list(_chords([loop], panel)) == [((99.0, 0.4), (99.0, 49.0)), ((99.0, 49.0), (0.4, 49.0))]
    off = [(0.6, 0.6), (99.6, 0.6), (99.6, 49.6), (0.6, 49.6)]
    assert list(_chords([off], panel)) == [((0.6, 49.6), (0.6, 0.6)), ((0.6, 0.6), (99.6, 0.6))]


# -- lines through a piece, and holes for one fastener


@pytest.mark.parametrize("seed", SEEDS)
def test_where_a_line_leaves_a_body_and_where_it_enters(seed: int) -> None:
    """Found by halving: the last point of the line that is in the body."""
    chance = random.Random(seed)
    body, start, way = block(chance), anywhere(chance, 2.0), unit(anywhere(chance, 1.0))

    def farthest(sign: int) -> float:
        low, high = 0.0, 60.0
        for _ in range(50):
            half = (low + high) / 2
            point = tuple(s + sign * half * w for s, w in zip(start, way, strict=True))
            held = all(dot(plane.normal, point) <= plane.distance for plane in body.planes)
            low, high = (half, high) if held else (low, half)
        return low

    def face_at(far: float) -> str:
        point = tuple(s + far * w for s, w in zip(start, way, strict=True))
        return min(body.planes, key=lambda plane: abs(dot(plane.normal, point) - plane.distance)).name

    found, face = leaving(body, start, way)
    assert found == pytest.approx(farthest(1), abs=1e-6)
    assert face == face_at(farthest(1))
    assert entering(body, start, way) == face_at(-farthest(-1))


def test_a_bore_begins_where_all_of_its_flat_end_is_outside() -> None:
    """A 9.5 mm bore at 15° (tan 15° = 0.26795): 4.75 / 0.26795 = 17.727."""
    assert run_out(4.75, 15) == pytest.approx(17.727, abs=1e-3)
    assert run_out(4.75, 15) * sin(radians(15)) == pytest.approx(4.75 * cos(radians(15)))


def hole(kind: str, radius: float, piece: str = "leg", off: float = 0.0, slant: float = 0.0) -> Screw:
    a, b = (0.0, off, 0.0), (30.0, off + slant, 0.0)
    key = (piece, 1)
    return Screw(
        piece=key, hole=0, kind=kind, end="A", face="top", row=0, rods=(Rod(a, b, radius, key, frozenset(), "x"),),
        mouth=a, tip=b,
    )  # type: ignore[arg-type]  # fmt: skip


def test_two_holes_are_for_one_fastener_where_their_axes_coincide() -> None:
    """Half a millimetre of the axis and a quarter of the radius are allowed."""
    bolt = hole("bolt", 4.0, "rail")
    assert coaxial(bolt, hole("through", 4.2))
    assert coaxial(hole("through", 4.2), bolt)
    assert not coaxial(bolt, hole("through", 4.3)), "too wide for it"
    assert not coaxial(hole("blind", 4.3), bolt)
    assert coaxial(bolt, hole("through", 4.2, off=0.49))
    assert not coaxial(bolt, hole("through", 4.2, off=0.51))
    assert not coaxial(bolt, hole("through", 4.2, slant=0.6)), "the other end is off"
    assert not coaxial(bolt, hole("through", 4.2, "rail")), "in the same piece"
    assert not coaxial(bolt, hole("screw", 4.0)), "two fasteners"
    assert not coaxial(bolt, hole("dowel", 4.0))
    assert coaxial(hole("dowel", 4.0, "rail"), hole("dowel", 4.0)), "bored from both pieces"


def test_random_screws_are_compared_with_everything_once() -> None:
    """`clearance` is the least of its parts, whatever their order and however early it stops looking; where there is no
    room, the first thing that says so is enough."""
    for seed in range(60):
        case = random_case(random.Random(seed))
        wood, hollows = case.timber.wood, case.timber.hollows
        gaps = [to_faces(each, wood)[0] for each in case.screw.rods]
        gaps += [to_wall(each, wall, 2.0, FAR)[0] for each in case.screw.rods for wall in case.timber.walls]
        gaps += [to_hollow(each, hollow) for each in case.screw.rods for _, hollow in hollows]
        gaps += [rods_apart(each, other) for each in case.screw.rods for them in case.others for other in them.rods]
        found = clearance(case.screw, {KEY: case.timber}, case.others).mm
        assert found == pytest.approx(min(gaps)) if min(gaps) > 0 else found <= 0
