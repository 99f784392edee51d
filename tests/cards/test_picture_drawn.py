"""A picture of furniture as lines: fitted to its page, dashed, and outlined as one piece where bodies meet.

Shapely is the judge of the outlines: in each plane the border of the union of the faces, less what other bodies cover.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from math import dist
from random import Random

import pytest
from shapely import GeometryCollection, LineString, Polygon, unary_union

from tests.cards.test_furniture import TWO, bench_of
from tracker.cards.picture.outlined import Flat, outlined
from tracker.cards.picture.page import dashed, edges_of, fitted
from tracker.cards.picture.picture import Picture
from tracker.cards.picture.view import View
from tracker.cards.reports.picture import picture_lines, picture_report
from tracker.plan.place import Placer

Box = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


@pytest.mark.parametrize(
    ("width", "height", "scale"), [(220.0, 220.0, 1.98), (420.0, 120.0, 2.16), (100.0, 900.0, 0.9)]
)
def test_a_picture_is_as_large_as_its_page_allows(width: float, height: float, scale: float) -> None:
    """100 × 50 mm from (10, -20); a twentieth of the shorter side stays white all around."""
    picture = Picture((), (), (10.0, -20.0, 110.0, 30.0))
    down, up = fitted(picture, width, height), fitted(picture, width, height, upward=True)
    left, top = down((10.0, 30.0))
    right, bottom = down((110.0, -20.0))
    assert (right - left, bottom - top) == pytest.approx((100 * scale, 50 * scale))
    assert (left + right, top + bottom) == pytest.approx((width, height)), "in the middle"
    assert up((10.0, -20.0)) == pytest.approx((left, top)), "from the lower left corner"
    assert up((110.0, 30.0)) == pytest.approx((right, bottom))
    assert min(left, top) == pytest.approx(0.05 * min(width, height))


def test_a_dashed_line_is_half_gaps() -> None:
    """Half a step drawn, half a step left out; the last dash ends with the line."""
    dashes = list(dashed((1.0, 2.0), (1.0 + 3 * 5, 2.0 + 4 * 5), 10.0))
    assert [each for dash in dashes for point in dash for each in point] == pytest.approx(
        [1, 2, 4, 6, 7, 10, 10, 14, 13, 18, 16, 22]
    )
    assert [dist(*each) for each in dashed((0.0, 0.0), (12.0, 0.0), 10.0)] == pytest.approx([5, 2])


def test_an_edge_of_two_faces_is_drawn_once() -> None:
    square, beside = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)], [(4.0, 4.0), (4.0, 1e-9), (8.0, 0.0)]
    assert len(edges_of([square])) == 4
    assert len(edges_of([square, beside])) == 6
    assert ((4.0, 0.0), (4.0, 4.0)) in edges_of([square, beside])


def test_the_view_is_a_parallel_projection_from_the_right_and_above() -> None:
    """By hand, 30° to the right and 30° up: what is at the right comes to the middle, what is behind goes up."""
    view = View(30, 30)
    cos, sin = 3**0.5 / 2, 0.5
    assert view.flat((1.0, 0.0, 0.0)) == pytest.approx((cos, -sin * sin))
    assert view.flat((0.0, 1.0, 0.0)) == pytest.approx((sin, cos * sin))
    assert view.flat((0.0, 0.0, 1.0)) == pytest.approx((0, cos))
    assert [view.depth(each) for each in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))] == pytest.approx(
        [sin * cos, -cos * cos, sin]
    )
    assert (View().azimuth, View().height) == (24, 24)


def faces(box: Box) -> list[Flat]:
    found: list[Flat] = []
    for axis in range(3):
        one, two = (each for each in range(3) if each != axis)
        for side, sign in ((0, -1.0), (1, 1.0)):
            normal = [0.0, 0.0, 0.0]
            normal[axis] = sign
            corners = []
            for a, b in ((0, 0), (1, 0), (1, 1), (0, 1)):
                point = [0.0, 0.0, 0.0]
                point[axis], point[one], point[two] = box[axis][side], box[one][a], box[two][b]
                corners.append(tuple(point))
            found.append(((tuple(normal), sign * box[axis][side]), tuple(corners)))  # type: ignore[arg-type]
    return found


def stacked(chance: Random) -> list[Box]:
    """Boxes side by side, each column cut at its own heights, some left out and some shallower."""
    found: list[Box] = []
    xs = sorted(chance.sample(range(1, 40), 4))
    for x in pairwise(xs):
        for z in pairwise(sorted(chance.sample(range(30), chance.randint(2, 4)))):
            if chance.random() < 0.8:
                found.append((x, (0, chance.choice((10, 10, 7))), z))
    return found


@pytest.mark.parametrize("seed", range(12))
def test_bodies_that_meet_are_outlined_as_one(seed: int) -> None:
    flats = [each for box in stacked(Random(seed)) for each in faces(box)]
    drawn = outlined(flats)
    assert len(drawn) == len(flats)
    planes: dict[tuple[int, float, float], list[int]] = defaultdict(list)
    for at, ((normal, distance), _) in enumerate(flats):
        axis = next(each for each in range(3) if normal[each])
        planes[axis, normal[axis], distance * normal[axis]].append(at)
    for (axis, sign, where), members in planes.items():
        keep = [each for each in range(3) if each != axis]

        def flat(points: object, keep: list[int] = keep) -> list[tuple[float, float]]:
            return [(point[keep[0]], point[keep[1]]) for point in points]  # type: ignore[attr-defined]

        mine = unary_union([Polygon(flat(flats[at][1])) for at in members])
        other = unary_union([Polygon(flat(flats[at][1])) for at in planes.get((axis, -sign, where), [])])
        expected = mine.boundary.difference(other.buffer(1e-3, join_style="mitre"))
        found = [LineString(flat(edge)) for at in members for edge in drawn[at]]
        union = unary_union(found) if found else GeometryCollection()
        assert sum(each.length for each in found) == pytest.approx(expected.length, abs=0.02)
        assert union.difference(expected.buffer(0.01)).length == pytest.approx(0, abs=0.02)
        assert expected.difference(union.buffer(0.01)).length == pytest.approx(0, abs=0.02)


@pytest.mark.parametrize(
    ("bottom", "lines"),
    [
        ("20", []),
        ("15", ["  block 1 and cap 1 overlap by 5.0 mm"]),
        ("30", ["  block 1 touches nothing", "  cap 1 touches nothing"]),
    ],
)
def test_pieces_in_one_another_and_pieces_that_touch_nothing_are_said(bottom: str, lines: list[str]) -> None:
    """A cap on a block of 20 mm: on it, 5 mm in it, 10 mm above it."""
    build = bench_of(TWO.replace("bottom = 20", f"bottom = {bottom}")).run.build
    report = picture_report(build, Placer(build))
    (peg,) = report["assemblies"]
    assert (peg["size_mm"], peg["low_mm"]) == ([300, 60, 20 + int(bottom)], [0, 0, 0])
    assert [each["by_mm"] for each in peg["overlaps"]] == ([5.0] if bottom == "15" else [])
    high = 20 + int(bottom)
    assert list(picture_lines(report)) == [f"Peg: 2 pieces, 300 mm × 60 mm × {high} mm over all", *lines]
    block, cap = peg["placed"]
    assert (block["part"], cap["piece"], len(block["corners_mm"]), len(block["bodies_mm"])) == ("block", 1, 8, 1)
    assert sorted(corner[2] for corner in cap["corners_mm"]) == [int(bottom)] * 4 + [high] * 4
