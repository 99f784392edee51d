"""The geometry of the piece's drawing, and the figures, measured in the picture."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, degrees

import pytest
from shapely.geometry import LineString, Polygon

from tracker.cards.piece.interrupted_view import clip
from tracker.screens.drawing.piece_layout import end_chain, extent, grain_lines, inside, lay_out, swing

SIZES = [(600, 89, 15), (1800, 38, 5.7), (300, 240, 0), (120, 60, 45), (2438, 19, 30), (360, 120, 28.9)]


def board(length: float, width: float, angle: float):
    from gallery import drawing

    return drawing(length, width, a=angle, b=angle)


@pytest.mark.parametrize(("length", "width", "angle"), SIZES)
def test_the_piece_lies_in_its_box_and_every_angle_is_true(kivy_window, length, width, angle):
    piece = board(length, width, angle)
    layout = lay_out(piece, 100, 50, 1000, 300, 150, 30)
    for section in layout.sections:
        for point in clip(piece.outline, section.start, section.end):
            x, y = layout.place(point, section)
            assert 99 <= x <= 1101
            assert 49 <= y <= 351
    for one, two in pairwise(layout.sections):
        assert one.left + (one.end - one.start) * layout.scale + 30 == pytest.approx(two.left)
        assert one.end < two.start, "something is left out where it is broken"
    near, far = sorted((layout.place(point) for point in end_chain(piece.top_face, 0)), key=lambda place: place[1])
    assert 90 - degrees(atan2(far[1] - near[1], near[0] - far[0])) == pytest.approx(angle, abs=1e-6)


def test_a_long_thin_piece_is_drawn_wide_enough_to_read(kivy_window):
    thin = board(1800, 38, 5.7)
    layout = lay_out(thin, 0, 0, 1000, 300, 150, 30)
    assert layout.broken
    assert 38 * layout.scale == pytest.approx(300), "as broad as there is room for"
    assert layout.sections[0].start == extent(thin)[0]
    assert layout.sections[-1].end == extent(thin)[1]
    assert not lay_out(board(600, 200, 15), 0, 0, 1000, 300, 150, 30).broken


def test_a_break_leaves_no_hole_out(kivy_window):
    from gallery import drawing

    from tracker.cards.piece.drawing import HoleMark

    holes = tuple(HoleMark(start=(x, 20), tip=(x, 20), hidden=False, pocket=False, done=True) for x in (900, 1300))
    layout = lay_out(drawing(1800, 38, holes=holes), 0, 0, 1000, 300, 150, 30)
    assert layout.broken
    for hole in holes:
        section = layout.holding(hole.start)
        assert section.start < hole.start[0] < section.end


@pytest.mark.parametrize("cut", [(0, 100), (50, 300), (590, 700), (700, 800)])
def test_clipping_agrees_with_shapely(cut):
    polygon = [(20, 0), (580, 10), (600, 89), (300, 120), (0, 89)]
    ours = clip(polygon, *cut)
    theirs = Polygon(polygon).intersection(Polygon([(cut[0], -1), (cut[1], -1), (cut[1], 200), (cut[0], 200)]))
    assert (Polygon(ours).area if len(ours) > 2 else 0) == pytest.approx(theirs.area)


def test_grain_stays_in_the_wood():
    polygon = [(100, 100), (700, 100), (640, 300), (160, 300)]
    wood = Polygon(polygon)
    for along in (True, False):
        lines = grain_lines(polygon, along, 20, 3, 9)
        assert len(lines) > 4
        assert all(wood.buffer(4).contains(LineString(line)) for line in lines)
        assert lines == grain_lines(polygon, along, 20, 3, 9), "the same every time"


def test_which_way_to_swing(kivy_window):
    piece = board(600, 89, 15)
    long, square, short = swing(piece, piece.ends[0])
    assert (long, square) == ((0, 89), (0, 0))
    assert short[0] == pytest.approx(89 * 0.2679491924, abs=1e-6), "89 tan 15°"
    assert swing(board(600, 89, 0), board(600, 89, 0).ends[0]) is None


def test_inside():
    square = [(0, 0), (10, 0), (10, 10), (0, 10)]
    assert inside(square, (5, 5))
    assert not inside(square, (15, 5))


@pytest.mark.pixels
@pytest.mark.parametrize("cap", [14.0, 18.0, 24.0])
def test_figures_are_as_high_as_they_say(run_app, cap):
    """Ink on the screen, in millimetres: the whole number, and the fraction's figures at two thirds of it or more."""
    from gallery import inches
    from kit.one_widget import app_of

    from tracker.screens.toolkit.widgets import BigReading

    driver = run_app(app_of(lambda: BigReading(reading=inches("8 5/8"), sizes=[cap], ink_name="raised")))
    widget, mm = driver.app.root, driver.app.theme.mm
    picture = driver.picture().convert("L").point(lambda value: 255 if value > 128 else 0)
    left, top, right, low = picture.getbbox()
    whole = picture.crop((left, top, left + int(0.5 * cap * mm), low)).getbbox()
    assert (whole[3] - whole[1]) / mm == pytest.approx(cap, rel=0.04), "an 8 overshoots the capitals a little"
    middle = int(driver.picture().height - widget.center_y)
    stack = picture.crop((left + int(0.9 * cap * mm), top, right, middle - int(0.05 * cap * mm))).getbbox()
    assert (stack[3] - stack[1]) / (whole[3] - whole[1]) >= 0.67
    assert not widget.truncated


def test_the_largest_size_that_fits(run_app):
    from gallery import inches
    from kit.one_widget import app_of

    from tracker.screens.toolkit.widgets import BigReading

    driver = run_app(app_of(lambda: BigReading(reading=inches("131 63/64"), size_hint=(None, None), size=(1200, 500))))
    widget = driver.app.root
    assert (widget.cap_mm, widget.truncated) == (24, False)
    widget.width = 800
    driver.frames(2)
    assert (widget.cap_mm, widget.truncated) == (18, False)
    widget.width = 300
    driver.frames(2)
    assert (widget.cap_mm, widget.truncated) == (14, True), "too wide even so, and it says so"
    assert widget.text == "131\u200963⁄64″"


@pytest.mark.pixels
def test_what_is_to_cut_is_drawn_differently_from_what_is_cut(run_app):
    from gallery import drawing
    from kit.one_widget import app_of

    from tracker.screens.drawing.piece import PieceDrawing

    driver = run_app(app_of(lambda: PieceDrawing(drawing=drawing(600, 200, a=15, b=15, trimmed=(False, False)))))
    to_do = driver.picture()
    assert [text for text, *_ in driver.app.root.drawn_text].count("15°") == 2
    driver.app.root.drawing = drawing(600, 200, a=15, b=15)
    driver.frames(2)
    done = driver.picture()
    accent = tuple(round(value * 255) for value in driver.app.theme.accent[:3])
    counts = [sum(count for count, colour in each.getcolors(1 << 24) if colour == accent) for each in (to_do, done)]
    assert counts[0] > 1.5 * counts[1]
    said = [text for text, *_ in driver.app.root.drawn_text]
    assert "15°" not in said, "an end that is cut needs no angle"
    assert "near edge" in said
    assert "top face up" in said
