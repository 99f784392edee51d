"""Convex bodies against scipy: their hulls, what planes leave of them, how far apart they are, and moves in space."""

from __future__ import annotations

import random
from itertools import product
from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from scipy.optimize import nnls
from scipy.spatial import ConvexHull, HalfspaceIntersection
from scipy.spatial.transform import Rotation
from shapely.geometry import LineString, MultiPoint, Point, Polygon
from shapely.ops import split

from tracker.plan import convex
from tracker.plan.place.bodies import Body, Vector, bounds, box, dot, mean, newell, norm
from tracker.plan.place.poses import DIRECTIONS, SIDES, Pose, about, around, axes, facing, mirrored
from tracker.plan.place.separation import boxes_apart, separation

SEEDS = range(12)
SIZES = (0.4, 30.0)
"""Millimetres: a chip and a block; what is compared with a length shows in one of them."""


def random_plane(chance: random.Random, size: float) -> tuple[Vector, float]:
    """A plane through the box from 0 to `size`."""
    normal = np.array([chance.gauss(0, 1) for _ in range(3)])
    normal /= np.linalg.norm(normal)
    through = np.array([chance.uniform(0.2, 0.8) * size for _ in range(3)])
    x, y, z = map(float, normal)
    return (x, y, z), float(normal @ through)


def cut_box(chance: random.Random, size: float) -> tuple[Body, list[tuple[Vector, float]]]:
    """A box with four planes cut off it, each only if it leaves the middle; and all its planes."""
    sides: list[tuple[Vector, float]] = []
    for axis, (sign, at) in product(range(3), ((1.0, size), (-1.0, 0.0))):
        way = [0.0, 0.0, 0.0]
        way[axis] = sign
        sides.append(((way[0], way[1], way[2]), at))
    body = box((0.0, 0.0, 0.0), (size, size, size))
    for number in range(4):
        normal, distance = random_plane(chance, size)
        if dot(normal, (size / 2,) * 3) > distance:
            normal, distance = (-normal[0], -normal[1], -normal[2]), -distance
        body = body.clipped(normal, distance, f"cut {number}")
        sides.append((normal, distance))
    return body, sides


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("size", SIZES)
def test_what_planes_leave_is_the_intersection_of_their_half_spaces(seed: int, size: float) -> None:
    body, sides = cut_box(random.Random(seed), size)
    halves = np.array([[*normal, -distance] for normal, distance in sides])
    judged = ConvexHull(HalfspaceIntersection(halves, np.full(3, size / 2)).intersections)
    assert body.volume == pytest.approx(judged.volume, rel=1e-6)
    corners = np.array(body.points)
    assert len(corners) == len(judged.vertices)
    assert bounds(body.points) == (
        pytest.approx(tuple(judged.min_bound), abs=1e-6), pytest.approx(tuple(judged.max_bound), abs=1e-6),
    )  # fmt: skip
    for plane, (name, points) in zip(body.planes, body.faces, strict=True):
        assert plane.name == name
        assert norm(plane.normal) == pytest.approx(1)
        heights = corners @ np.array(plane.normal) - plane.distance
        assert heights.max() < 1e-6
        assert sorted(np.flatnonzero(heights > -1e-6)) == sorted(body.points.index(point) for point in points)
        assert norm(newell(points)) / 2 == pytest.approx(area_of(np.array(points)), rel=1e-6)
    assert sum(norm(newell(points)) for _, points in body.faces) / 2 == pytest.approx(judged.area, rel=1e-5)


def area_of(points: np.ndarray) -> float:
    """The area of a flat polygon, by triangles from its first corner."""
    sides = points[1:] - points[0]
    return float(np.linalg.norm(np.cross(sides[:-1], sides[1:]).sum(axis=0))) / 2


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("size", SIZES)
def test_the_centre_is_that_of_its_tetrahedra(seed: int, size: float) -> None:
    body, _ = cut_box(random.Random(seed), size)
    hull, inner = ConvexHull(np.array(body.points)), np.array(body.points).mean(axis=0)
    volumes, middles = [], []
    for corners in (hull.points[simplex] for simplex in hull.simplices):
        volumes.append(abs(np.linalg.det(corners - inner)) / 6)
        middles.append((corners.sum(axis=0) + inner) / 4)
    assert body.centre == pytest.approx(tuple(np.average(middles, axis=0, weights=volumes)), rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_plane_beside_a_body_leaves_all_of_it_or_nothing(seed: int) -> None:
    body, _ = cut_box(random.Random(seed), 30.0)
    normal, _ = random_plane(random.Random(seed + 99), 30.0)
    most = max(dot(normal, point) for point in body.points)
    least = min(dot(normal, point) for point in body.points)
    assert body.clipped(normal, most, "cut") is body
    assert body.clipped(normal, most + 5, "cut") is body
    assert not body.clipped(normal, least, "cut")
    assert not body.clipped(normal, least - 5, "cut")
    assert body.clipped(normal, least + 1.0, "cut").volume > 0
    assert not Body.of(())


def test_the_edges_of_a_body_are_counted_once_each_way() -> None:
    block = box((0.0, 0.0, 0.0), (40.0, 20.0, 10.0))
    assert len(block.edges) == 3
    wedge = block.clipped((1 / sqrt(2), 0.0, 1 / sqrt(2)), 15.0, "slope")
    assert len(wedge.edges) == 4
    assert {round(max(map(abs, edge)), 6) for edge in wedge.edges} == {1.0, round(1 / sqrt(2), 6)}
    assert dict(block.faces)["A"][0][0] == 0.0
    assert {name: mean(points) for name, points in block.faces} == {
        "A": (0, 10, 5), "B": (40, 10, 5), "near": (20, 0, 5), "far": (20, 20, 5), "bottom": (20, 10, 0),
        "top": (20, 10, 10),
    }  # fmt: skip


# -- separation ---


def distance_of(points: np.ndarray) -> float:
    """How far zero is from the hull of some points: the shortest of their averages (non-negative least squares)."""
    scale = float(np.abs(points).max())
    return float(nnls(np.vstack([points.T / scale, np.full(len(points), 1e4)]), np.array([0, 0, 0, 1e4]))[1]) * scale


@pytest.mark.parametrize("seed", range(16))
@pytest.mark.parametrize("size", SIZES)
def test_bodies_are_as_far_apart_as_zero_is_from_their_difference(seed: int, size: float) -> None:
    """The planes that may separate two convex bodies are those of their Minkowski difference (a theorem of convex
    geometry): the gap is the greatest distance of zero from one of them."""
    chance = random.Random(seed)
    (first, _), (second, _) = cut_box(chance, size), cut_box(chance, size)
    spin = about((chance.uniform(-1, 1), 1.0, 0.5), chance.uniform(0, 90))
    aside = (chance.uniform(-0.3, 0.3) * size for _ in range(2))
    second = spin.by((chance.uniform(0.0, 1.6) * size, *aside)).carry(second)  # type: ignore[arg-type]
    differences = np.array([np.subtract(b, a) for a in first.points for b in second.points])
    hull = ConvexHull(differences)
    found = separation(first, second)
    least = hull.equations[:, 3].max()
    if least < 0:
        assert found.gap == pytest.approx(least, rel=1e-6, abs=1e-7 * size)
    else:  # another pair of edges may show more of their distance
        assert least - 1e-7 * size <= found.gap <= distance_of(differences) * 1.0001
    along = np.array(found.toward)
    assert np.linalg.norm(along) == pytest.approx(1)
    ours, theirs = np.array(first.points) @ along, np.array(second.points) @ along
    assert theirs.min() - ours.max() == pytest.approx(found.gap, abs=1e-7 * size)
    back = separation(second, first)
    assert back.gap == pytest.approx(found.gap, abs=1e-7 * size)
    assert {"first": "second", "second": "first", "edges": "edges"}[found.by] == back.by or abs(found.gap) < 1e-6


def test_what_separates_is_said() -> None:
    block = box((0.0, 0.0, 0.0), (10.0, 10.0, 10.0))
    assert separation(block, box((13.0, 0.0, 0.0), (20.0, 30.0, 30.0))).gap == pytest.approx(3)
    tipped = (about((0.0, 0.0, 1.0), 45.0) @ about((1.0, 0.0, 0.0), 45.0)).carry(box((0.0,) * 3, (10.0,) * 3))
    beside = Pose().by((30.0, 5.0, 0.0)).carry(tipped)
    assert separation(block, beside).toward == (1.0, 0.0, 0.0)
    assert (separation(block, beside).by, separation(beside, block).by) == ("first", "second")
    assert separation(beside, block).toward == (-1.0, 0.0, 0.0)
    one = about((1.0, 0.0, 0.0), 45.0).carry(block)  # an edge along x on top
    other = about((0.0, 1.0, 0.0), 45.0).carry(block)
    low = max(point[2] for point in one.points) - min(point[2] for point in other.points)
    crossed = separation(one, Pose().by((0.0, 0.0, low + 2)).carry(other))
    assert (crossed.by, crossed.gap) == ("edges", pytest.approx(2))
    assert crossed.toward == pytest.approx((0, 0, 1))


@pytest.mark.parametrize("axis", range(3))
def test_boxes_are_apart_by_more_than_is_asked(axis: int) -> None:
    one = box((0.0, 0.0, 0.0), (10.0, 10.0, 10.0))
    by = [0.0, 0.0, 0.0]
    by[axis] = 12.0
    other = Pose().by((by[0], by[1], by[2])).carry(one)
    for a, b in ((one, other), (other, one)):
        assert boxes_apart(a, b, 1.9)
        assert not boxes_apart(a, b, 2.0)
        assert not boxes_apart(a, b, 2.1)


# -- moves ---


def matrix(pose: Pose) -> np.ndarray:
    return np.vstack([np.hstack([np.array(pose.rows), np.array(pose.shift)[:, None]]), [0, 0, 0, 1]])


def random_pose(chance: random.Random) -> Pose:
    way = (chance.uniform(-1, 1), chance.uniform(-1, 1), chance.uniform(0.1, 1))
    return about(way, chance.uniform(-180, 180)).by(tuple(chance.uniform(-50, 50) for _ in range(3)))  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", SEEDS)
def test_moves_are_matrices(seed: int) -> None:
    chance = random.Random(seed)
    one, two = random_pose(chance), random_pose(chance)
    assert matrix(one @ two) == pytest.approx(matrix(one) @ matrix(two))
    assert matrix(one.inverse) == pytest.approx(np.linalg.inv(matrix(one)))
    assert one.of((3.0, 5.0, 7.0)) == pytest.approx(tuple((matrix(one) @ [3, 5, 7, 1])[:3]))
    assert one.turned((3.0, 5.0, 7.0)) == pytest.approx(tuple((matrix(one) @ [3, 5, 7, 0])[:3]))
    assert one.by((1.0, 2.0, 3.0)).of((0.0, 0.0, 0.0)) == pytest.approx(tuple(np.add(one.shift, (1, 2, 3))))
    angle, way = chance.uniform(-180, 180), np.array([chance.gauss(0, 1) for _ in range(3)])
    spin = Rotation.from_rotvec(radians(angle) * way / np.linalg.norm(way)).as_matrix()
    assert np.array(about(tuple(map(float, way)), angle).rows) == pytest.approx(spin)  # type: ignore[arg-type]
    assert not one.mirrored


def test_a_turn_about_an_upright_leaves_it_where_it_is() -> None:
    turned = around((10.0, 20.0, 30.0), 90.0)
    assert turned.of((10.0, 20.0, -5.0)) == pytest.approx((10, 20, -5))
    assert turned.of((13.0, 20.0, 1.0)) == pytest.approx((10, 23, 1))  # anticlockwise from above


@pytest.mark.parametrize("which", [(0,), (1,), (2,), (0, 1), (0, 1, 2)])
def test_a_mirror_image_is_about_the_middle(which: tuple[int, ...]) -> None:
    image = mirrored((100.0, 60.0, 20.0), which)
    point, size = (10.0, 20.0, 3.0), (100.0, 60.0, 20.0)
    assert image.of(point) == tuple(size[axis] - at if axis in which else at for axis, at in enumerate(point))
    assert image.mirrored is (len(which) % 2 == 1)


@pytest.mark.parametrize("own", list(product(SIDES, repeat=2)))
def test_a_piece_faces_the_ways_it_is_said_to(own: tuple[str, str]) -> None:
    """Both sides point where they should, and nothing is mirrored."""
    first, second = (np.array(SIDES[side]) for side in own)  # type: ignore[index]
    if abs(first @ second) > 0.5:
        return
    for ways in (("right", "up"), ("down", "front"), ("back", "left")):
        pose = facing(own, ways)  # type: ignore[arg-type]
        for side, way in zip((first, second), ways, strict=True):
            assert pose.turned(tuple(map(float, side))) == pytest.approx(DIRECTIONS[way])  # type: ignore[index, arg-type]
        assert np.linalg.det(np.array(pose.rows)) == pytest.approx(1)


def test_sides_and_ways_are_the_axes() -> None:
    """x from end A to end B and to the right, y from the near edge to the far one and to the back, z up."""
    for ways in (SIDES, DIRECTIONS):
        assert sorted(map(tuple, ways.values())) == sorted(
            tuple(sign * float(at == axis) for at in range(3)) for axis in range(3) for sign in (1.0, -1.0)
        )
    assert (SIDES["B"], SIDES["far"], SIDES["top"]) == ((1, 0, 0), (0, 1, 0), (0, 0, 1))
    assert (DIRECTIONS["right"], DIRECTIONS["back"], DIRECTIONS["up"]) == ((1, 0, 0), (0, 1, 0), (0, 0, 1))
    for one, other in (("A", "B"), ("near", "far"), ("bottom", "top")):
        assert np.add(SIDES[one], SIDES[other]).tolist() == [0, 0, 0]  # type: ignore[index]
    for way, back in (("left", "right"), ("front", "back"), ("down", "up")):
        assert np.add(DIRECTIONS[way], DIRECTIONS[back]).tolist() == [0, 0, 0]  # type: ignore[index]
    assert matrix(axes((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))[:3, :3].T.tolist() == [
        [0, 1, 0], [-1, 0, 0], [0, 0, 1],
    ]  # fmt: skip


@pytest.mark.parametrize("image", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_carried_body_is_made_of_its_carried_corners(seed: int, image: bool) -> None:
    chance = random.Random(seed)
    body, _ = cut_box(chance, 30.0)
    pose = random_pose(chance) @ mirrored((30.0, 30.0, 30.0), (1,)) if image else random_pose(chance)
    moved = pose.carry(body)
    assert moved.points == tuple(pytest.approx(pose.of(point)) for point in body.points)
    assert moved.volume == pytest.approx(body.volume), "its faces still face outward"
    fresh = Body(moved.points, moved.rings)
    for plane, other in zip(moved.planes, fresh.planes, strict=True):
        assert plane.normal == pytest.approx(other.normal, abs=1e-9)
        assert (plane.distance, plane.name) == (pytest.approx(other.distance, abs=1e-6), other.name)


# -- in the plane ---


def random_polygon(chance: random.Random, size: float) -> tuple[tuple[float, float], ...]:
    points = [(size * cos(a), size * sin(a)) for a in sorted(chance.uniform(0, 2 * pi) for _ in range(9))]
    return convex.hull([*points, (size, 0.0), (-size / 2, size * 0.8), (-size / 2, -size * 0.8)])


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("size", SIZES)
def test_flat_hulls_and_clips_agree_with_shapely(seed: int, size: float) -> None:
    chance = random.Random(seed)
    points = [(chance.uniform(-size, size), chance.uniform(-size, size)) for _ in range(12)]
    hull = convex.hull([*points, *points[:3]])
    judged = MultiPoint(points).convex_hull
    assert Polygon(hull).exterior.is_ccw
    assert Polygon(hull).symmetric_difference(judged).area < 1e-4 * size**2
    assert len(hull) == len(judged.exterior.coords) - 1
    corners = random_polygon(chance, size)
    whole = Polygon(corners)
    assert convex.area(corners) == pytest.approx(whole.area)
    assert convex.area(corners[::-1]) == pytest.approx(-whole.area)
    start, end = ((chance.uniform(-0.6, 0.6) * size, chance.uniform(-0.6, 0.6) * size) for _ in range(2))
    along = np.subtract(end, start) / np.hypot(*np.subtract(end, start))
    line = LineString([start - 9 * size * along, end + 9 * size * along])
    left = sum(
        part.area for part in split(whole, line).geoms
        if np.cross([*along, 0], [*np.subtract(part.representative_point().coords[0], start), 0])[2] > 0
    )  # fmt: skip
    assert convex.area(convex.left_of(corners, start, end)) == pytest.approx(left, rel=1e-6)
    for point in points:
        inset = convex.inset(corners, point)
        away = whole.exterior.distance(Point(point))
        assert (inset > 0) is whole.contains(Point(point))
        assert inset == pytest.approx(away) if inset > 0 else -inset <= away * 1.000001
    assert convex.inset((), (0.0, 0.0)) == -1.0
    assert convex.left_of((), start, end) == ()


def test_points_on_an_edge_are_no_corners_and_what_touches_the_line_stays() -> None:
    assert convex.hull([(0, 0), (1, 0), (2, 0), (2, 2), (0, 2), (0, 1), (1e-8, 0)]) == ((0, 0), (2, 0), (2, 2), (0, 2))
    square = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    assert convex.left_of(square, (0.0, 2.0), (2.0, 0.0)) == ((2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    assert convex.left_of(square, (0.0, 0.0), (0.0, 1.0)) == ((0.0, 0.0), (0.0, 2.0))
    assert convex.left_of(square, (0.0, 1.0), (0.0, 0.0)) == square
