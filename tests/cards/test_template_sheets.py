"""Templates on paper: the sizes of paper by their standards, the fewest sheets, and every line on one of them."""

from __future__ import annotations

from math import dist

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kit.build_text import one_wood

from tracker.cards.template.outline_card import found
from tracker.cards.template.page import box, line
from tracker.cards.template.rule import correction, rule, square
from tracker.cards.template.template import _dense, _touches, grain_arrows
from tracker.cards.template.tiles import FOOT, MARGIN, OVERLAP, PAD, PAPERS, tiling
from tracker.design.load import load_build

INCH = 25.4


def test_papers_have_the_sizes_of_their_standards() -> None:
    """ISO 216: A3 and A4. ANSI/ASME Y14.1: sizes A (Letter) and B (Tabloid, twice A), in inches."""
    assert PAPERS == {
        "A4": (210, 297), "A3": (297, 420), "Letter": (8.5 * INCH, 11 * INCH), "Tabloid": (11 * INCH, 17 * INCH),
    }  # fmt: skip


sizes = st.floats(1, 1500)


@settings(max_examples=200, deadline=None)
@given(
    st.tuples(st.floats(-900, 900), st.floats(-900, 900), sizes, sizes),
    st.sampled_from(sorted(PAPERS)),
    st.floats(0.95, 1.05),
)
def test_sheets_cover_the_outline_and_none_is_left_over(at: tuple[float, ...], paper: str, scale: float) -> None:
    """Counted by laying sheets side by side until they reach: each adds its size less the overlap. What they cover
    more than the outline and its border lies half on each side."""
    x, y, wide, high = at
    found = tiling((x, y, x + wide, y + high), paper, scale)
    fewest = []
    for across, up in (PAPERS[paper], PAPERS[paper][::-1]):
        count = 1
        for need, sheet in ((wide, across / scale - 2 * MARGIN), (high, up / scale - 2 * MARGIN - FOOT)):
            sheets, reach = 1, sheet
            while reach < need + 2 * PAD - 1e-6:
                sheets, reach = sheets + 1, reach + sheet - OVERLAP
            count *= sheets
        fewest.append(count)
    assert found.columns * found.rows == min(fewest)
    assert sorted(found.paper) == pytest.approx(sorted(each / scale for each in PAPERS[paper]))
    assert found.size == pytest.approx((found.paper[0] - 20, found.paper[1] - 37))
    (left, low), (right, top) = found.corner(0, 0), found.corner(found.columns - 1, found.rows - 1)
    right, top = right + found.size[0], top + found.size[1]
    assert (left + right, low + top) == pytest.approx((2 * x + wide, 2 * y + high), abs=1e-6)
    assert left <= x - 3 + 1e-6
    assert low <= y - 3 + 1e-6
    if found.columns > 1:
        assert found.corner(1, 0)[0] - left == pytest.approx(found.size[0] - 10)
    if found.rows > 1:
        assert found.corner(0, 1)[1] - low == pytest.approx(found.size[1] - 10)


def test_of_two_ways_with_as_many_sheets_the_upright_one_is_taken() -> None:
    assert tiling((0, 0, 100, 100), "A4").paper == (210, 297)
    assert tiling((0, 0, 250, 100), "A4").paper == (297, 210)


def test_sheets_are_named_like_the_cells_of_a_table() -> None:
    """Rows by letters from the top, columns by numbers; after Z comes AA."""
    large = tiling((0, 0, 400, 10_000), "A4")
    top = large.rows - 1
    assert [large.name(0, top), large.name(1, top), large.name(0, top - 1)] == ["A1", "A2", "B1"]
    assert [large.name(0, top - 25), large.name(0, top - 26), large.name(2, top - 27)] == ["Z1", "AA1", "AB3"]


def lengths(drawn: list[object]) -> list[float]:
    return [dist(each.path[0][1], each.path[1][1]) for each in drawn if hasattr(each, "path")]  # type: ignore[attr-defined]


def test_the_rule_is_true_and_its_marks_are_longer_at_fives_and_tens() -> None:
    """A line of 100 mm and 101 marks; in inches the line reaches to 4 in and has 65 more marks below it."""
    long, *marks = lengths(list(rule(5.0, 7.0, "mm")))
    assert long == 100
    assert [marks[at] for at in (0, 1, 5, 10, 100)] == pytest.approx([2.6, 1.4, 2.0, 2.6, 2.6])
    assert len(marks) == 101
    long, *marks = lengths(list(rule(5.0, 7.0, "in")))
    assert long == pytest.approx(101.6)
    assert len(marks) == 101 + 65
    assert [marks[101 + at] for at in (0, 1, 2, 4, 8, 16, 64)] == pytest.approx([3.2, 1.0, 1.5, 2.0, 2.6, 3.2, 3.2])
    places = [each.path[0][1] for each in rule(5.0, 7.0, "in") if hasattr(each, "path")]
    assert places[1:3] == [(5.0, 7.0), (6.0, 7.0)]
    assert places[102 + 16] == pytest.approx((5 + INCH, 7))
    words = [(each.x, each.y, each.text) for each in rule(5.0, 7.0, "in") if not hasattr(each, "path")]
    assert words == [(pytest.approx(108.1), 7.3, "100 mm"), (pytest.approx(108.1), 4.0, "4 in")]


def test_the_square_and_boxes_are_as_large_as_they_say() -> None:
    for units, side, said in (("mm", 12.0, "12 mm"), ("in", 12.7, "1/2 in")):
        drawn, words = square(3.0, 4.0, units)  # type: ignore[arg-type]
        assert drawn == box((3.0, 4.0, side, side), width=0.2)
        assert (words.text, words.x, words.y) == (said, pytest.approx(3.8 + side), pytest.approx(4.2))  # type: ignore[union-attr]
    corners = ("move", (1.0, 2.0)), ("line", (4.0, 2.0)), ("line", (4.0, 6.0)), ("line", (1.0, 6.0)), ("close", ())
    assert box((1.0, 2.0, 3.0, 4.0), fill=0.5).path == corners
    plain = line((0.0, 0.0), (1.0, 1.0))
    assert (plain.width, plain.dashes, plain.fill, plain.pen, plain.clipped) == (0.15, (), None, 0.0, False)


@pytest.mark.parametrize(
    ("measured", "units", "factor"),
    [
        ("99.6 mm", "in", 100 / 99.6), ("3.98 in", "mm", 4 / 3.98), ("99.6", "mm", 100 / 99.6),
        ("3 15/16", "in", 4 / 3.9375),
        ('3.98"', "mm", 4 / 3.98), ("3.98″", "mm", 4 / 3.98), ("9.96 cm", "in", 100 / 99.6), ("95.3", "mm", 100 / 95.3),
        ("105.2", "mm", 100 / 105.2),
    ],
)  # fmt: skip
def test_the_correction_enlarges_what_was_printed_too_small(measured: str, units: str, factor: float) -> None:
    assert correction(measured, units) == pytest.approx(factor)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("measured", "units", "rule_of"),
    [("95.2", "mm", "100 mm"), ("105.4", "mm", "100 mm"), ("100", "in", "4 in"), ("0 mm", "mm", "100 mm")],
)
def test_a_rule_more_than_a_twentieth_off_was_not_printed_at_full_size(measured: str, units: str, rule_of: str) -> None:
    with pytest.raises(
        ValueError, match=f"^{measured} for the {rule_of} is too far off: print at 100 %, with no fitting$"
    ):
        correction(f" {measured}", units)  # type: ignore[arg-type]


STRIP = (
    one_wood("Strip", "mm", "ash", "white ash", "thickness = 20", "width = 60", "lengths = [2000]")
    + """\
[[parts]]
id = "strip"
name = "Strip"
wood = "ash"
length = {long}
width = {wide}
end_b = {{ miter = 20 }}
"""
)


@pytest.mark.parametrize(("long", "wide", "arrows"), [(500, 30, 6), (40, 30, 1), (27, 30, 0)])
def test_a_narrow_strip_has_arrows_along_its_grain_too(long: int, wide: int, arrows: int) -> None:
    """One for every 90 mm and one at least, where its 28 mm have room in the wood: each a line and two heads."""
    loaded = load_build(STRIP.format(long=long, wide=wide))
    assert loaded.build is not None, loaded.problems
    drawn = list(grain_arrows(found(loaded.build, "strip")))
    assert len(drawn) == 3 * arrows
    assert {round(dist(*run), 6) for run in drawn if len(run) == 2} == ({28.0} if arrows else set())


def test_a_sheet_is_printed_if_a_line_comes_within_a_millimetre_of_it() -> None:
    """An A4 sheet shows 190 × 260 mm; the middle one of three by three."""
    tiles = tiling((0, 0, 500, 700), "A4")
    (x, y), (wide, high) = tiles.corner(1, 1), tiles.size
    assert (tiles.columns, tiles.rows, wide, high) == (3, 3, 190, 260)
    middle = (x + wide / 2, y + high / 2)
    for near, far in (
        ((x - 0.9, middle[1]), (x - 1.1, middle[1])),
        ((x + wide + 0.9, middle[1]), (x + wide + 1.1, middle[1])),
        ((middle[0], y - 0.9), (middle[0], y - 1.1)),
        ((middle[0], y + high + 0.9), (middle[0], y + high + 1.1)),
    ):
        assert _touches(tiles, 1, 1, [far, near])
        assert not _touches(tiles, 1, 1, [far])
    assert not _touches(tiles, 1, 1, [])


def test_a_line_is_asked_for_at_least_every_ten_millimetres() -> None:
    """A triangle of 12, 9 and 15 mm, in steps of 6, 9 and 5 mm; the corners are among them."""
    assert list(_dense([[(0.0, 0.0), (12.0, 0.0), (12.0, 9.0)]])) == [
        (12.0, 9.0), (8.0, 6.0), (4.0, 3.0), (0.0, 0.0), (6.0, 0.0), (12.0, 0.0),
    ]  # fmt: skip
