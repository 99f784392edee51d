"""Screws at random in a piece with hollows, other screws and a curve that is sawn later: our least clearance against
that of meshes (manifold3d) and of plane geometry (shapely). Ours may be less, never more.

`python -m tests.place.mesh_clearances 2000` counts.
"""

from __future__ import annotations

import random
import sys
from math import cos, pi
from typing import NamedTuple

import manifold3d as m3
import numpy as np
import shapely

from tests.place.mesh_joints import NEAR, SIDES, cylinder
from tracker.design.joining import Numbered
from tracker.design.load import load_build
from tracker.plan.geometry import solid
from tracker.plan.place.bodies import Body, Vector, box, dot, unit
from tracker.plan.place.poses import Pose, about
from tracker.plan.screws import Clearance, Rod, Screw, clearance
from tracker.plan.screws.timber import Timber
from tracker.plan.screws.walls import CHORD, Wall

KEY: Numbered = ("rail", 1)
WANDER = 2.0
BUILD = """
[build]
name = "x"
units = "mm"
[woods.oak]
species = "white oak"
thickness = 40
width = 200
lengths = ["3 m"]
[[parts]]
id = "rail"
wood = "oak"
length = 300
"""


class Case(NamedTuple):
    timber: Timber
    screw: Screw
    others: tuple[Screw, ...]
    curve: tuple[tuple[float, float], ...]
    pose: Pose


def screw_of(rods: tuple[Rod, ...]) -> Screw:
    return Screw(
        piece=KEY, hole=0, kind="screw", end="A", face="top", row=0, rods=rods, mouth=rods[0].a, tip=rods[-1].b
    )  # fmt: skip


def random_case(chance: random.Random) -> Case:
    length, width, thick = chance.uniform(150, 400), chance.uniform(80, 200), chance.uniform(30, 90)
    wood = box((0.0, 0.0, 0.0), (length, width, thick))
    for name in ("taper 0", "B"):
        if chance.random() < 0.5:
            normal = unit((1.0, chance.uniform(-0.4, 0.4), chance.uniform(-0.3, 0.3)))
            at = (length * chance.uniform(0.7, 0.95), width / 2, thick / 2)
            wood = wood.clipped(normal, dot(normal, at), name)
    pose = about((chance.gauss(0, 1), chance.gauss(0, 1), chance.gauss(0, 1)), chance.uniform(0, 360))
    pose = pose.by((chance.uniform(-200, 200), chance.uniform(-200, 200), chance.uniform(-200, 200)))

    middle = (chance.uniform(20, length * 0.7), chance.uniform(15, width - 15), chance.uniform(10, thick - 10))

    def near(far: float) -> Vector:
        x, y, z = middle
        return (x + chance.uniform(-far, far), y + chance.uniform(-far, far), z + chance.uniform(-far, far))

    def rod(radius: float, far: float = 6.0) -> Rod:
        a = near(far)
        way = unit((chance.gauss(0, 1), chance.gauss(0, 1), chance.gauss(0, 0.4)))
        reach = chance.uniform(5, 25)
        b = (a[0] + way[0] * reach, a[1] + way[1] * reach, a[2] + way[2] * reach)
        return Rod(pose.of(a), pose.of(b), radius, KEY, frozenset({chance.choice(["top", "near", "B", ""])}), "rod")

    hollows = []
    for _ in range(chance.randint(0, 2)):
        x, y, z = near(50.0)
        hollow = box((x, y, z), (x + chance.uniform(5, 60), y + chance.uniform(5, 30), z + chance.uniform(5, 30)))
        hollows.append(("half-lap", pose.carry(about((1.0, 0.0, 0.0), chance.uniform(-20, 20)).carry(hollow))))
    curve: tuple[tuple[float, float], ...] = ()
    if chance.random() < 0.5:
        (x, y, _), reach = near(40.0), chance.uniform(30, 150)
        turn = np.linspace(0, 2 * pi, 80, endpoint=False)
        curve = tuple((float(x + reach * np.cos(t)), float(y + reach * np.sin(t))) for t in turn)
    walls = ()
    if curve:
        chords = tuple((curve[at - 1], point) for at, point in enumerate(curve))
        walls = (Wall(pose=pose.inverse, axes=(0, 1), low=(0.0, 0.0), loops=(curve,), sawn=chords),)
    build = load_build(BUILD).build
    assert build is not None
    part = build.parts[0]
    timber = Timber(
        key=KEY, part=part, solid=solid(part), pose=pose, wood=pose.carry(wood), hollows=tuple(hollows), walls=walls,
        wander=WANDER,
    )  # fmt: skip
    screw = screw_of((rod(chance.choice([2.1, 4.75])), rod(2.1)))
    others = tuple(screw_of((rod(chance.choice([2.1, 4.75]), 30.0),)) for _ in range(chance.randint(0, 3)))
    return Case(timber, screw, others, curve, pose)


def hull(body: Body) -> m3.Manifold:
    return m3.Manifold.hull_points(np.array(body.points, dtype=np.float64))


def least_gap(case: Case) -> float:
    """The gap between meshes inside the true cylinders: never less than the true gap. Up to NEAR mm."""
    least = NEAR
    for rod in case.screw.rods:
        mesh = inner(rod)
        for plane in case.timber.wood.planes:
            if plane.name not in rod.opens:
                ends = np.array(mesh.to_mesh().vert_properties)[:, :3] @ np.array(plane.normal)
                least = min(least, plane.distance - float(ends.max()))
        for _, hollow in case.timber.hollows:
            least = min(least, _gap(mesh, hull(hollow)))
        for other in case.others:
            for theirs in other.rods:
                least = min(least, _gap(mesh, inner(theirs)))
        if case.curve:
            least = min(least, _to_curve(case, rod))
    return least


def inner(rod: Rod) -> m3.Manifold:
    return cylinder(np.array(rod.a), np.array(rod.b), rod.radius)


def _gap(one: m3.Manifold, other: m3.Manifold) -> float:
    if (one ^ other).volume() > 1e-6:
        return 0.0
    return float(one.min_gap(other, NEAR))


def _to_curve(case: Case, rod: Rod) -> float:
    """The distance from the rod's shadow, as wide as the rod, to the curve; negative in the waste."""
    back = case.pose.inverse
    a, b = back.of(rod.a), back.of(rod.b)
    axis, ring = shapely.LineString([a[:2], b[:2]]), shapely.Polygon(case.curve)
    if not ring.contains(shapely.Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)):
        return -1.0
    return float(axis.distance(ring.exterior)) - rod.radius - WANDER


class Found(NamedTuple):
    cases: int
    too_kind: tuple[float, ...]
    """How much our clearance exceeds that of the meshes, where it does."""
    clear: int
    """Cases with room by our clearance; `room`: by the meshes."""
    room: int
    careful: float
    """The most by which ours is less, among the cases that both call clear."""


def count(cases: int, seed: int) -> Found:
    chance = random.Random(seed)
    too_kind, clear, room, careful = [], 0, 0, 0.0
    for _ in range(cases):
        case = random_case(chance)
        ours = min(_ours(case).mm, NEAR)
        theirs = least_gap(case)
        allowed = 2e-3 + CHORD + 5.0 * (1 - cos(pi / SIDES))
        if ours > theirs + allowed and ours > 0:
            too_kind.append(ours - theirs)
        clear, room = clear + (ours > 0), room + (theirs > 0)
        if ours > 0 and theirs > 0:
            careful = max(careful, theirs - ours)
    return Found(cases, tuple(too_kind), clear, room, careful)


def _ours(case: Case) -> Clearance:
    return clearance(case.screw, {KEY: case.timber}, case.others)


def main() -> None:
    found = count(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 7)
    print(
        f"{found.cases} screws anywhere: {len(found.too_kind)} where ours is more than the meshes'", found.too_kind[:5]
    )
    print(f"clear by the meshes {found.room}, by ours {found.clear}; ours less by up to {found.careful:.2f} mm")


if __name__ == "__main__":
    main()
