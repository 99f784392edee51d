"""A piece as a solid: lengths, tips, tapers, holes, volume, against plane geometry and shapely."""

from __future__ import annotations

import math
import random
from fractions import Fraction

import numpy as np
import pytest
from made import ends, mm, part
from shapely.geometry import LineString, Point, Polygon

from tracker.design.model import EndCut, EndCuts, FaceName, Hole, Measured, RingJoint, SplayedLegJoint, Taper
from tracker.measure import inches, millimetres
from tracker.plan.geometry import Solid, solid


def face(chance: random.Random) -> FaceName:
    return "top" if chance.random() < 0.5 else "bottom"


def test_a_square_piece_is_exact_to_the_last_fraction() -> None:
    piece = solid(part(length=inches("23 5/8"), allowance=inches("1/3")))
    edges = piece.edges
    assert {edges.near_top, edges.far_top, edges.near_bottom, edges.far_bottom, edges.middle, edges.overall} == {
        inches("23 5/8")
    }
    assert piece.blank_length.mm == (Fraction(189, 8) + Fraction(1, 3)) * Fraction(254, 10)
    assert not piece.b.miter


@pytest.mark.parametrize(
    ("across_flats", "sides", "width", "long", "short"),
    [(600, 8, 80, 248.528, 182.254), (500, 6, 75, 288.675, 202.073), (400, 4, 60, 400, 280)],
)
def test_long_and_short_points_of_a_flat_ring(
    across_flats: float, sides: int, width: float, long: float, short: float
) -> None:
    """Long point = D tan(180/N), short = long - 2 w tan(180/N): plane geometry of a regular polygon."""
    side = across_flats * math.tan(math.pi / sides)
    edges = solid(part(length=side, width=width, ends=RingJoint(sides=sides, lean=90))).edges
    assert mm(edges.far_top) == pytest.approx(long, abs=5.5e-4)
    assert mm(edges.near_top) == pytest.approx(short, abs=5.5e-4)
    assert edges.far_top == edges.far_bottom


def test_mitred_ends_toward_each_other_and_parallel() -> None:
    """w = 80, 30° and 20°: short = long - w (tan 30 + tan 20); parallel: both edges L, overall L + w tan 30."""
    toward = solid(part(ends=ends(30, 20))).edges
    assert mm(toward.far_top) == 600
    assert mm(toward.near_top) == pytest.approx(600 - 80 * (math.tan(math.pi / 6) + math.tan(math.pi / 9)))
    parallel = solid(part(ends=ends(30, 30, a_long="near"))).edges
    assert parallel.far_top == parallel.near_top == millimetres(600)
    assert mm(parallel.overall) == pytest.approx(600 + 80 * math.tan(math.pi / 6))


COMPOUND = EndCuts(a=EndCut(miter=20, bevel=10, long="near", long_face="bottom"), b=EndCut(miter=15, bevel=25))


@pytest.mark.parametrize("measured", ["long", "short", "middle", "overall"])
def test_the_figure_as_measured_is_met_exactly(measured: Measured) -> None:
    for cut in (ends(30, 20), ends(30, 20, a_long="near"), COMPOUND):
        edges = solid(part(ends=cut, measured=measured)).edges
        four = [edges.near_top, edges.far_top, edges.near_bottom, edges.far_bottom]
        found = {"long": max(four), "short": min(four), "middle": edges.middle, "overall": edges.overall}[measured]
        assert found == millimetres(600)


def test_edges_and_overall_are_the_distances_between_the_corners() -> None:
    chance = random.Random(1)
    for _ in range(300):
        cut = EndCuts(
            a=EndCut(miter=chance.uniform(0, 60), bevel=chance.uniform(0, 60), long=chance.choice(["near", "far"])),
            b=EndCut(miter=chance.uniform(0, 60), bevel=chance.uniform(0, 60), long_face=face(chance)),
        )  # fmt: skip
        piece = solid(part(length=2000, ends=cut))
        corners = np.array(piece.corners)
        lengths = corners[4:, 0] - corners[:4, 0]
        edges = piece.edges
        wanted = [edges.near_bottom, edges.far_bottom, edges.near_top, edges.far_top]
        assert lengths == pytest.approx([mm(edge) for edge in wanted], abs=1e-9)
        assert lengths.mean() == pytest.approx(mm(edges.middle), abs=1e-9)
        assert np.ptp(corners[:, 0]) == pytest.approx(mm(edges.overall), abs=1e-9)
        assert corners[:, 0].min() == pytest.approx(0, abs=1e-9)


def test_a_right_hand_piece_is_the_mirror_image() -> None:
    plan = part(
        left=1, right=1, ends=COMPOUND,
        tapers=(Taper(edges="near", start=millimetres(100), end="B", leave=millimetres(50)),),
        holes=(Hole(kind="pocket", end="A", from_edge=(millimetres(15),), face="bottom"),),
    )  # fmt: skip
    left, right = solid(plan, plan.hand(1)), solid(plan, plan.hand(2))
    assert (left.b.long, right.b.long) == ("far", "near")
    assert left.b.long_face == right.b.long_face
    assert left.edges.far_top == right.edges.near_top
    assert right.tapers[0].edge == "far"
    assert right.holes[0].enters[1] == 80 - left.holes[0].enters[1]
    mirrored = Polygon([(x, 80 - y) for x, y in left.silhouette()])
    assert mirrored.symmetric_difference(Polygon(right.silhouette())).area < 1e-6
    assert left.volume == pytest.approx(right.volume)


def test_a_splayed_leg_has_parallel_ends_and_four_equal_edges() -> None:
    """H 420, 12°/8°: L 433.421, computed independently and verified by rotations; tips stand past by w tan m and
    t tan b / cos m."""
    plan = part(
        length=None, width=40, thickness=40, allowance=25,
        ends=SplayedLegJoint(height=millimetres(420), front=12, side=8),
    )  # fmt: skip
    piece = solid(plan)
    assert {piece.edges.near_top, piece.edges.far_top, piece.edges.near_bottom, piece.edges.far_bottom} == {
        piece.length
    }
    assert mm(piece.length) == pytest.approx(433.421, abs=5.5e-4)
    m, b = math.radians(piece.b.miter), math.radians(piece.b.bevel)
    tips = 40 * math.tan(m) + 40 * math.tan(b) / math.cos(m)
    assert mm(piece.edges.overall) == pytest.approx(433.421 + tips, abs=1e-3)
    assert piece.blank_length == piece.edges.overall + millimetres(25)


def test_a_blank_is_the_longest_length_and_its_allowance() -> None:
    assert solid(part(ends=ends(30, 30), allowance=25)).blank_length == millimetres(625)


def tapered(*tapers: Taper, **changes: object) -> Solid:
    return solid(part(tapers=tapers, **changes))


def test_tapers_take_off_what_is_drawn() -> None:
    """Areas by hand: a triangle 250 long and 20 deep; on both edges two of 250 by 10."""
    one = Taper(edges="near", start=millimetres(350), end="B", leave=millimetres(60))
    both = Taper(edges="both", start=millimetres(350), end="A", leave=millimetres(60))
    whole = 600 * 80 * 20
    assert tapered(one).volume == pytest.approx(whole - 250 * 20 / 2 * 20)
    assert tapered(both).volume == pytest.approx(whole - 250 * 10 / 2 * 2 * 20)
    assert tapered(one, both).volume == pytest.approx(whole - (250 * 20 / 2 + 250 * 10 / 2 * 2) * 20)
    assert tapered(one).tapers[0].angle == pytest.approx(math.degrees(math.atan(20 / 250)))
    assert [shape.angle for shape in tapered(both).tapers] == pytest.approx([math.degrees(math.atan(10 / 250))] * 2)


def test_a_second_taper_at_an_end_leaves_its_width_of_what_the_first_left() -> None:
    near = Taper(edges="near", start=millimetres(200), end="B", leave=millimetres(60))
    far = Taper(edges="far", start=millimetres(300), end="B", leave=millimetres(50))
    outline = Polygon(tapered(near, far).silhouette())
    end = outline.intersection(LineString([(600 - 1e-9, -1), (600 - 1e-9, 81)]))
    assert end.length == pytest.approx(50, abs=1e-6)


def test_a_taper_is_marked_out_along_its_own_edge() -> None:
    """End A mitred 30°, the far edge longer: the near edge begins 80 tan 30 further right, and start counts from it."""
    piece = tapered(
        Taper(edges="near", start=millimetres(100), end="B", leave=millimetres(60)), ends=ends(30, 0), length=600
    )
    assert mm(piece.tapers[0].start_x) == pytest.approx(80 * math.tan(math.pi / 6) + 100)
    assert mm(piece.tapers[0].end_x) == 600


def test_volume_is_what_shapely_adds_up_slice_by_slice() -> None:
    chance = random.Random(2)
    for _ in range(20):
        cut = EndCuts(
            a=EndCut(miter=chance.uniform(0, 45), bevel=chance.uniform(0, 45)),
            b=EndCut(miter=chance.uniform(0, 45), bevel=chance.uniform(0, 45), long="near", long_face="bottom"),
        )
        piece = tapered(
            Taper(edges="far", start=millimetres(400), end="B", leave=millimetres(chance.uniform(20, 70))),
            length=900, ends=cut,
        )  # fmt: skip
        count = 400
        slices = [Polygon(piece.section((n + 0.5) * 20 / count)).area * 20 / count for n in range(count)]
        assert piece.volume == pytest.approx(sum(slices), rel=1e-5)


def test_weight() -> None:
    """600 × 80 × 20 mm of red oak at 706 kg/m³ (Wood Handbook, from memory): 0.678 kg."""
    assert solid(part()).weight(706) == pytest.approx(0.67776)
    assert solid(part()).weight(None) is None


def test_holes_go_where_the_plan_says() -> None:
    """Pocket: in at (T/2) / tan 15° from the end, out at mid-thickness. Common practice, no source."""
    plan = part(
        holes=(
            Hole(kind="pocket", end="B", from_edge=(millimetres(20), millimetres(60)), face="bottom"),
            Hole(
                kind="blind", end="A", from_edge=(millimetres(40),), face="top", from_end=millimetres(50),
                depth=millimetres(12),
            ),
            Hole(kind="through", end="B", from_edge=(millimetres(40),), face="top", from_end=millimetres(50)),
        )
    )  # fmt: skip
    first, second, blind, through = solid(plan).holes
    back = 10 / math.tan(math.radians(15))
    assert first.enters == pytest.approx((600 - back, 20, 0))
    assert first.leaves == pytest.approx((600, 20, 10))
    assert second.enters[1] == 60
    assert (blind.enters, blind.leaves) == ((50, 40, 20), (50, 40, 8))
    assert (through.enters, through.leaves) == ((550, 40, 20), (550, 40, 0))


def test_a_pocket_hole_leaves_a_mitred_end_on_the_cut() -> None:
    plan = part(
        ends=RingJoint(sides=6, lean=10),
        holes=(Hole(kind="pocket", end="B", from_edge=(millimetres(20),), face="bottom"),),
    )
    piece = solid(plan)
    (hole,) = piece.holes
    assert hole.leaves[0] == pytest.approx(piece.reach("B", 20, 10))
    assert Polygon(piece.silhouette()).contains(Point(hole.enters[:2]))


def test_faces_and_silhouette_are_the_hulls_of_the_corners() -> None:
    chance = random.Random(3)
    for _ in range(200):
        cut = EndCuts(
            a=EndCut(miter=chance.uniform(0, 60), bevel=chance.uniform(0, 60), long_face=face(chance)),
            b=EndCut(miter=chance.uniform(0, 60), bevel=chance.uniform(0, 60), long=chance.choice(["near", "far"])),
        )  # fmt: skip
        piece = solid(part(length=2000, ends=cut))
        corners = np.array(piece.corners)
        hull = Polygon([tuple(point) for point in corners[:, :2]]).convex_hull
        top = Polygon([tuple(point[:2]) for point in corners if point[2] == 20]).convex_hull
        assert Polygon(piece.silhouette()).symmetric_difference(hull).area < 1e-6 * hull.area
        assert Polygon(piece.section(20)).symmetric_difference(top).area < 1e-6 * hull.area
        assert Polygon(piece.silhouette()).exterior.is_ccw


def test_what_has_no_shape_is_refused() -> None:
    with pytest.raises(ValueError, match="length"):
        solid(part(length=None))
    with pytest.raises(ValueError, match="sides"):
        solid(part(ends=RingJoint(sides=2)))
    with pytest.raises(ValueError, match="tangent"):
        solid(part(ends=ends(90, 0)))
