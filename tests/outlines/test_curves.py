"""Lines, arcs and cubic curves against numpy (derivatives, matrices), shapely (polygons) and svgelements (paths)."""

from __future__ import annotations

import random
from math import cos, dist, hypot, pi, sin, sqrt

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon

from tracker.design.outline import Bows, Path, PathStep, SvgPath
from tracker.measure import Length
from tracker.plan.outline.curve import (
    Arc,
    Cubic,
    Line,
    Loop,
    Move,
    Segment,
    anticlockwise,
    backwards,
    distance,
    extent,
    inside,
    moments,
    shift,
    turned,
)
from tracker.plan.outline.figures import loops_of
from tracker.plan.outline.svg_path import svg_loops

SEEDS = range(8)
SQUARE: Loop = tuple(
    Line(a, b) for a, b in (((0.0, 0.0), (40.0, 0.0)), ((40.0, 0.0), (40.0, 30.0)), ((40.0, 30.0), (0.0, 30.0)),
                            ((0.0, 30.0), (0.0, 0.0)))
)  # fmt: skip


def segments(seed: int) -> list[Segment]:
    """A line, an arc either way and a cubic curve, drawn at random."""
    rng = random.Random(seed)

    def point() -> tuple[float, float]:
        return (rng.uniform(-90, 90), rng.uniform(-90, 90))

    return [
        Line(point(), point()),
        Arc(point(), rng.uniform(5, 60), rng.uniform(-7, 7), rng.uniform(0.2, 6)),
        Arc(point(), rng.uniform(5, 60), rng.uniform(-7, 7), -rng.uniform(0.2, 6)),
        Cubic(point(), point(), point(), point()),
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_ways_and_bends_are_the_derivatives_of_the_places(seed: int) -> None:
    """Central differences; the curvature is x' y" - y' x" over the cube of the speed."""
    for segment in segments(seed):
        assert (segment.at(0.0), segment.at(1.0)) == (pytest.approx(segment.start), pytest.approx(segment.end))
        for t in (0.1, 0.5, 0.83):
            step = 1e-4
            a, b, c = (np.array(segment.at(each)) for each in (t - step, t, t + step))
            way, turn = (c - a) / (2 * step), (c - 2 * b + a) / step**2
            assert segment.way(t) == pytest.approx(tuple(way), abs=1e-4 * (1 + hypot(*way)))
            bend = (way[0] * turn[1] - way[1] * turn[0]) / hypot(*way) ** 3
            assert segment.bend(t) == pytest.approx(bend, abs=1e-4 * (1 + abs(bend)))


@pytest.mark.parametrize("seed", SEEDS)
def test_chords_stay_within_their_tolerance_and_are_not_far_too_many(seed: int) -> None:
    for segment in segments(seed):
        for tolerance in (1.0, 0.1, 0.01):
            count = segment.steps(tolerance)
            worst = max(
                LineString([segment.at(k / count), segment.at((k + 1) / count)]).distance(Point(segment.at(t)))
                for k in range(count)
                for t in np.linspace(k / count, (k + 1) / count, 9)
            )
            assert worst <= tolerance * 1.0001
            if isinstance(segment, Arc) and count > 3:
                assert worst > tolerance / 2, "an arc's chords are all alike: one fewer would be too coarse"


@pytest.mark.parametrize("seed", SEEDS)
def test_lengths_are_those_of_many_chords_and_the_same_backwards(seed: int) -> None:
    for segment in segments(seed):
        points = np.array([segment.at(t) for t in np.linspace(0, 1, 20_001)])
        assert segment.length == pytest.approx(np.hypot(*np.diff(points, axis=0).T).sum(), rel=1e-5)
        back = segment.reversed()
        assert back.length == pytest.approx(segment.length)
        for t in (0.0, 0.3, 1.0):
            assert back.at(t) == pytest.approx(segment.at(1 - t))
            assert back.bend(t) == pytest.approx(-segment.bend(1 - t))


@pytest.mark.parametrize("seed", SEEDS)
def test_extents_touch_what_is_drawn_and_no_more(seed: int) -> None:
    for segment in segments(seed):
        points = np.array([segment.at(t) for t in np.linspace(0, 1, 20_001)])
        low, high = points.min(axis=0), points.max(axis=0)
        assert extent([segment]) == pytest.approx((*low, *high), abs=1e-5)


def test_a_cubic_that_is_nearly_quadratic_has_its_true_extent() -> None:
    """Raised from the quadratic curve (0, 0) (50, 80) (100, 0), whose top is at half the height of its handle."""
    first, second = (100 / 3, 160 / 3), (200 / 3, 160 / 3)
    assert extent([Cubic((0.0, 0.0), first, second, (100.0, 0.0))]) == pytest.approx((0, 0, 100, 40))
    nudged = Cubic((0.0, 0.0), first, (second[0], second[1] + 1e-13), (100.0, 0.0))
    assert extent([nudged]) == pytest.approx((0, 0, 100, 40))


@pytest.mark.parametrize(("widest", "off"), [(pi / 6, 4e-7), (pi / 4, 5e-6)])
def test_an_arc_as_cubic_curves_is_off_by_what_is_said(widest: float, off: float) -> None:
    for turn in (0.3, pi / 2, -2.0, 2 * pi):
        arc = Arc((3.0, -2.0), 100.0, 0.7, turn)
        cubics = arc.cubics(widest)
        assert len(cubics) == max(1, np.ceil(abs(turn) / widest - 1e-9))
        assert (cubics[0].start, cubics[-1].end) == (pytest.approx(arc.start), pytest.approx(arc.end))
        radii = [dist(cubic.at(t), arc.centre) for cubic in cubics for t in np.linspace(0, 1, 50)]
        assert max(abs(each - 100.0) for each in radii) < 100.0 * off


@pytest.mark.parametrize("seed", SEEDS)
def test_moves_are_the_matrices_of_svg(seed: int) -> None:
    rng = random.Random(seed)
    one, two = (Move(*(rng.uniform(-2, 2) for _ in range(6))) for _ in range(2))

    def matrix(move: Move) -> np.ndarray:
        return np.array([[move.a, move.c, move.e], [move.b, move.d, move.f], [0, 0, 1]])

    assert one.of((3.0, 5.0)) == pytest.approx(tuple((matrix(one) @ [3, 5, 1])[:2]))
    assert matrix(one @ two) == pytest.approx(matrix(one) @ matrix(two))
    assert one.area == pytest.approx(np.linalg.det(matrix(one)))
    assert shift(4.0, -3.0).of((1.0, 1.0)) == (5.0, -2.0)
    assert turned(pi / 2).of((1.0, 0.0)) == pytest.approx((0.0, 1.0))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("kind", ["turned", "mirrored", "larger", "skewed", "stretched"])
def test_a_moved_curve_is_where_its_points_go(seed: int, kind: str) -> None:
    move = {
        "turned": shift(5, 9) @ turned(0.8), "mirrored": Move(-1.0, 0.0, 0.0, 1.0, 3.0, 4.0) @ turned(0.3),
        "larger": Move(2.5, 0.0, 0.0, 2.5), "skewed": Move(1.0, 0.0, 0.4, 1.0), "stretched": Move(2.0, 0.0, 0.0, 1.0),
    }[kind]  # fmt: skip
    assert move.even is (kind not in ("skewed", "stretched"))
    for segment in segments(seed):
        moved = move.segment(segment)
        assert all(isinstance(each, type(segment)) for each in moved) or not move.even
        assert len(moved) == 1 or not move.even
        line = LineString([each.at(t) for each in moved for t in np.linspace(0, 1, 400)])
        for t in (0.0, 0.25, 0.6, 1.0):
            assert line.distance(Point(move.of(segment.at(t)))) < 0.01
        assert moved[0].start == pytest.approx(move.of(segment.start), abs=1e-9)
        assert moved[-1].end == pytest.approx(move.of(segment.end), abs=1e-9)


def test_loops_run_as_they_are_asked() -> None:
    assert moments(SQUARE) == pytest.approx((1200, 24_000, 18_000))  # 40 × 30, centred on 20, 15
    assert moments(backwards(SQUARE))[0] == pytest.approx(-1200)
    assert anticlockwise(SQUARE) == SQUARE
    assert anticlockwise(backwards(SQUARE)) == SQUARE
    circle = (Arc((7.0, -4.0), 10.0, 1.0, 2 * pi),)
    assert moments(circle) == pytest.approx((100 * pi, 700 * pi, -400 * pi))


@pytest.mark.parametrize("seed", SEEDS)
def test_inside_and_distance_agree_with_shapely(seed: int) -> None:
    rng = random.Random(seed)
    corners = [(50 + rng.uniform(10, 45) * cos(a), 50 + rng.uniform(10, 45) * sin(a)) for a in np.linspace(0, 6, 11)]
    shape = Polygon(corners)
    for _ in range(60):
        point = (rng.uniform(0, 100), rng.uniform(0, 100))
        assert inside(corners, point) is shape.contains(Point(point))
        assert distance(corners, point) == pytest.approx(shape.exterior.distance(Point(point)))
    assert distance([(1.0, 1.0), (1.0, 1.0)], (4.0, 5.0)) == pytest.approx(5)


@pytest.mark.parametrize("seed", SEEDS)
def test_moments_of_cubic_curves_are_exact(seed: int) -> None:
    """Against numpy's polynomials: half of x dy - y dx, and a third of it times x and y."""
    rng = random.Random(seed)
    curves, made = [], []
    here = first = np.array([rng.uniform(-90, 90) for _ in range(2)])
    for at in range(3):
        a, b, to = (np.array([rng.uniform(-90, 90) for _ in range(2)]) for _ in range(3))
        to = first if at == 2 else to
        made.append(Cubic(*(tuple(map(float, point)) for point in (here, a, b, to))))  # type: ignore[arg-type]
        curves.append([np.polynomial.Polynomial(np.array((p, 3 * (q - p), 3 * (r - 2 * q + p), s - 3 * r + 3 * q - p)))
                       for p, q, r, s in zip(here, a, b, to, strict=True)])  # fmt: skip
        here = to
    area = x_moment = y_moment = 0.0
    for x, y in curves:
        swept = x * y.deriv() - y * x.deriv()
        area += (swept.integ()(1)) / 2
        x_moment += (swept * x).integ()(1) / 3
        y_moment += (swept * y).integ()(1) / 3
    assert moments(made) == pytest.approx((area, x_moment, y_moment), rel=1e-9)


@pytest.mark.parametrize("radius", [0.2, 0.6, 40.0])
def test_moments_of_arcs_are_those_of_the_disc(radius: float) -> None:
    disc = (Arc((7.0, -4.0), radius, 1.0, 2 * pi),)
    area = pi * radius**2
    assert moments(disc) == pytest.approx((area, 7 * area, -4 * area), rel=1e-7)


def test_a_cubic_curve_bends_by_its_size() -> None:
    """A curve a hundredth as large bends a hundred times as much; where its handle is in its end it has no way to go
    there, and no bend."""
    large = Cubic((0.0, 0.0), (10.0, 30.0), (50.0, 40.0), (90.0, 0.0))
    small = Move(0.01, 0.0, 0.0, 0.01).segment(large)[0]
    assert small.bend(0.3) == pytest.approx(100 * large.bend(0.3))
    assert Cubic((0.0, 0.0), (0.0, 0.0), (50.0, 40.0), (90.0, 0.0)).bend(0.0) == 0.0


def spots(*points: tuple[float, float]) -> list[tuple[Length, Length]]:
    return [(Length.of(x, "mm"), Length.of(y, "mm")) for x, y in points]


@pytest.mark.parametrize("seed", range(20))
def test_an_arc_through_a_point_is_on_the_circle_of_its_three_points(seed: int) -> None:
    """Its radius is that of the circumscribed circle, a b c / 4 K (Euclid's construction, in lengths)."""
    rng = random.Random(seed)
    start, through, end, last = ((rng.uniform(-90, 90), rng.uniform(-90, 90)) for _ in range(4))
    begin, m, to, back = spots(start, through, end, last)
    (loop,) = loops_of(Path(begin, (PathStep(to=to, through=m), PathStep(to=back))), "path")
    arc = loop[0]
    assert isinstance(arc, Arc)
    a, b, c = dist(start, through), dist(through, end), dist(end, start)
    assert arc.radius == pytest.approx(a * b * c / (4 * Polygon([start, through, end]).area))
    assert (arc.start, arc.end) == (pytest.approx(start), pytest.approx(end))
    assert LineString([arc.at(t) for t in np.linspace(0, 1, 2000)]).distance(Point(through)) < 0.01 * arc.radius
    assert abs(arc.turn) < 2 * pi


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("bows", ["out", "in"])
def test_an_arc_of_a_radius_bows_out_of_its_outline_or_into_it(seed: int, bows: Bows) -> None:
    rng = random.Random(seed)
    corners = [(rng.uniform(20, 90) * cos(a), rng.uniform(20, 90) * sin(a)) for a in (0.3, 2.2, 4.4)]
    corners = corners[::-1] if seed % 2 else corners
    radius = dist(corners[0], corners[1]) / 2 * rng.uniform(1.001, 3)
    begin, to, back = spots(*corners)
    steps = (PathStep(to=to, radius=Length.of(radius, "mm"), bows=bows), PathStep(to=back))
    (arc, *_) = loops_of(Path(begin, steps), "path")[0]
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(radius, rel=1e-6)
    assert (arc.start, arc.end) == (pytest.approx(corners[0], abs=1e-6), pytest.approx(corners[1], abs=1e-6))
    assert abs(arc.turn) <= pi
    middle = np.add(corners[0], corners[1]) / 2
    top, half = np.array(arc.at(0.5)), dist(corners[0], corners[1]) / 2
    assert dist(top, middle) == pytest.approx(radius - sqrt(radius**2 - half**2), abs=1e-4)
    toward = middle + (top - middle) * 1e-3 / dist(top, middle)
    assert Polygon(corners).contains(Point(toward)) is (bows == "in")


def test_a_drawing_is_flipped_and_its_lowest_point_is_at_zero() -> None:
    (loop,) = loops_of(SvgPath("M10 20H60V90z", Length.of(1, "mm")))
    assert [segment.start for segment in loop] == [pytest.approx(each) for each in ((10, 70), (60, 70), (60, 0))]
    large, small = loops_of(SvgPath("M1 1H2V2z M10 20H60V90z", Length.of(25.4, "mm")))
    assert extent(large) == pytest.approx((254, 0, 1524, 1778))
    assert extent(small) == pytest.approx((25.4, 88 * 25.4, 50.8, 89 * 25.4))


def test_a_round_arc_of_a_drawing_stays_an_arc() -> None:
    radii = ("9 9", "9 9.001", "1 1")
    assert [type(svg_loops(f"M0 0A{each} 0 0 1 10 0z")[0][0]) for each in radii] == [Arc, Cubic, Arc]
    (half, _) = svg_loops("M0 0A1 1 0 0 1 10 0z")[0]  # too small to reach: it is made large enough (F.6.6)
    assert half == Arc((5.0, 0.0), 5.0, pytest.approx(pi), pytest.approx(pi))  # type: ignore[arg-type]
