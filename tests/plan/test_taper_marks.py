"""Tapers as a person marks them: from existing corners, with the finished end measured as a tape lies on it.

The wood is cut in shapely, only from the marks on the card.
"""

from __future__ import annotations

import math
import random
from itertools import pairwise
from typing import Any

import pytest
from made import mm, part
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import split

from tracker.design.model import EndCut, EndCuts, EndName, Taper
from tracker.measure import millimetres
from tracker.plan.geometry import solid
from tracker.plan.shape import Solid
from tracker.plan.taper_marks import TaperMark, finished_width, taper_marks


def top_face(length: float, width: float, a: tuple[float, str], b: tuple[float, str]) -> Polygon:
    """The top face of a piece with upright mitred ends, from the definition of an end: `length` is the longest edge."""
    near_a, far_a = (0.0, width * math.tan(math.radians(a[0])))[:: 1 if a[1] == "near" else -1]
    near_b, far_b = (0.0, width * math.tan(math.radians(b[0])))[:: 1 if b[1] == "near" else -1]
    long = max(length - near_a - near_b, length - far_a - far_b)
    grow = length - long
    shift = max(near_a, far_a) - max(near_a, far_a)
    return Polygon(
        [(near_a + shift, 0), (length + grow - near_b, 0), (length + grow - far_b, width), (far_a + shift, width)]
    )


def corner(face: Polygon, end: EndName, y: float) -> tuple[float, float]:
    """The corner of a face at an end, on the edge at this height; it must exist."""
    found = [point for point in face.exterior.coords if abs(point[1] - y) < 1e-6]
    assert found, "no such corner"
    return min(found) if end == "A" else max(found)


def along(line: tuple[tuple[float, float], tuple[float, float]], distance: float) -> tuple[float, float]:
    (x, y), (x2, y2) = line
    long = math.hypot(x2 - x, y2 - y)
    return x + (x2 - x) * distance / long, y + (y2 - y) * distance / long


def mark_and_cut(face: Polygon, mark: TaperMark, width: float) -> Polygon:
    """Lay the tape as the card says, draw the line, saw along it, keep the larger part."""
    edge = width if mark.edge == "far" else 0.0
    hook = corner(face, mark.start_from, edge)
    other = corner(face, "A" if mark.start_from == "B" else "B", edge) if mark.start_from == mark.end else None
    way = 1 if mark.start_from == "A" else -1
    start = (hook[0] + way * mm(mark.start), edge)
    assert other is None or min(hook[0], other[0]) - 1e-6 <= start[0] <= max(hook[0], other[0]) + 1e-6
    # Along the end, from its corner at the other edge.
    ends = [
        (one, two)
        for one, two in pairwise(face.exterior.coords)
        if abs(two[1] - one[1]) > abs(two[0] - one[0]) * 0.4
        and ((one[0] + two[0]) / 2 > face.centroid.x) == (mark.end == "B")
    ]
    (one, two) = max(ends, key=lambda pair: math.dist(*pair))
    foot = min((one, two), key=lambda point: abs(point[1] - (0.0 if mark.edge == "far" else width)))
    tip = two if foot == one else one
    leaves = along((foot, tip), mm(mark.leaves))
    line = LineString([along((leaves, start), -1000.0), along((start, leaves), -1000.0)])
    assert face.exterior.distance(Point(start)) < 1e-6, "the line begins on the edge"
    assert face.exterior.distance(Point(leaves)) < 1e-6, "and comes out on the end"
    parts = sorted(split(face, line).geoms, key=lambda each: each.area)
    kept: Polygon = parts[-1]
    return kept


def piece(ends: EndCuts, *tapers: Taper, **changes: Any) -> Solid:
    return solid(part(length=500, width=60, thickness=20, ends=ends, tapers=tapers, **changes))


def taper(edges: str, end: EndName, start: float, leave: float) -> Taper:
    return Taper(edges=edges, end=end, start=millimetres(start), leave=millimetres(leave))  # type: ignore[arg-type]


def test_at_square_ends_the_marks_are_the_file_s() -> None:
    found = piece(EndCuts(), taper("near", "B", 200, 40))
    (mark,) = taper_marks(found)
    assert (mm(mark.start), mark.start_from, mm(mark.leaves), mark.leaves_from) == (200, "A", 40, "far")
    assert mm(finished_width(found, "B")) == 40


def test_the_finished_foot_measures_what_the_check_says() -> None:
    """A leg cut at 20° at its foot, tapered on its longer and on its shorter edge; marked, sawn and measured."""
    for long in ("near", "far"):
        found = piece(EndCuts(b=EndCut(miter=20, long=long)), taper("near", "B", 200, 30))
        face = top_face(500, 60, (0, "far"), (20, long))
        for mark in taper_marks(found):
            face = mark_and_cut(face, mark, 60)
        end = max(
            (pair for pair in pairwise(face.exterior.coords) if min(x for x, _ in pair) > 400),
            key=lambda pair: abs(pair[0][1] - pair[1][1]),
        )
        assert mm(finished_width(found, "B")) == pytest.approx(math.dist(*end), abs=1e-6)
        assert abs(mm(finished_width(found, "B")) - 30) > 0.5, "not the width across: a tape lies along the cut"


def test_marks_of_random_pieces_are_on_wood_that_is_there() -> None:
    """300 pieces with one or two tapers and mitred ends: each mark is on the wood, and sawing along it leaves the
    program's solid."""
    chance = random.Random(7)
    for _ in range(300):
        a, b = ((chance.choice([0, 0, chance.uniform(1, 25)]), chance.choice(["near", "far"])) for _ in range(2))
        one = taper(chance.choice(["near", "far", "both"]), "B", chance.uniform(250, 320), chance.uniform(25, 45))
        two = taper(chance.choice(["near", "far"]), "A", chance.uniform(300, 320), chance.uniform(30, 45))
        tapers = (one, two) if chance.random() < 0.5 else (one,)
        ends = EndCuts(a=EndCut(miter=a[0], long=a[1]), b=EndCut(miter=b[0], long=b[1]))  # type: ignore[arg-type]
        found = piece(ends, *tapers)
        face = Polygon(solid(part(length=500, width=60, thickness=20, ends=ends)).section(20.0))
        for mark in taper_marks(found):
            face = mark_and_cut(face, mark, 60)
        assert face.symmetric_difference(Polygon(found.section(20.0))).area < 1e-3
