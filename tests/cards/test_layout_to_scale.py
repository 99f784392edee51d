"""Where the drawing of a side is put in its box: worked out by hand for sides whose sums come out even.

The type is as wide as its letters times its cap height, so that a word's width needs no font.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from tracker.cards.piece.drilled_layout import DrilledLayout
from tracker.cards.piece.feature_layout import FeatureLayout, Type
from tracker.cards.piece.feature_view import Cut, FeatureView, Measure, Point

BOX = (10.0, 20.0, 200.0, 100.0)
TYPE = Type(fine=2, number=3, width=lambda text, capital, bold: len(text) * capital)


def side(length: float, breadth: float, *cuts: Cut, measures: tuple[Measure, ...] = ()) -> FeatureView:
    corners = ((0.0, 0.0), (length, 0.0), (length, breadth), (0.0, breadth))
    return FeatureView(
        title="near edge up",
        outline=corners,
        cuts=cuts,
        measures=measures,
        left="LL",
        right="RR",
        low="low",
        grain=True,
    )


def pocket(first: float, last: float) -> Cut:
    return Cut(outline=((first, 10.0), (last, 10.0), (last, 20.0), (first, 20.0)))


def along(first: float, last: float) -> Measure:
    return Measure(start=(first, 20.0), end=(last, 20.0), text="40 mm", upright=False)


def across(x: float, high: float, text: str = "10") -> Measure:
    return Measure(start=(x, 0.0), end=(x, high), text=text, upright=True)


def test_a_side_fills_the_width_between_the_names_of_its_ends() -> None:
    """Left of it 2 letters of 2 mm and 3 mm of air, right of it the same: 200 - 7 - 7 = 186 mm for 100 mm."""
    at = FeatureLayout(side(100, 40), BOX, TYPE)
    assert (at.scale, at.x0, at.spans) == (pytest.approx(1.86), pytest.approx(17), [(0, 100)])
    # Of 100 mm, 2 + 3 mm are for the words below and 2 mm are air above; the rest is shared by both sides.
    assert (at.y0, at.top) == (pytest.approx(20 + 5 + (93 - 74.4) / 2), pytest.approx(34.3 + 74.4))
    assert at.words() == "near edge up  ·  low"
    assert not at.rows
    assert not at.truncated


def test_with_the_names_of_its_ends_below_a_side_has_the_whole_width() -> None:
    """200 mm but 1 mm of air at each side. The names and the words below are 4 + 40 + 4 mm and twice 4 mm between them:
    one row of 2 + 3 mm; in less than 56 mm they take two."""
    below = Type(fine=2, number=3, width=TYPE.width, below=True)
    view = side(100, 40)
    assert len(view.title + "  ·  " + view.low) == 20
    at = FeatureLayout(view, BOX, below)
    assert (at.scale, at.x0, at.foot_rows) == (pytest.approx(1.98), pytest.approx(11), 1)
    assert at.y0 == pytest.approx(20 + 5 + (93 - 79.2) / 2)
    assert FeatureLayout(view, (0.0, 0.0, 56.0, 100.0), below).foot_rows == 1
    narrow = FeatureLayout(view, (0.0, 0.0, 55.9, 100.0), below)
    assert narrow.foot_rows == 2
    assert narrow.y0 == pytest.approx(10 + (88 - 40 * narrow.scale) / 2)


def test_it_is_the_same_on_a_finer_screen() -> None:
    """Five points per millimetre, and everything is five times as large."""
    view = side(2000, 40, pocket(1000, 1040), measures=(along(0, 1000), across(1040, 10)))
    wide = Type(fine=2, number=3, width=lambda text, capital, bold: 5 * len(text) * capital, mm=5)
    for kind in (FeatureLayout, DrilledLayout):
        plain, fine = kind(view, BOX, TYPE), kind(view, (50.0, 100.0, 1000.0, 500.0), wide)
        assert fine.spans == [pytest.approx(span) for span in plain.spans]
        expected = [5 * each for each in (plain.scale, plain.x0, plain.y0, plain.top)]
        assert [fine.scale, fine.x0, fine.y0, fine.top] == pytest.approx(expected)


@pytest.mark.parametrize("kind", [FeatureLayout, DrilledLayout])
def test_it_is_the_same_wherever_the_side_begins(kind: type[FeatureLayout]) -> None:
    """A tapered side doesn't begin at 0: moved by 7 mm along and 300 mm up, each point is drawn where it was."""

    def moved(view: FeatureView) -> FeatureView:
        def by(points: tuple[Point, ...]) -> tuple[Point, ...]:
            return tuple((x + 7, y + 300) for x, y in points)

        cuts = (
            replace(each, outline=by(each.outline), centre=each.centre and by((each.centre,))[0]) for each in view.cuts
        )
        measures = (replace(each, start=by((each.start,))[0], end=by((each.end,))[0]) for each in view.measures)
        return replace(view, outline=by(view.outline), cuts=tuple(cuts), measures=tuple(measures))

    hole = Cut(centre=(1500.0, 20.0), radius=4)
    view = side(2000, 40, pocket(1000, 1040), hole, measures=(along(0, 1000), along(3, 40), across(1040, 10)))
    here, there = kind(view, BOX, TYPE), kind(moved(view), BOX, TYPE)
    assert [(a + 7, b + 7) for a, b in here.spans] == [pytest.approx(span) for span in there.spans]
    assert (here.scale, here.x0, here.y0, here.top) == pytest.approx((there.scale, there.x0, there.y0, there.top))
    for x in (0, 3, 40, 900, 1000, 1020, 1500, 2000):
        for y in (0, 20, 40):
            assert here.place((x, y)) == pytest.approx(there.place((x + 7, y + 300)))
    for one, two in zip(here.rows, there.rows, strict=True):
        assert [here.number_left(each) for each in one] == pytest.approx([there.number_left(each) for each in two])


def test_of_a_stretch_that_just_fits_nothing_more_is_left_out() -> None:
    """With five points for a millimetre: 48 mm of wood at 70 points for 40 mm and a break of 15 points are 99 points,
    and so wide is the box between the names of the ends."""
    fine = Type(fine=2, number=3, width=TYPE.width, mm=5)
    at = FeatureLayout(side(400, 40), (0.0, 0.0, 99 + 2 * (4 + 15), 500.0), fine)
    assert (at.scale, at.spans) == (1.75, [(0, 24), (376, 400)])


@pytest.mark.parametrize(("long", "left"), [(10.5, 17 + 21 + 1), (10.51, None)])
def test_a_number_needs_six_millimetres_more_than_its_width(long: float, left: float | None) -> None:
    """For its arrows. 15 mm of type; 93 mm of wood are drawn 186 mm long."""
    measure = along(0, long)
    at = FeatureLayout(side(93, 40, measures=(measure,)), BOX, TYPE)
    assert at.scale == 2
    assert at.number_left(measure) == (left if left is None else pytest.approx(left))


def test_dimensions_above_and_beside_it_have_their_room() -> None:
    """A number of 2 figures of 3 mm with 4 + 2 mm beside it, and one row of 7.4 mm above it."""
    measures = (along(0, 40), along(0, 10), along(95, 100), across(40, 10))
    at = FeatureLayout(side(100, 40, measures=measures[:1] + measures[3:]), BOX, TYPE)
    assert at.scale == pytest.approx((200 - 7 - 12) / 100)
    assert at.y0 == pytest.approx(20 + 5 + (100 - 5 - 9.4 - 72.4) / 2)
    assert at.right == 210
    assert at.rows == [[measures[0]]]
    assert at.place((40, 10)) == pytest.approx((17 + 72.4, at.y0 + 18.1))
    assert at.number_left(measures[0]) is None
    assert at.number_left(measures[1]) == pytest.approx(17 + 18.1 + 1)  # too short for 15 mm of type: right of it
    assert at.number_left(measures[2]) == pytest.approx(17 + 95 * 1.81 - 1 - 15)  # at the right-hand end: left of it


def test_a_number_beside_its_line_takes_a_row_to_itself() -> None:
    """10 mm are drawn 18 mm long: the number goes on to 17 + 18 + 1 + 15 + 1 mm, into the next dimension."""
    short, long, other = along(0, 10), along(15, 75), along(30, 90)
    at = FeatureLayout(side(100, 40, measures=(long, short, other)), BOX, TYPE)
    assert at.rows == [[short, other], [long]]
    few = Type(fine=2, number=3, width=TYPE.width, most_rows=1)
    at = FeatureLayout(side(100, 40, measures=(long, short, other)), BOX, few)
    assert len(at.rows) == 1
    assert at.truncated


@pytest.mark.parametrize(("high", "rows"), [(40.3, 2), (40.5, 3)])
def test_rows_take_no_more_than_their_share_of_the_height(high: float, rows: int) -> None:
    """0.55 of the height in rows of 7.4 mm: three from 40.4 mm on."""
    measures = tuple(along(0, 60 + each) for each in range(4))
    at = FeatureLayout(side(100, 10, measures=measures), (0, 0, 200, high), TYPE)
    assert len(at.rows) == rows
    assert [each.end[0] for row in at.rows for each in row] == [60, 61, 62][:rows], "the short ones nearest the piece"


def test_a_long_piece_is_left_out_where_nothing_is_cut() -> None:
    """14 mm high instead of 4: 24 mm of wood at each end and around the cut, and what is to spare shared by the four
    sides of the breaks."""
    at = FeatureLayout(side(2000, 40, pocket(1000, 1040)), BOX, TYPE)
    assert at.scale == pytest.approx(0.35)
    share = ((186 - 2 * 3) / 0.35 - (24 + 88 + 24)) / 4
    assert at.spans == [
        pytest.approx((0, 24 + share)),
        pytest.approx((976 - share, 1064 + share)),
        pytest.approx((1976 - share, 2000)),
    ]
    assert (at.x0, at.y0, at.top) == pytest.approx((17, 64.5, 78.5))
    assert at.place((1020, 0)) == pytest.approx((110, 64.5)), "the middle is in the middle"
    first, second = at.spans[0][1], at.spans[1][0]
    assert at.within((second, 0), second)[0] - at.within((first, 0), 0)[0] == pytest.approx(3), "a break is 3 mm wide"
    assert at.place((first, 0)) == at.within((first, 0), 0), "the end of a stretch belongs to it"
    assert at.place((500, 0))[0] == pytest.approx(at.within((second, 0), second)[0]), "what is left out is at its break"
    assert at.within((5, 0), 12345.0) == pytest.approx(at.place((5, 0)))
    assert at.words() == "near edge up  ·  low  ·  middle left out"


def test_a_long_cut_is_broken_where_it_would_make_the_side_too_small() -> None:
    """1000 mm of groove whole would be 6 mm high; with only its ends it is 14 mm high."""
    at = FeatureLayout(side(2000, 40, pocket(500, 1500)), BOX, TYPE)
    assert at.scale == pytest.approx(0.35)
    share = ((186 - 3 * 3) / 0.35 - (24 + 48 + 48 + 24)) / 6
    assert [each for span in at.spans for each in span] == pytest.approx(
        [0, 24 + share, 476 - share, 524 + share, 1476 - share, 1524 + share, 1976 - share, 2000]
    )


@pytest.mark.parametrize(("long", "pieces"), [(1790, 3), (1810, 3), (1960, 2), (2000, 2)])
def test_a_groove_from_end_to_end_is_broken_anywhere_but_where_it_stops(long: float, pieces: int) -> None:
    """Its stop is marked out, so it is always in a stretch that is drawn; at 1960 mm in that of the end."""
    at = FeatureLayout(side(2000, 40, pocket(0, long)), BOX, TYPE)
    assert (at.scale, len(at.spans)) == (pytest.approx(0.35), pieces)


def test_a_drilled_face_is_as_large_as_its_box_allows() -> None:
    """1 mm of air at each side; above it the names of its ends (2 mm and 1.2 + 2 mm of air), below it 2 + 2.8 mm."""
    hole = Cut(centre=(50.0, 20.0), radius=4)
    at = DrilledLayout(side(100, 40, hole), BOX, TYPE)
    assert at.spans == [(0, 100)]
    assert (at.scale, at.x0, at.y0, at.top) == pytest.approx((1.98, 11, 20 + 4.8 + (90 - 79.2) / 2, 109.4))
    assert at.words() == "near edge up  ·  low"


def test_a_long_drilled_face_shows_its_ends_and_the_holes() -> None:
    """From each end to 4.8 mm (0.12 of the breadth) beyond the rim of its hole, at the full height of 90 mm; the
    remaining 20.4 mm of paper are shared by the two sides of the break."""
    holes = Cut(centre=(30.0, 20.0), radius=4), Cut(centre=(970.0, 20.0), radius=4)
    at = DrilledLayout(side(1000, 40, *holes), BOX, TYPE)
    assert [each for span in at.spans for each in span] == pytest.approx(
        [0, 38.8 + 4.5333, 961.2 - 4.5333, 1000], abs=1e-3
    )
    assert (at.scale, at.x0, at.y0, at.top) == pytest.approx((2.25, 11, 24.8, 114.8))


@pytest.mark.parametrize(("gap", "pieces"), [(2.6, 3), (2.7, 4)])
def test_two_holes_with_less_than_two_breaks_between_them_are_one_stretch(gap: float, pieces: int) -> None:
    """A break of 3 mm is 1.333 mm of wood at the full height of 90 mm for 40."""
    holes = (Cut(centre=(x, 20.0), radius=4) for x in (2000, 2000 + 2 * 8.8 + gap))
    assert len(DrilledLayout(side(4000, 40, *holes), BOX, TYPE).spans) == pieces


@pytest.mark.parametrize(("gap", "pieces"), [(17.1, 3), (17.2, 4)])
def test_two_cuts_with_less_than_two_breaks_between_them_are_one_stretch(gap: float, pieces: int) -> None:
    """A break of 3 mm is 8.571 mm of wood at 14 mm for 40; 24 mm of wood are drawn around each cut."""
    cuts = pocket(1000, 1040), pocket(1088 + gap, 1100 + gap)
    assert len(FeatureLayout(side(2000, 40, *cuts), BOX, TYPE).spans) == pieces


@pytest.mark.parametrize(("middle", "pieces"), [(56.7, 2), (56.9, 3)])
def test_a_hole_within_1_2_breadths_of_an_end_is_drawn_with_that_end(middle: float, pieces: int) -> None:
    """48 mm from the end to the wood shown around the hole, which begins 8.8 mm before its middle."""
    at = DrilledLayout(side(4000, 40, Cut(centre=(middle, 20.0), radius=4)), BOX, TYPE)
    assert len(at.spans) == pieces
    mirrored = DrilledLayout(side(4000, 40, Cut(centre=(4000 - middle, 20.0), radius=4)), BOX, TYPE)
    assert [(4000 - b, 4000 - a) for a, b in reversed(mirrored.spans)] == [pytest.approx(span) for span in at.spans]


def test_the_numbers_beside_a_drilled_face_are_at_their_holes_and_never_on_one_another() -> None:
    """At a hole's height, less half of the type's; the next one at least its height and 2 mm higher."""
    measures = (across(20, 30, "30"), across(30, 20, "20"), across(40, 19, "19"), across(50, 0.5, "1"))
    at = DrilledLayout(side(100, 40, Cut(centre=(50.0, 20.0), radius=4), measures=measures), BOX, TYPE)
    # 6 + 4 mm for the widest number, 3 mm for each of the four lines, 1 mm of air
    assert at.scale == pytest.approx((200 - 1 - 10 - 12 - 1) / 100)
    thirty, twenty, nineteen, one = at.baselines(3)
    assert one == pytest.approx(at.y0), "no lower than the piece"
    assert nineteen == pytest.approx(at.y0 + 19 * 1.76 - 1.5)
    assert twenty == pytest.approx(nineteen + 5)
    assert thirty == pytest.approx(at.y0 + 30 * 1.76 - 1.5)
    many = DrilledLayout(side(100, 40, measures=tuple(across(9 * each, 30) for each in range(7))), BOX, TYPE)
    assert len(many.upright) == 5


def test_rows_above_a_drilled_face_have_their_room() -> None:
    hole = Cut(centre=(50.0, 20.0), radius=4)
    at = DrilledLayout(side(100, 40, hole, measures=(along(0, 50),)), BOX, TYPE)
    assert at.scale == pytest.approx(min(1.98, (100 - 4.8 - 7.4 - 5.2) / 40))
    assert at.y0 == pytest.approx(20 + 4.8 + (82.6 - 40 * at.scale) / 2)
