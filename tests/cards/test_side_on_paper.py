"""The drawing of a worked side on paper, by hand: 100 × 40 mm with a pocket and a hole, in a box of 150 × 100 mm.

Helvetica's figures are 0.556 of the type size wide, a space 0.278, m 0.833 (Adobe's metrics of the standard fonts, from
memory), other letters count as 0.53; a capital is 0.72 of the size high. Words are 2.3 mm high, numbers 3.2.
"""

from __future__ import annotations

from math import dist

import pytest

from tracker.cards.piece.feature_paper import drawn, height, plain, width
from tracker.cards.piece.feature_view import Cut, FeatureView, Measure
from tracker.cards.template.page import Stroke

POCKET = ((20.0, 10.0), (60.0, 10.0), (60.0, 20.0), (20.0, 20.0))
ALONG = Measure(start=(0.0, 40.0), end=(20.0, 40.0), text="20", upright=False)
UP = Measure(start=(60.0, 0.0), end=(60.0, 10.0), text="10 mm", upright=True)
WORD = 2 * 0.53 * 2.3 / 0.72
TWO_FIGURES = 2 * 0.556 * 3.2 / 0.72
TEN_MM = (2 * 0.556 + 0.278 + 2 * 0.833) * 3.2 / 0.72


def view(*measures: Measure, cuts: tuple[Cut, ...] = ()) -> FeatureView:
    corners = ((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (0.0, 40.0))
    return FeatureView(
        title="top up", outline=corners, cuts=cuts, measures=measures, left="AA", right="BB", low="low", grain=True
    )


def points(stroke: Stroke) -> list[tuple[float, ...]]:
    return [point for step, point in stroke.path if step != "close"]


def near(*expected: tuple[float, float]) -> list[object]:
    return [pytest.approx(point) for point in expected]


def test_the_width_of_words() -> None:
    assert width("10 mm", 3.2, True) == pytest.approx(TEN_MM)
    for text, size in (("0123456789", 5.56), (" ./,'|il·", 9 * 0.278), ('3"', 0.911), ("⁄", 0.278), ("″", 0.355)):
        assert width(text, 0.72, False) == pytest.approx(size), text
    assert plain("1⁄2″ 3′ a\u2009b\u202fc") == "1/2\" 3' a b c"


def test_a_side_is_as_high_as_it_needs() -> None:
    """It isn't enlarged, 60 mm beside it are for words; at least 12 and at most 45 mm, and 7.4 for each row."""
    assert height(view(), 300.0) == pytest.approx(40 + 2.3 + 6)
    assert height(view(), 110.0) == pytest.approx(40 * 0.5 + 8.3)
    assert height(view(), 70.0) == pytest.approx(12 + 8.3)
    assert height(view(ALONG), 300.0) == pytest.approx(40 + 7.4 + 8.3)


def test_wood_waste_and_holes() -> None:
    """Left of it 3 mm of air and its end's name, right of it 3 mm and the other's; 5.3 mm of words below, 2 above."""
    hole, pin = Cut(centre=(80.0, 20.0), radius=4.0), Cut(centre=(90.0, 30.0), radius=0.1)
    strokes, words = drawn(
        view(cuts=(Cut(outline=POCKET), hole, pin, Cut(outline=POCKET, kept=True))), (10, 20, 150, 100)
    )
    scale = (150 - 2 * (WORD + 3)) / 100
    x, y = 10 + WORD + 3, 20 + 5.3 + (100 - 5.3 - 2 - 40 * scale) / 2
    wood, pocket, round_hole, across, up, round_pin, *_, tenon, edge = strokes
    corners = near((x, y), (x + 100 * scale, y), (x + 100 * scale, y + 40 * scale), (x, y + 40 * scale))
    assert sorted(points(wood)) == sorted(points(edge))
    assert all(corner in points(wood) for corner in corners)
    assert (wood.width, wood.fill, edge.width, edge.fill) == (0.3, 1.0, 0.3, None)
    assert (pocket.width, pocket.fill, tenon.width, tenon.fill) == (0.45, 0.82, 0.45, 1.0)
    assert all(
        point in points(pocket) for point in near((x + 20 * scale, y + 10 * scale), (x + 60 * scale, y + 20 * scale))
    )
    middle = (x + 80 * scale, y + 20 * scale)
    assert (round_hole.width, round_hole.fill, len(points(round_hole))) == (0.35, 0.82, 48)
    assert {round(dist(point, middle), 6) for point in points(round_hole)} == {round(4 * scale, 6)}
    arm = 4 * scale + 1
    assert points(across) == near((middle[0] - arm, middle[1]), (middle[0] + arm, middle[1]))
    assert points(up) == near((middle[0], middle[1] - arm), (middle[0], middle[1] + arm))
    assert across.width == up.width == 0.12
    small = (x + 90 * scale, y + 30 * scale)
    assert {round(dist(point, small), 6) for point in points(round_pin)} == {0.6}, "a pilot hole must be visible"
    assert [(each.text, each.size) for each in words] == [
        (text, pytest.approx(2.3 / 0.72)) for text in ("AA", "BB", "top up  ·  low")
    ]
    places = [(each.x, each.y) for each in words]
    top = y + 40 * scale - 2.3 - 1
    assert places[:2] == near((x - WORD - 2, top), (x + 100 * scale + 2, top))
    foot = width("top up  ·  low", 2.3, False)
    assert places[2] == pytest.approx(((2 * x + 100 * scale - foot) / 2, y - 2.3 - 2))


def test_a_dimension_along_it_has_arrows_and_its_number_on_a_white_slip() -> None:
    """In the first row, 3.6 mm above the wood; the lines from its ends reach 1 mm higher."""
    strokes, words = drawn(view(ALONG), (10, 20, 150, 100))
    _, _, first, last, line, tip, line_2, tip_2, slip = strokes
    (x, foot), (x_0, high) = points(first)
    right = points(last)[0][0]
    top = foot + 3.6
    assert (x_0, high) == pytest.approx((x, top + 1))
    assert points(last) == near((right, foot), (right, top + 1))
    left = (x + right - TWO_FIGURES) / 2
    assert points(line) == near((left - 1, top), (x, top))
    assert points(line_2) == near((left + TWO_FIGURES + 1, top), (right, top))
    assert points(tip) == near((x, top), (x + 1.6, top + 0.55), (x + 1.6, top - 0.55))
    assert points(tip_2) == near((right, top), (right - 1.6, top + 0.55), (right - 1.6, top - 0.55))
    assert [(each.width, each.fill) for each in (first, last, line, line_2, tip, tip_2)] == [
        (0.12, None), (0.12, None), (0.3, None), (0.3, None), (0.0, 0.0), (0.0, 0.0),
    ]  # fmt: skip
    low, end = top - 1.6, left + TWO_FIGURES
    assert points(slip) == near(
        (left - 0.4, low - 0.6), (end + 0.4, low - 0.6), (end + 0.4, low + 3.8), (left - 0.4, low + 3.8)
    )
    assert (slip.width, slip.fill) == (0.0, 1.0)
    number = words[0]
    assert (number.text, number.x, number.y, number.size) == ("20", pytest.approx(left), pytest.approx(low), 3.2 / 0.72)


def test_a_dimension_across_it_is_at_its_right() -> None:
    """3 mm beside the wood, its number 1.2 mm further; the next one 4 mm beyond that number."""
    other = Measure(start=(30.0, 0.0), end=(30.0, 30.0), text="20", upright=True)
    strokes, words = drawn(view(UP, other), (10, 20, 150, 100))
    _, edge, foot, head, line, foot_2, _, line_2, slip, slip_2 = strokes
    right, bottom = max(x for x, _ in points(edge)), min(y for _, y in points(edge))
    scale = (150 - WORD - 3 - (TEN_MM + TWO_FIGURES + 8 + 2)) / 100
    assert right - min(x for x, _ in points(edge)) == pytest.approx(100 * scale)
    x = right + 3
    assert points(line) == near((x, bottom), (x, bottom + 10 * scale))
    assert points(foot)[1] == pytest.approx((x, bottom))
    assert points(head)[1] == pytest.approx((x, bottom + 10 * scale))
    assert (foot.width, line.width) == (0.12, 0.4)
    x_2 = x + TEN_MM + 4
    assert points(line_2) == near((x_2, bottom), (x_2, bottom + 30 * scale))
    assert points(foot_2)[1] == pytest.approx((x_2, bottom))
    assert [(each.text, each.x, each.y) for each in words[:2]] == [
        ("10 mm", pytest.approx(x + 1.2), pytest.approx(bottom + 5 * scale - 1.6)),
        ("20", pytest.approx(x_2 + 1.2), pytest.approx(bottom + 15 * scale - 1.6)),
    ]
    assert (slip.fill, slip_2.fill) == (1.0, 1.0)
    assert [each.text for each in words[2:]] == ["AA", "top up  ·  low"], "no room for the name of the other end"
