"""The drawing of a piece: to scale, with the angles at their ends, the tips, tapers, holes and blank."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from tracker.cards.piece.drawing import Drawing, Progress, draw
from tracker.design.model import EdgeName, EndCut, EndCuts, Hole, Part, RingJoint, Taper
from tracker.measure import millimetres
from tracker.plan.geometry import solid
from tracker.plan.laps import LapShape

RAIL = Part(
    id="rail", name="Rail", quantity=1, wood="oak", length=millimetres(600), width=millimetres(80),
    thickness=millimetres(20), allowance=millimetres(30), ends=EndCuts(),
    left=0, right=0, rings=0.0, labels=True, line=0,
)  # fmt: skip

NOTHING_DONE = Progress(cut=False, trimmed_a=False, trimmed_b=False, tapered=False, lapped=False, drilled=False)


def drawn(part: Part, *, trimmed_a: bool = False, trimmed_b: bool = False) -> Drawing:
    return draw(solid(part), done=Progress(trimmed_a=trimmed_a, trimmed_b=trimmed_b))


def test_a_square_piece_inside_its_blank() -> None:
    drawing = drawn(RAIL)
    assert list(drawing.outline) == [(0, 0), (600, 0), (600, 80), (0, 80)]
    assert drawing.top_face == drawing.outline
    assert not drawing.hidden
    assert list(drawing.blank) == [(-15, 0), (615, 0), (615, 80), (-15, 80)]
    a, b = drawing.ends
    assert (a.square, b.square) == (True, True)
    assert (a.miter, a.bevel, a.swing, a.long_point) == ("", "", "", None)
    assert (a.end, b.end) == ("A", "B")


def test_the_blank_shrinks_as_ends_are_trimmed() -> None:
    assert [point[0] for point in drawn(RAIL, trimmed_a=True).blank] == [0, 615, 615, 0]
    assert [point[0] for point in drawn(RAIL, trimmed_b=True).blank] == [-15, 600, 600, -15]
    assert drawn(RAIL, trimmed_a=True, trimmed_b=True).blank == ()
    assert drawn(replace(RAIL, allowance=millimetres(0))).blank == ()
    trimmed = drawn(RAIL, trimmed_a=True)
    assert (trimmed.ends[0].trimmed, trimmed.ends[1].trimmed) == (True, False)


def test_a_mitred_end_points_where_it_is_longer() -> None:
    edges: tuple[tuple[EdgeName, float], ...] = (("far", 80.0), ("near", 0.0))
    for long, y in edges:
        ends = EndCuts(a=EndCut(miter=30), b=EndCut(miter=15, long=long))
        drawing = drawn(replace(RAIL, ends=ends))
        a, b = drawing.ends
        assert (a.miter, a.swing) == ("30°", "far edge longer")
        assert (b.miter, b.bevel, b.swing) == ("15°", "", f"{long} edge longer")
        assert a.long_point == pytest.approx((0, 80))
        assert b.long_point is not None
        assert b.long_point[1] == y
        assert b.long_point[0] == max(x for x, _ in drawing.outline)


def test_a_ring_side_shows_its_bevels() -> None:
    drawing = drawn(replace(RAIL, ends=RingJoint(sides=6, lean=10)))
    for note in drawing.ends:
        assert (note.miter, note.bevel) == ("5.7°", "29.5°")
        assert note.swing == "far edge and top face longer"
    assert Polygon(drawing.top_face).symmetric_difference(Polygon(drawing.outline)).area < 1e-6
    assert len(drawing.hidden) == 2
    back = 20 * math.tan(math.radians(29.4987)) / math.cos(math.radians(5.7251))
    (low_a, high_a), (low_b, _) = drawing.hidden
    assert high_a[0] == pytest.approx(back, abs=1e-3)
    assert low_a[1] == low_b[1] == 0
    whole = Polygon(drawing.outline)
    assert all(whole.buffer(1e-9).contains(Spot(point)) for line in drawing.hidden for point in line)


def test_where_the_bottom_face_is_longer_its_edge_is_seen() -> None:
    drawing = drawn(replace(RAIL, ends=EndCuts(b=EndCut(bevel=45, long_face="bottom"))))
    assert not drawing.hidden
    assert max(x for x, _ in drawing.outline) - max(x for x, _ in drawing.top_face) == pytest.approx(20)


def test_an_angle_that_no_scale_shows_is_not_written() -> None:
    a = drawn(replace(RAIL, ends=EndCuts(a=EndCut(miter=0.03, bevel=0.04)))).ends[0]
    assert (a.square, a.swing, a.long_point) == (True, "", None)


def test_tapers_and_holes_and_grain() -> None:
    part = replace(
        RAIL,
        grain="across",
        tapers=(Taper(edges="near", start=millimetres(200), end="B", leave=millimetres(50)),),
        holes=(
            Hole(kind="pocket", end="A", from_edge=(millimetres(20), millimetres(60)), face="bottom"),
            Hole(kind="through", end="A", from_edge=(millimetres(40),), face="top", from_end=millimetres(100)),
        ),
    )
    drawing = drawn(part)
    assert drawing.grain == "across"
    assert Polygon(drawing.outline).area == pytest.approx(600 * 80 - 400 * 30 / 2)
    assert Polygon(drawing.outline).exterior.is_ccw
    first, second, through = drawing.holes
    assert first.start == pytest.approx((10 / math.tan(math.radians(15)), 20))
    assert first.tip == pytest.approx((0, 20))
    assert second.start[1] == 60
    assert first.hidden
    assert first.pocket
    assert list(through.start) == list(through.tip) == [100, 40]
    assert not through.hidden
    assert not through.pocket


def test_a_right_hand_drawing_is_the_mirror_image() -> None:
    part = replace(RAIL, quantity=2, left=1, right=1, ends=EndCuts(b=EndCut(miter=20, bevel=10)))
    left, right = (draw(solid(part, part.hand(piece))) for piece in (1, 2))
    mirrored = Polygon([(x, 80 - y) for x, y in left.outline])
    assert mirrored.symmetric_difference(Polygon(right.outline)).area < 1e-6
    assert right.ends[1].swing == "near edge and top face longer"


def test_the_long_point_is_a_corner_that_is_left_when_a_taper_takes_the_tip() -> None:
    part = replace(
        RAIL,
        ends=EndCuts(b=EndCut(miter=30)),
        tapers=(Taper(edges="far", start=millimetres(300), end="B", leave=millimetres(40)),),
    )
    drawing = drawn(part)
    point = drawing.ends[1].long_point
    assert point is not None
    assert point in drawing.top_face
    assert Polygon(drawing.outline).buffer(1e-6).contains(Spot(point))


def test_what_is_to_come_is_told_from_what_is_done() -> None:
    part = replace(
        RAIL,
        ends=EndCuts(a=EndCut(miter=30)),
        tapers=(Taper(edges="near", end="B", start=millimetres(200), leave=millimetres(50)),),
        holes=(Hole(kind="through", end="A", from_edge=(millimetres(40),), face="top", from_end=millimetres(60)),),
    )
    blank = draw(solid(part), done=NOTHING_DONE)
    assert [note.next for note in blank.ends] == [False, False], "first the blank is cut"
    assert not blank.tapers[0].done
    assert not blank.holes[0].done
    cut = draw(solid(part), done=replace(NOTHING_DONE, cut=True))
    assert [note.next for note in cut.ends] == [True, True]
    assert draw(solid(part)).tapers[0].done


def test_a_taper_s_waste_and_the_piece_make_the_whole_board() -> None:
    part = replace(
        RAIL, tapers=(Taper(edges="both", end="B", start=millimetres(200), leave=millimetres(40)),)
    )  # fmt: skip
    drawing = draw(solid(part), done=NOTHING_DONE)
    piece, waste = Polygon(drawing.outline), [Polygon(taper.waste) for taper in drawing.tapers]
    assert len(waste) == 2
    assert piece.area + sum(each.area for each in waste) == pytest.approx(600 * 80)
    assert sum(each.area for each in waste) == pytest.approx(400 * 40 / 2), "two triangles of 400 by 20"
    for taper in drawing.tapers:
        (start, tip) = taper.lines[0]
        assert Polygon(taper.waste).distance(Spot(start)) == pytest.approx(0)
        assert Polygon(taper.waste).distance(Spot(tip)) == pytest.approx(0)


def test_a_half_lap_lies_between_its_shoulders() -> None:
    lap = LapShape(
        crosses="rail", end="A", face="top", edge="near", from_end=millimetres(100), along=millimetres(60),
        depth=millimetres(10), miter=0.0, shoulders=((100.0, 110.0), (160.0, 170.0)), row=0,
    )  # fmt: skip
    drawing = draw(solid(RAIL), done=NOTHING_DONE, laps=(lap,))
    trench = Polygon(drawing.laps[0].waste)
    assert trench.exterior.is_ccw
    assert trench.area == pytest.approx(60 * 80)
    assert drawing.laps[0].lines == (((100.0, 0.0), (110.0, 80.0)), ((160.0, 0.0), (170.0, 80.0)))
    assert not drawing.laps[0].done
    assert not drawing.laps[0].hidden


def test_turned_over_the_face_below_is_seen_and_end_a_stays_at_the_left() -> None:
    part = replace(
        RAIL,
        ends=EndCuts(a=EndCut(miter=30), b=EndCut(bevel=20, long_face="bottom")),
        holes=(Hole(kind="pocket", end="B", from_edge=(millimetres(20),), face="bottom"),),
        tapers=(Taper(edges="near", start=millimetres(200), end="B", leave=millimetres(50)),),
    )
    seen, under = draw(solid(part)), draw(solid(part), up="bottom")
    assert (seen.face, under.face) == ("top face", "bottom face")
    assert (seen.holes[0].hidden, under.holes[0].hidden) == (True, False)
    assert under.holes[0].start == pytest.approx((seen.holes[0].start[0], 60)), "20 mm from what is now the upper edge"
    for polygon in (under.outline, under.top_face, under.tapers[0].waste):
        assert Polygon(polygon).exterior.is_ccw
    mirrored = Polygon([(x, 80 - y) for x, y in seen.outline])
    assert mirrored.symmetric_difference(Polygon(under.outline)).area < 1e-6
    assert max(x for x, _ in under.top_face) > max(x for x, _ in seen.top_face), (
        "the bottom face is the longer one at B"
    )
    assert [note.upper_longer for note in (seen.ends[1], under.ends[1])] == [False, True]
    assert under.ends[0].long_point == pytest.approx((0, 0)), "the far edge is now toward the person"
