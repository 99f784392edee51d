"""Helpers for the tests of outlines: builds around an outline, random shapes, and curves as shapely polygons."""

from __future__ import annotations

import random
from cmath import phase
from collections.abc import Sequence
from math import cos, pi, sin, tan

from shapely.geometry import Polygon

from tracker.design import load_build
from tracker.design.model import Build
from tracker.plan.outline import Outlined, outlined
from tracker.plan.outline.curve import Loop, flat
from tracker.plan.place import Placer

PANEL = """
[build]
name = "Panel"
units = "mm"
[woods.ash]
species = "white ash"
thickness = 27
width = 120
lengths = ["3 m"]
[[parts]]
id = "board"
quantity = 8
wood = "ash"
length = 1200
sequence = "panel"
[[assemblies]]
id = "panel"
joins = { board = 8 }
by = "glue"
glue = "PVA, interior (white)"
"""
"""Eight boards of 120 mm: 1200 × 960."""
SEAT = (
    "corners = [[0, 0, 45], [340, 0, 45], [340, 110, 50], [310, 150, 30], [340, 190, 50], [340, 300, 70], [0, 300, 70],"
    " [0, 190, 50], [30, 150, 30], [0, 110, 50]]\ncutouts = [{ slot = [95, 25], at = [170, 222.5] }]\n"
)
FORK = (
    "corners = [[0,0,10], [60,0,10], [60,120,25], [180,120,8], [180,150,8], [75,150,20], [75,210,20], [180,210,8],"
    " [180,240,8], [38,240,20], [38,150,12], [0,120,12]]\n"
)
CHORD = 1e-4


def build_with(outline: str, of: str = "panel", id_: str = "it") -> Build:
    """A build with one outline; any problem is an error of the test."""
    loaded = load_build(f'{PANEL}[[outlines]]\nid = "{id_}"\nof = "{of}"\n{outline}\n')
    assert loaded.build is not None, loaded.problems
    return loaded.build


def made(outline: str) -> Outlined:
    build = build_with(outline)
    return outlined(build, Placer(build), build.outlines[0])


def polygon(each: Outlined, chord: float = CHORD) -> Polygon:
    """An outline as a shapely polygon, in the outline's own coordinates."""
    return Polygon(flat(each.outer, chord), [flat(loop, chord) for loop in each.cutouts])


def ring(loop: Loop, chord: float = CHORD) -> Polygon:
    return Polygon(flat(loop, chord))


def random_corners(rng: random.Random) -> list[tuple[float, float, float]]:
    """A star of 5 to 12 corners whose roundings have room."""
    count = rng.randint(5, 12)
    while True:
        corners = [
            (
                round(300 + rng.uniform(80, 260) * cos(2 * pi * at / count), 2),
                round(300 + rng.uniform(80, 260) * sin(2 * pi * at / count), 2),
                float(rng.choice([0, 5, 10, 20, 40])),
            )
            for at in range(count)
        ]
        if roomy(corners):
            return corners


def roomy(corners: Sequence[tuple[float, float, float]]) -> bool:
    """Whether the roundings fit between their corners: by the tangent of half the turn, not by the project's code."""
    backs = [radius * tangent_of_half(corners, at) for at, (_, _, radius) in enumerate(corners)]
    for at, (x, y, _) in enumerate(corners):
        px, py, _ = corners[at - 1]
        if backs[at] + backs[at - 1] > ((x - px) ** 2 + (y - py) ** 2) ** 0.5 - 0.5:
            return False
    return True


def turn_at(corners: Sequence[tuple[float, float, float]], at: int) -> float:
    """The left turn of the path at a corner, in radians."""
    before, here, after = corners[at - 1], corners[at], corners[(at + 1) % len(corners)]
    one = complex(here[0] - before[0], here[1] - before[1])
    two = complex(after[0] - here[0], after[1] - here[1])
    return phase(two / one)


def tangent_of_half(corners: Sequence[tuple[float, float, float]], at: int) -> float:
    return abs(tan(turn_at(corners, at) / 2))


def random_outline(rng: random.Random) -> str:
    """Lines of a build file: corners, a path with arcs and a batten, a drawing, a whole shape; some with cutouts."""
    kind = rng.choice(["corners", "corners", "path", "svg", "oval", "slot"])
    hole = f"cutouts = [{{ circle = {rng.randint(8, 40)}, at = [300, 300] }}]\n" if rng.random() < 0.5 else ""
    if kind == "corners":
        return f"corners = {[list(corner) for corner in random_corners(rng)]}\n{hole}"
    if kind == "path":
        wide, deep, rise = rng.randint(300, 900), rng.randint(200, 500), rng.randint(5, 60)
        nails = [[wide + rise, round(deep * 0.3, 1)], [round(wide + rise * 0.2, 1), round(deep * 0.6, 1)], [wide, deep]]
        through, radius = [wide / 2 + rng.randint(-40, 40), -rise], round(wide * rng.uniform(0.6, 2), 1)
        return (
            f"path = [{{ from = [0, 0] }}, {{ to = [{wide}, 0], through = {through} }}, {{ smooth = {nails} }}, "
            f'{{ to = [0, {deep}], radius = {radius}, bows = "out" }}]\n'
        )
    if kind == "svg":
        wide, high, r = rng.randint(200, 700), rng.randint(150, 400), rng.randint(20, 70)
        return (
            f'svg = "M 0,{high} C {wide * 0.2:.1f},{-r} {wide * 0.8:.1f},{-r} {wide},{high} '
            f'a {r * 2},{r} 10 0 1 {-r},{r} q {-r},20 {-2 * r},0 L 0 {high + r} z"\n'
        )
    if kind == "oval":
        return f"oval = [{rng.randint(200, 900)}, {rng.randint(100, 600)}]\n"
    return f"slot = [{rng.randint(300, 900)}, {rng.randint(100, 290)}]\n"
