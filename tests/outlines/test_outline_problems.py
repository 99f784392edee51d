"""Each problem of an outline is reported once, at its line, with lengths in the build's units."""

from __future__ import annotations

import random

import pytest
from outline_kit import FORK, PANEL, build_with
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

from tracker.design import load_build
from tracker.plan.outline import outline_problems
from tracker.plan.outline.crossings import crossings
from tracker.plan.outline.curve import Line, anticlockwise
from tracker.plan.outline.necks import hankinson, necks
from tracker.plan.outline.panel import _shared as shared_edge

SQUARE = "corners = [[0, 0], [300, 0], [300, 200], [0, 200]]"
WRONG = {
    "corners = [[0, 0, 10], [60, 0, 90], [60, 120, 25]]": "roundings of corners 1 and 2 need",
    "corners = [[0, 0], [0, 0], [60, 120]]": "corners 1 and 2 are in one place",
    "corners = [[0, 0], [60, 60], [60, 0], [0, 60]]": "crosses itself at 30 mm, 30 mm",
    "corners = [[0, 0], [100, 0], [50, 0]]": "crosses itself",
    f"{SQUARE}\ncutouts = [{{ circle = 40, at = [10, 100] }}]": "cutout 1 runs over the edge",
    f"{SQUARE}\ncutouts = [{{ circle = 40, at = [500, 100] }}]": "cutout 1 is outside",
    f"{SQUARE}\ncutouts = [{{ circle = 40, at = [90, 90] }}, {{ circle = 40, at = [110, 90] }}]": "1 and 2 overlap",
    f"{SQUARE}\ncutouts = [{{ circle = 90, at = [90, 90] }}, {{ circle = 40, at = [90, 90] }}]": "is inside cutout",
    f"{SQUARE}\nat = {{ left = 1000 }}": "runs 100 mm off the right of",
    f"{SQUARE}\nat = {{ left = 2 }}\nmargin = 5": "comes within 2 mm of the left",
    'path = [{ from = [0, 0] }, { to = [900, 0], radius = 300, bows = "out" }, { to = [900, 300] }]': "450 mm",
    'svg = "M 0 0 L 100 0 L 100 100"': "isn't closed",
    'svg = "M 0 0 L 100 0 {x} L 100 100 z"': "can't read '{x}",
    'svg = "L 100 0 z"': "begins with M",
    'svg = "M 0 0 C 9e6 0 9e6 9e6 0 9e6 C -9e6 9e6 -9e6 -9e6 0 0 z"': "too large or too intricate",
    'svg = ""': "no closed curve",
    'corners = [[0, 0], [100, 0], [170, 100], [0, 100]]\nmirror = "left-right"': "one straight edge on the right",
}


@pytest.mark.parametrize("outline", WRONG)
def test_each_problem_is_said_once_at_its_line(outline: str) -> None:
    build = build_with(outline)
    found = [each for each in outline_problems(build) if each.kind == "problem"]
    assert len(found) == 1
    assert WRONG[outline] in found[0].what
    assert found[0].line > PANEL.count("\n")


@pytest.mark.parametrize(
    ("outline", "said"),
    [
        ("corners = [[0, 0], [10]]", "a corner is its x, its y"),
        ("corners = [[0, 0], [10, 0]]", "at least three"),
        ("circle = 20\noval = [2, 3]", "both give a shape"),
        ("margin = 2", "its shape is missing"),
        ("slot = [10, 20]", "the longer one"),
        ("path = [{ to = [0, 0] }, { to = [1, 0] }, { to = [0, 1] }]", "begins with 'from'"),
        ("circle = 30\nat = { left = 1, right = 2 }", "both say where it is"),
        ("circle = nan", "must be a"),
        ("circle = 30\ncutouts = [{ circle = 3 }]", "'at' is missing"),
        ("circle = 30\nmirrored = true", "did you mean 'mirror'?"),
    ],
)
def test_the_reader_says_what_it_cannot_read(outline: str, said: str) -> None:
    loaded = load_build(f'{PANEL}[[outlines]]\nid = "it"\nof = "panel"\n{outline}\n')
    assert any(said in f"{each.what} {each.hint}" for each in loaded.problems), loaded.problems


def test_notes_say_where_it_is_weak() -> None:
    notes = [each.what for each in outline_problems(build_with(FORK))]
    assert any("short grain" in note and "57 mm across the grain" in note for note in notes)
    assert any("a neck of 37" in note for note in notes)


@pytest.mark.parametrize("seed", range(4))
def test_crossings_agree_with_shapely(seed: int) -> None:
    rng = random.Random(seed)
    for _ in range(100):
        points = [(rng.uniform(0, 100), rng.uniform(0, 100)) for _ in range(rng.randint(3, 7))]
        loop = tuple(Line(points[at - 1], point) for at, point in enumerate(points))
        assert bool(crossings([loop], most=1)) != LineString([*points, points[0]]).is_simple


@pytest.mark.parametrize("seed", range(3))
def test_the_narrowest_neck_is_where_wearing_it_away_parts_it(seed: int) -> None:
    """shapely takes a growing strip off all round: the shape falls apart at the width of its narrowest neck."""
    rng = random.Random(seed)
    for _ in range(2):
        shape = dumbbell(rng)
        loop = anticlockwise(
            tuple(Line(p, q) for p, q in zip(shape.exterior.coords, shape.exterior.coords[1:], strict=False))
        )
        width = parts_at(shape)
        found = necks(loop, (), lambda _: 0.0)
        assert min(abs(neck.width - width) for neck in found) < max(0.6, 0.02 * width)


def dumbbell(rng: random.Random) -> Polygon:
    """Two discs joined by a bar, all corners eased."""
    while True:
        wide, long = rng.uniform(8, 45), rng.uniform(160, 210)
        ends = [Point(at, 0).buffer(rng.uniform(wide * 0.9, 80)) for at in (0, long)]
        bar = LineString([(0, 0), (long, rng.uniform(-20, 20))]).buffer(wide / 2, cap_style="flat")
        shape = unary_union([*ends, bar]).buffer(6, quad_segs=6).buffer(-12, quad_segs=6).buffer(6, quad_segs=6)
        shape = shape.simplify(0.02)
        if shape.geom_type == "Polygon" and not shape.interiors and parts_at(shape) < 150:
            return shape


def parts_at(shape: Polygon) -> float:
    """The width at which the rest of the shape falls apart; 200 if it never does."""

    def pieces(width: float) -> int:
        left = shape.buffer(-width / 2, quad_segs=12)
        return 0 if left.is_empty else len(getattr(left, "geoms", [left]))

    low = next((width for width in range(2, 200, 2) if pieces(width) > 1), 200.0)
    low, high = (low - 2.0, float(low)) if low < 200 else (200.0, 200.0)
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (low, middle) if pieces(middle) > 1 else (middle, high)
    return high


def test_strength_at_an_angle_is_hankinsons() -> None:
    """15, 45 and 90 degrees by the formula of 1921 with 0.07 across."""
    assert [round(hankinson(angle), 2) for angle in (15, 45, 90)] == [0.53, 0.13, 0.07]


def test_a_hole_near_the_line_is_a_note() -> None:
    part = (
        '[[parts]]\nid = "shelf"\nwood = "ash"\nlength = 400\n'
        'holes = [{ kind = "through", end = "A", from_edge = 60, from_end = 10, diameter = 8 }]\n'
    )
    text = f'{PANEL}{part}[[outlines]]\nid = "it"\nof = "shelf"\noval = [390, 110]\n'
    build = load_build(text).build
    assert build is not None
    assert any("through hole" in each.what and "from the line" in each.what for each in outline_problems(build))


def test_what_is_wrong_with_a_corner_is_at_its_line_else_at_the_line_of_what_it_is_in() -> None:
    """Lines are found by counting them in the file; a key without a line of its own gets that of its table."""
    corners = "corners = [\n  [0, 0],\n  [300, 0],\n  [300, 200],\n]"
    (outline,) = build_with(corners).outlines
    text = f'{PANEL}[[outlines]]\nid = "it"\nof = "panel"\n{corners}\n'.splitlines()
    assert text[outline.line_of("corners") - 1].startswith("corners")
    assert text[outline.line_of("corners.1") - 1].strip() == "[300, 0],"
    assert outline.line_of("corners.1.x") == outline.line_of("corners.1")
    assert outline.line_of("margin") == outline.line


def test_an_outline_without_a_name_is_said() -> None:
    found = load_build((PANEL + '[[outlines]]\nof = "panel"\ncircle = 300\n').encode()).problems
    assert any("'id' is missing" in each.what for each in found), found


def test_a_seam_lies_on_the_edge_whichever_way_it_runs() -> None:
    """Two boards side by side along 3, 4, 5: they share what both have of the line, from 20 to 60 mm along it."""
    start, along = (10.0, 20.0), (0.6, 0.8)
    place = {t: (10 + 0.6 * t, 20 + 0.8 * t) for t in (20.0, 60.0, 130.0)}
    shared = shared_edge(start, along, 60.0, place[130.0], place[20.0])
    assert shared is not None
    assert [*shared[0], *shared[1]] == pytest.approx([*place[20.0], *place[60.0]])
