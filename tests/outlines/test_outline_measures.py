"""Measures of an outline against shapely and sums by hand; the check values are those of the design."""

from __future__ import annotations

import random
from itertools import pairwise
from math import dist, hypot, pi, sin, sqrt, tan

import pytest
from outline_kit import FORK, SEAT, build_with, made, polygon, random_corners, random_outline, ring, turn_at
from shapely.geometry import Polygon

from tracker.cards.reports.template import area_and_centre, template_report
from tracker.cards.template.template import grain_arrows
from tracker.plan.outline import OutlineError, boards, fit
from tracker.plan.outline.bends import blade_turns, least_turn, tightest
from tracker.plan.outline.curve import Arc, Cubic, extent, flat, moments, perimeter
from tracker.plan.outline.offset import for_bush
from tracker.plan.outline.outlined import outlined
from tracker.plan.outline.short_grain import _lines as grain_lines
from tracker.plan.outline.short_grain import short_grain
from tracker.plan.outline.weak_places import short_grain_of
from tracker.plan.place import Placer


def test_the_seat_has_its_check_values() -> None:
    seat = made(SEAT)
    area, centre = area_and_centre(seat)
    assert area == pytest.approx(94_462.8, abs=0.05)
    assert perimeter(seat.outer) == pytest.approx(1_203.87, abs=0.005)
    assert centre == pytest.approx((170, 146.58), abs=0.005)
    bend = tightest(seat.outer)
    assert bend is not None
    assert bend.radius == pytest.approx(30)


@pytest.mark.parametrize("seed", range(12))
def test_measures_agree_with_shapely(seed: int) -> None:
    rng = random.Random(seed)
    for _ in range(3):
        each = made(random_outline(rng))
        shape = polygon(each)
        area, centre = area_and_centre(each)
        assert area == pytest.approx(shape.area, rel=1e-6)
        assert dist(centre, shape.centroid.coords[0]) < 1e-3
        assert perimeter(each.outer) == pytest.approx(shape.exterior.length, rel=5e-6)
        assert extent(each.outer) == pytest.approx(shape.bounds, abs=2e-4)


@pytest.mark.parametrize("seed", range(8))
def test_rounded_corners_take_what_geometry_says(seed: int) -> None:
    """A rounding of radius r where the way turns by a takes r² (tan a/2 - a/2) of the area and r (2 tan a/2 - a) of the
    length, or gives them at an inside corner."""
    corners = random_corners(random.Random(seed))
    sharp = Polygon([corner[:2] for corner in corners])
    area, length = sharp.area, sharp.exterior.length
    for at, (_, _, r) in enumerate(corners):
        turn = turn_at(corners, at)
        area -= r * r * (tan(turn / 2) - turn / 2)
        length -= r * (2 * tan(abs(turn) / 2) - abs(turn))
    each = made(f"corners = {[list(corner) for corner in corners]}")
    assert moments(each.outer)[0] == pytest.approx(area, rel=1e-9)
    assert perimeter(each.outer) == pytest.approx(length, rel=1e-9)


def test_an_arc_goes_through_its_point_and_a_radius_is_one() -> None:
    each = made(
        "path = [{ from = [0, 0] }, { to = [900, 0], through = [450, -38] }, { to = [900, 400] }, { to = [0, 400] }]"
    )
    (arc,) = (part for part in each.outer if isinstance(part, Arc))
    assert arc.radius == pytest.approx((450**2 + 38**2) / (2 * 38))  # the sagitta of a chord
    steps = '{ to = [900, 0] }, { to = [900, 300], radius = 500, bows = "out" }, { to = [0, 300] }'
    bowed = f"path = [{{ from = [0, 0] }}, {steps}]"
    right = extent(made(bowed).outer)[2]
    assert right == pytest.approx(900 + 500 - sqrt(500**2 - 150**2))
    assert extent(made(bowed.replace('"out"', '"in"')).outer)[2] == pytest.approx(900)


def test_out_is_out_whichever_way_the_path_runs() -> None:
    arc = 'radius = 800, bows = "out"'
    there = f"path = [{{ from = [0, 0] }}, {{ to = [900, 0], {arc} }}, {{ to = [900, 300] }}, {{ to = [0, 300] }}]"
    back = f"path = [{{ from = [900, 0] }}, {{ to = [0, 0], {arc} }}, {{ to = [0, 300] }}, {{ to = [900, 300] }}]"
    assert moments(made(there).outer)[0] == pytest.approx(moments(made(back).outer)[0])


def test_a_batten_lies_on_its_nails_with_one_curvature_on_both_sides() -> None:
    nails = [[930, 120], [905, 260], [900, 520]]
    each = made(f"path = [{{ from = [0, 0] }}, {{ to = [900, 0] }}, {{ smooth = {nails} }}, {{ to = [0, 520] }}]")
    curves = [part for part in each.outer if isinstance(part, Cubic)]
    assert [curve.end for curve in curves] == [pytest.approx(nail) for nail in nails]
    for one, two in pairwise(curves):
        assert one.bend(1.0) == pytest.approx(two.bend(0.0), abs=1e-9)
    assert curves[0].bend(0.0) == pytest.approx(0, abs=1e-9)
    assert curves[-1].bend(1.0) == pytest.approx(0, abs=1e-9)


def test_a_closed_batten_round_a_circle_of_nails_is_nearly_one() -> None:
    count, r = 24, 200.0
    nails = [
        [round(r * sin(2 * pi * at / count), 6), round(-r * sin(2 * pi * at / count + pi / 2), 6)]
        for at in range(1, count + 1)
    ]
    each = made(f"path = [{{ from = {nails[-1]} }}, {{ smooth = {nails} }}]")
    assert len(each.outer) == count
    assert all(abs(hypot(*curve.at(0.5)) - r) < 0.02 for curve in each.outer)
    assert least_turn(each.outer) == pytest.approx(r, rel=0.02)


@pytest.mark.parametrize("seed", range(6))
def test_what_stays_of_each_board_agrees_with_shapely(seed: int) -> None:
    each = made(random_outline(random.Random(100 + seed)))
    whole = polygon(each, 0.001)
    for kept, board in zip(boards(each), each.panel.boards, strict=True):
        strip = Polygon([each.own(corner) for corner in board.corners])
        left = whole.intersection(strip)
        assert kept.area == pytest.approx(left.area, abs=0.02 * perimeter(each.outer))
        solid = Polygon(whole.exterior).intersection(strip)
        assert kept.widest == pytest.approx(0 if solid.is_empty else solid.bounds[3] - solid.bounds[1], abs=0.05)


def test_it_fits_to_the_tenth_of_a_millimetre() -> None:
    square = "corners = [[0, 0], [300, 0], [300, 200], [0, 200]]\n"
    assert fit(made(f"{square}at = {{ left = 7, front = 300 }}\nmargin = 3")).least == pytest.approx(4)
    assert fit(made(f"{square}at = {{ left = 2, front = 300 }}\nmargin = 3")).fits is False
    assert fit(made(f"{square}at = {{ right = -5, front = 300 }}")).side == "right"
    middle = fit(made("oval = [900, 950]"))
    assert (middle.fits, middle.least) == (True, pytest.approx(5))


def test_half_an_outline_mirrored_is_the_whole() -> None:
    half = (
        "corners = [[0, 0, 45], [170, 0], [170, 300], [0, 300, 70], [0, 190, 50], [30, 150, 30], [0, 110, 50]]\n"
        'cutouts = [{ slot = [95, 25], at = [170, 222.5] }]\nmirror = "left-right"\n'
    )
    mirrored, whole = made(half), made(SEAT)
    assert polygon(mirrored).symmetric_difference(polygon(whole)).area < 0.01
    both = made(SEAT + 'mirror = "left-right"\n')  # a whole outline that says it is mirrored stays what it is
    assert area_and_centre(both)[0] == pytest.approx(area_and_centre(whole)[0])
    quarter = made(
        "corners = [[0, 0, 30], [200, 0], [200, 100], [0, 100]]\n"
        'cutouts = [{ circle = 20, at = [60, 50] }]\nmirror = "both"\n'
    )
    front = made('corners = [[0, 0, 30], [200, 0], [200, 100], [0, 100]]\nmirror = "front-back"\n')
    assert ring(front.outer).bounds == pytest.approx((0, 0, 200, 200))
    assert area_and_centre(front)[0] == pytest.approx(200 * 200 - 2 * 900 * (1 - pi / 4))
    assert ring(quarter.outer).bounds == pytest.approx((0, 0, 400, 200))
    assert len(quarter.cutouts) == 4


def test_short_grain_is_what_the_design_worked_out() -> None:
    fork = made(FORK)
    (spine,) = short_grain_of(fork)
    assert (round(spine.reach), round(spine.longest), round(spine.share, 2)) == (57, 49, 1.15)
    fingers = short_grain([flat(fork.outer, 0.05)], 90.0)
    assert [(round(f.reach), round(f.longest)) for f in fingers] == [(105, 46), (105, 48)]


def test_blades_turn_what_charts_say() -> None:
    """1/8, 1/4, 3/8 and 1/2 in turn in 5, 16, 37 and 64 mm by charts of band saw blades (from memory)."""
    for width, chart in (("1/8", 5), ("1/4", 16), ("3/8", 37), ("1/2", 64)):
        top, bottom = map(int, width.split("/"))
        assert blade_turns(25.4 * top / bottom) == pytest.approx(chart, abs=2)


def test_the_report_has_its_contract() -> None:
    build = build_with(SEAT)
    each = outlined(build, Placer(build), build.outlines[0])
    report = template_report(build, each)
    assert {"area_mm2", "perimeter_mm", "centre_mm", "fits", "least_mm", "inside_radius_mm", "necks", "boards"} <= set(
        report
    )
    assert all({"at_mm", "width_mm", "as_strong_as_mm"} <= set(neck) for neck in report["necks"])
    assert all({"name", "area_mm2", "widest_mm"} <= set(board) for board in report["boards"])


@pytest.mark.parametrize("outline", [SEAT, FORK, "oval = [300, 200]"])
def test_a_template_for_a_guide_bush_is_smaller_all_round(outline: str) -> None:
    """By half the difference of bush and bit, against shapely's offset."""
    each = made(outline)
    moved = for_bush(each, 17.0, 8.0)
    judge = polygon(each, 1e-3).buffer(-4.5, quad_segs=200)
    assert polygon(moved).symmetric_difference(judge).area < 0.01 * judge.length


def test_a_bush_that_leaves_nothing_is_said() -> None:
    with pytest.raises(OutlineError, match="falls into parts"):
        for_bush(made("slot = [100, 12]"), 40.0, 8.0)


def test_a_row_of_grain_through_a_corner_is_counted_once() -> None:
    """The middle row of a square that stands on a corner runs through both side corners: one line, as long as the
    square is wide."""
    diamond = [(0.0, -5.0), (5.0, 0.0), (0.0, 5.0), (-5.0, 0.0)]
    assert list(grain_lines([diamond], -5.0, 10.0, 1)) == [[(-5.0, 5.0)]]
    assert [len(row) for row in grain_lines([diamond], -5.0, 2.5, 4)] == [1, 1, 1, 1]


def test_arrows_along_the_grain_are_spread_over_the_whole_panel() -> None:
    """Each arrow is in the middle of its share of the panel: as many left as right, as many in front as behind."""
    each = made("corners = [[0, 0], [720, 0], [720, 420], [0, 420]]\n")
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in (run for run in grain_arrows(each) if len(run) == 2)]
    x0, y0, x1, y1 = extent(each.outer)
    assert len(middles) == round((x1 - x0) / 90) * round((y1 - y0) / 70)
    for axis, (low, high) in enumerate(((x0, x1), (y0, y1))):
        along = sorted({round(middle[axis], 6) for middle in middles})
        assert along[0] - low == pytest.approx(high - along[-1])
