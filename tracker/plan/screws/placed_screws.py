"""The screws of placed pieces: each hole as a solid, and the piece that its fastener goes on into."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import product
from math import prod
from typing import Protocol

from tracker.design.joining import Numbered
from tracker.design.model import Build, Hole
from tracker.plan.fasteners import fastener_of, pocket_of
from tracker.plan.place.bodies import Body, Vector, dot, times
from tracker.plan.pocket_holes import BORE, POCKET_ANGLE
from tracker.plan.screws.rods import Rod, Screw, along, apart, beyond, run_out
from tracker.plan.screws.timber import Timber, inside
from tracker.plan.shape import HoleShape

PAST = 2.0
"""Millimetres past the joint: the screw goes into the piece that holds this point."""
CELL, MOST_CELLS = 250.0, 200
"""Pieces are looked up in a grid of cells of this size, in mm; a piece that reaches over more cells is always
checked."""
FIT = 0.25
"""How much wider, in radius, a hole may be than its fastener."""
OUTSIDE = 1.0
"""How far outside its face a straight hole begins."""


class Finder(Protocol):
    """Finds the piece around a point, except one."""

    def __call__(self, point: Vector, own: Numbered) -> Timber | None: ...


def finder(timbers: Mapping[Numbered, Timber]) -> Finder:
    """A finder over the pieces near a point, in their order; a piece with a hollow at the point comes last."""
    order = list(timbers.values())
    cells: dict[tuple[int, ...], list[int]] = {}
    everywhere: list[int] = []
    for at, timber in enumerate(order):
        spans = [range(int(low // CELL), int(high // CELL) + 1) for low, high in zip(*timber.wood.box, strict=True)]
        if prod(map(len, spans)) > MOST_CELLS:
            everywhere.append(at)
        else:
            for cell in product(*spans):
                cells.setdefault(cell, []).append(at)

    def find(point: Vector, own: Numbered) -> Timber | None:
        hollow: Timber | None = None
        near = cells.get(tuple(int(each // CELL) for each in point), [])
        which: list[int] = sorted([*near, *everywhere])
        for timber in (order[at] for at in which):
            if timber.key != own and inside(timber.wood, point):
                if timber.holds(point):
                    return timber
                hollow = hollow or timber
        return hollow

    return find


def screws_of(build: Build, timber: Timber, find: Finder, holes: Iterable[HoleShape] | None = None) -> Iterator[Screw]:
    """A screw for each hole of a piece. Plain holes are included, because other screws may run into them."""
    for at, shape in enumerate(timber.solid.holes if holes is None else holes):
        yield screw_of(build, timber, find, shape, at)


def screw_of(build: Build, timber: Timber, find: Finder, shape: HoleShape, at: int) -> Screw:
    """One hole of a piece as a solid, with its fastener."""
    hole = timber.part.holes[shape.row]
    mouth, leaves = timber.pose.of(shape.enters), timber.pose.of(shape.leaves)
    make = {"pocket": _pocket, "screw": _straight, "bolt": _straight, "dowel": _dowel}.get(hole.kind)
    if make is None:
        rods: tuple[Rod, ...] = (_plain(timber, hole, shape, mouth, leaves),)
        mate, tip, goes_in = None, leaves, 0.0
    else:
        rods, tip, mate, goes_in = make(build, timber, find, hole, shape, mouth, leaves)
    return Screw(
        piece=timber.key, hole=at, kind=hole.kind, end=shape.end, face=shape.face, row=shape.row, rods=rods,
        mouth=mouth, tip=tip, enters=None if mate is None else mate.key, temporary=hole.temporary, goes_in=goes_in,
    )  # fmt: skip


_Made = tuple[tuple[Rod, ...], Vector, Timber | None, float]


def _pocket(
    build: Build, timber: Timber, find: Finder, hole: Hole, shape: HoleShape, mouth: Vector, leaves: Vector
) -> _Made:
    way, fastener = along(mouth, leaves), fastener_of(build, timber.part, hole)
    bore = BORE if hole.bore is None else float(hole.bore)
    seat = beyond(leaves, way, -pocket_of(timber.part, hole).seat)
    start = beyond(mouth, way, -run_out(bore / 2, POCKET_ANGLE))
    radius = float(fastener.diameter) / 2
    rods = [
        Rod(start, seat, bore / 2, timber.key, frozenset({shape.face}), "bore"),
        # Faces near the mouth of its own pocket don't count: that follows from the thickness, wherever the pocket is.
        Rod(seat, leaves, radius, timber.key, frozenset({shape.end, shape.face}), "shank"),
    ]
    length = float(fastener.length or 0)
    tip = beyond(seat, way, length)
    past = length - apart(seat, leaves)
    return _into(find, timber, tuple(rods), leaves, way, tip, past, radius, "thread")


def _straight(
    build: Build, timber: Timber, find: Finder, hole: Hole, shape: HoleShape, mouth: Vector, leaves: Vector
) -> _Made:
    """A screw or a bolt, square to its face, through its own piece."""
    way, fastener = along(mouth, leaves), fastener_of(build, timber.part, hole)
    depth, out = leaving(timber.wood, mouth, way)
    recess = 0.0 if hole.recess is None else float(hole.recess)
    seat, joint = beyond(mouth, way, recess), beyond(mouth, way, depth)
    radius = float(fastener.diameter) / 2
    rods = []
    if recess:
        plug = radius * 2 if hole.plug_diameter is None else float(hole.plug_diameter) / 2
        rods.append(Rod(beyond(mouth, way, -OUTSIDE), seat, plug, timber.key, frozenset({shape.face}), "recess"))
    rods.append(Rod(seat, joint, radius, timber.key, frozenset({shape.face, out}), "shank"))
    length = float(fastener.length or 0)
    past = recess + length - depth
    what = "bolt" if hole.kind == "bolt" else "thread"
    return _into(find, timber, tuple(rods), joint, way, beyond(seat, way, length), past, radius, what)


def _dowel(
    build: Build, timber: Timber, find: Finder, hole: Hole, shape: HoleShape, mouth: Vector, leaves: Vector
) -> _Made:
    """A dowel, half in its own piece and half in the piece that its face meets."""
    way, fastener = along(leaves, mouth), fastener_of(build, timber.part, hole)
    radius, deep = float(fastener.diameter) / 2, apart(mouth, leaves)
    opens = frozenset({shape.end if shape.face == "end" else shape.face})
    rods = (Rod(leaves, mouth, radius, timber.key, opens, "dowel"),)
    past = float(fastener.length or 0) - deep
    return _into(find, timber, rods, mouth, way, beyond(mouth, way, past), past, radius, "dowel")


def _into(
    find: Finder, timber: Timber, rods: tuple[Rod, ...], joint: Vector, way: Vector, tip: Vector, past: float,
    radius: float, what: str,
) -> _Made:  # fmt: skip
    """Add the part in the piece beyond the joint."""
    mate = find(beyond(joint, way, PAST), timber.key)
    if mate is None or past <= 0:
        return rods, tip if past > 0 else joint, mate, max(past, 0.0)
    face = entering(mate.wood, joint, way)
    opens = {face}
    if what == "bolt":  # right through, to a nut
        opens.add(leaving(mate.wood, joint, way)[1])
    return (*rods, Rod(joint, tip, radius, mate.key, frozenset(opens), what)), tip, mate, past


def _plain(timber: Timber, hole: Hole, shape: HoleShape, mouth: Vector, leaves: Vector) -> Rod:
    opens = {shape.face}
    if hole.kind == "through":
        opens.add("bottom" if shape.face == "top" else "top")
    return Rod(mouth, leaves, float(hole.diameter or 0) / 2, timber.key, frozenset(opens), "hole")


def leaving(wood: Body, point: Vector, way: Vector) -> tuple[float, str]:
    """How far along a direction a line from a point finally leaves a convex body, and by which face."""
    best, face = float("inf"), ""
    for plane in wood.planes:
        slope = dot(plane.normal, way)
        if slope > 1e-9:
            distance = (plane.distance - dot(plane.normal, point)) / slope
            if distance < best:
                best, face = distance, plane.name
    return best, face


def entering(wood: Body, point: Vector, way: Vector) -> str:
    """The face by which a line through a point enters a convex body."""
    back = times(way, -1)
    return leaving(wood, point, back)[1]


def coaxial(one: Screw, two: Screw) -> bool:
    """Whether two holes are for the same fastener, bored from both pieces: their axes coincide, and a plain hole is no
    wider than the fastener."""
    plain = {"through", "blind"}
    if one.piece == two.piece or not (one.kind in plain or two.kind in plain or one.kind == two.kind == "dowel"):
        return False
    hole, fastener = (two, one) if two.kind in plain else (one, two)
    if hole.thickest > min(rod.radius for rod in fastener.rods) + FIT:
        return False
    way = along(one.mouth, one.tip)
    return all(_off(one.mouth, way, point) < 0.5 for point in (two.mouth, two.tip))


def around(screw: Screw, others: Iterable[Screw]) -> list[Screw]:
    """The others in a screw's pieces, except holes for the same fastener."""
    pieces = {rod.piece for rod in screw.rods}
    return [
        each for each in others
        if each is not screw and not pieces.isdisjoint(rod.piece for rod in each.rods) and not coaxial(screw, each)
    ]  # fmt: skip


def _off(start: Vector, way: Vector, point: Vector) -> float:
    """The distance of a point from a line."""
    reach = dot(way, (point[0] - start[0], point[1] - start[1], point[2] - start[2]))
    return apart(point, beyond(start, way, reach))
