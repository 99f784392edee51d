"""Where bodies touch: the areas of their faces together against shapely; rings and runs that need no rows of places."""

from __future__ import annotations

import random
from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
from place.box_build import HEAD
from shapely.geometry import MultiPoint, Polygon

from tracker.design import load_build
from tracker.plan.contact import FACING, GAP, faces_together, shared_outlines
from tracker.plan.place import Placed, Placer
from tracker.plan.place.bodies import Body, bounds, box, newell, norm
from tracker.plan.place.meetings import TooManyError, loose, meetings, overlaps
from tracker.plan.place.poses import Pose, about


def prism(chance: random.Random, low: float, high: float) -> tuple[Body, Polygon]:
    """A block between two heights with upright sides, its corners drawn at random, and its outline."""
    body = box((-40.0, -40.0, low), (40.0, 40.0, high))
    for number in range(4):
        angle = chance.uniform(0, 2 * pi)
        body = body.clipped((cos(angle), sin(angle), 0.0), chance.uniform(15, 38), f"side {number}")
    return body, MultiPoint([point[:2] for point in body.points]).convex_hull  # type: ignore[return-value]


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("turned", [False, True])
def test_blocks_touch_where_their_outlines_overlap(seed: int, turned: bool) -> None:
    chance = random.Random(seed)
    (under, one), (over, other) = prism(chance, 0.0, 10.0), prism(chance, 10.0, 30.0)
    pose = about((0.3, -1.0, 0.5), 37.0).by((5.0, 6.0, 7.0)) if turned else Pose()
    found = list(faces_together(pose.carry(under), pose.carry(over)))
    assert [(mine, theirs) for mine, theirs, _ in found] == [("top", "bottom")]
    assert found[0][2] == pytest.approx(one.intersection(other).area, rel=1e-6)
    assert [(theirs, mine) for mine, theirs, _ in faces_together(pose.carry(over), pose.carry(under))] == [
        ("top", "bottom")
    ]


@pytest.mark.parametrize(("gap", "touch"), [(1.49, True), (1.51, False), (-1.49, True), (-1.51, False)])
def test_faces_touch_within_a_gap(gap: float, touch: bool) -> None:
    assert GAP == 1.5
    under, over = box((0.0, 0.0, 0.0), (100.0, 60.0, 20.0)), box((0.0, 0.0, 20 + gap), (80.0, 60.0, 50.0))
    assert [area for _, _, area in faces_together(under, over)] == ([pytest.approx(4800)] if touch else [])


@pytest.mark.parametrize(("angle", "touch"), [(5.0, True), (5.3, False)])
def test_faces_touch_within_five_degrees(angle: float, touch: bool) -> None:
    """The cosine of 5.13 degrees is 0.996."""
    assert pytest.approx(-cos(radians(5.13)), abs=1e-5) == FACING
    under = box((-50.0, -30.0, 0.0), (50.0, 30.0, 20.0))
    over = about((0.0, 1.0, 0.0), angle).by((0.0, 0.0, 20.0)).carry(box((-5.0, -30.0, 0.0), (5.0, 30.0, 30.0)))
    assert bool([each for each in faces_together(under, over) if each[:2] == ("top", "bottom")]) is touch


def placed(joins: str, parts: str = "") -> tuple[Placed, ...]:
    text = f'{HEAD}{parts}[[assemblies]]\nid = "box"\nby = "glue"\nglue = "epoxy"\njoins = {{ {joins} }}\n'
    build = load_build(text).build
    assert build is not None, load_build(text).problems
    return Placer(build).placed("box")


def ring(sides: int, lean: float) -> str:
    return (
        f'[[parts]]\nid = "side"\nwood = "oak"\nquantity = {sides}\nlength = 300\nwidth = 100\nthickness = 20\n'
        f'joint = {{ kind = "ring", sides = {sides}, lean = {lean} }}\n'
    )


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8])
@pytest.mark.parametrize("lean", [0.0, 12.0])
def test_the_sides_of_a_ring_meet_end_to_end(sides: int, lean: float) -> None:
    """Outer edges of 300 mm: the ring's corners are on a circle of 300 / 2 sin (180 / sides) round its middle."""
    pieces = placed(f"side = {sides}", ring(sides, lean))
    found = meetings(pieces)
    assert overlaps(found) == ()
    assert loose(pieces, found) == ()
    assert {(each.first, each.second) for each in found} == {
        tuple(sorted((at, (at + 1) % sides))) for at in range(sides)
    }
    low, high = bounds([point for piece in pieces for point in piece.points])
    assert low == pytest.approx((0, 0, 0), abs=1e-6)
    assert high[2] == pytest.approx(100 * cos(radians(lean)) + 20 * sin(radians(lean)))
    corners = np.array([point for piece in pieces for point in piece.points])
    top = corners[corners[:, 2] > high[2] - 21]
    middle = np.array([(low[0] + high[0]) / 2, (low[1] + high[1]) / 2])
    if sides % 2 == 0:
        assert np.hypot(*(top[:, :2] - middle).T).max() == pytest.approx(150 / sin(pi / sides), rel=1e-6)
    first = min(pieces, key=lambda piece: np.mean([point[1] for point in piece.points]))
    assert first.number == 1, "the first is in front"
    outlines = [outline for a, b in ((0, 1), (1, 2)) for outline in shared_outlines(pieces[a], pieces[b])]
    mitre = [norm(newell(outline)) / 2 for outline in outlines]
    assert len(mitre) == 2
    assert mitre[0] == pytest.approx(mitre[1])
    if not lean:  # an end of 20 mm at half the turn
        assert mitre[0] == pytest.approx(100 * 20 / cos(pi / sides))


def test_boards_of_one_sequence_lie_side_by_side_in_the_order_of_the_file() -> None:
    parts = "".join(
        f'[[parts]]\nid = "{name}"\nwood = "oak"\nquantity = {count}\nlength = 400\nwidth = {width}\nthickness = 20\n'
        f'sequence = "top"\n{end}'
        for name, count, width, end in (("wide", 1, 90, ""), ("slant", 2, 60, "end_a = { miter = 10 }\n"))
    )
    pieces = placed("wide = 1, slant = 2", parts)
    found = [tuple(round(at, 3) for corner in bounds(piece.points) for at in corner) for piece in pieces]
    assert found == [(0, 0, 0, 400, 90, 20), (0, 90, 0, 400, 150, 20), (0, 150, 0, 400, 210, 20)]
    assert tan(radians(10)) * 60 == pytest.approx(max(x for x, y, _ in pieces[1].points if y < 91 and x < 200))


def test_many_pieces_near_each_other_are_not_all_compared() -> None:
    pieces = placed("side = 6", ring(6, 0.0))
    assert len(meetings(pieces, most=12)) == 6
    compared = next(most for most in range(1, 13) if not refused(pieces, most))
    assert refused(pieces, compared - 1) == f"more than {compared - 1} pairs of pieces are near to each other"
    assert compared >= 6


def refused(pieces: tuple[Placed, ...], most: int) -> str:
    try:
        meetings(pieces, most=most)
    except TooManyError as wrong:
        return str(wrong)
    return ""


def test_a_lone_piece_is_not_loose() -> None:
    piece, other = placed("side = 3", ring(3, 0.0))[:2]
    assert loose((piece,), meetings((piece,))) == ()
    far = other.moved(Pose().by((5000.0, 0.0, 0.0)))
    assert loose((piece, far), meetings((piece, far))) == (0, 1)
    assert [each.gap for each in meetings((piece, other), near=0.5)] == [pytest.approx(0, abs=1e-6)]
