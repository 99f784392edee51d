"""Every sentence about an outline in full, on both sides of the limit that it is about."""

from __future__ import annotations

from math import radians, tan

import pytest
from msgspec.structs import replace
from outline_kit import PANEL, build_with, made

from tracker.design import load_build
from tracker.plan.outline import OutlineError, outline_problems
from tracker.plan.outline.bends import Bend, tightest
from tracker.plan.outline.curve import Line, Loop
from tracker.plan.outline.figures import loops_of
from tracker.plan.outline.panel import _shared as shared_edge
from tracker.plan.outline.panel import panel_of
from tracker.plan.outline.tools import Tool, tools
from tracker.plan.outline.weak_places import short_grain_of
from tracker.plan.outline.whole_piece import whole_piece
from tracker.plan.place import Placer

SQUARE = "corners = [[0, 0], [300, 0], [300, 200], [0, 200]]"
HALF = 'corners = [[0, 0], [100, 0], [100, 90], [0, 90]]\nmirror = "left-right"'


def told(outline: str, of: str = "panel", text: str = PANEL) -> list[tuple[int, str, str]]:
    """What is said about an outline: the line below its heading, the sentence and the hint."""
    whole = f'{text}[[outlines]]\nid = "it"\nof = "{of}"\n{outline}\n'
    first = whole[: whole.index("[[outlines]]")].count("\n") + 1
    loaded = load_build(whole)
    assert loaded.build is not None, loaded.problems
    return [(each.line - first, each.what, each.hint) for each in outline_problems(loaded.build)]


@pytest.mark.parametrize(
    ("outline", "line", "what", "hint"),
    [
        ("path = [{ from = [0, 0] }, { to = [0, 0] }, { to = [0, 0] }]", 3, "its points are all in one place", ""),
        ("path = [{ from = [0, 0] }, { to = [0, 0], radius = 50 }, { to = [9, 0] }, { to = [9, 9] }]", 3,
         "an arc ends where it begins", "write a circle as two arcs"),
        ("path = [{ from = [0, 0] }, { to = [0, 0], through = [30, 3] }, { to = [9, 0] }, { to = [9, 9] }]", 3,
         "an arc ends where it begins", "write a circle as two arcs"),
        ("path = [{ from = [0, 0] }, { to = [90, 0] }, { smooth = [[90, 50], [90, 50], [0, 90]] }]", 3,
         "two nails of the batten are in one place", ""),
        ("path = [{ from = [0, 0] }, { to = [90, 0], through = [90.1, 0] }, { to = [90, 90] }]", 3,
         "the point it goes through is on the line, beyond its ends", ""),
        ("path = [{ from = [0, 0] }, { to = [90, 0], through = [-0.1, 0] }, { to = [90, 90] }]", 3,
         "the point it goes through is on the line, beyond its ends", ""),
        ("path = [{ from = [0, 0] }, { to = [90, 0], radius = 44.99 }, { to = [90, 90] }]", 3,
         "a radius of 45 mm can't span 90 mm: at least 45 mm", ""),
        ("circle = 0.1", 3, "it encloses nothing", ""),
        ("circle = 1.1", 3, "it encloses nothing", ""),  # 0.95 mm²
        (f"{SQUARE}\ncutouts = [{{ circle = 9, at = [50, 50] }}, "
         "{ corners = [[0, 0], [40, 40], [40, 0], [0, 40]], at = [100, 100] }]", 4,
         "cutout 2 crosses itself at 120 mm, 120 mm", ""),
        (f"{HALF}\ncutouts = [{{ circle = 40, at = [80, 45] }}]", 5, "cutouts 1 and 2 overlap at 100 mm, 45 mm", ""),
        (f"{HALF}\ncutouts = [{{ circle = 40, at = [99, 45] }}]", 5, "cutouts 1 and 2 overlap at 100 mm, 25 mm", ""),
        ('corners = [[0, 0], [200, 50], [0, 150]]\nmirror = "left-right"', 4,
         "its half must end in one straight edge on the right, where the two halves meet",
         "or leave out mirror, if the whole outline is written"),
        ('corners = [[0, 0], [80, 0], [40, 90]]\nmirror = "front-back"', 4,
         "its half must end in one straight edge on the back, where the two halves meet",
         "or leave out mirror, if the whole outline is written"),
        (f"{SQUARE}\nat = {{ right = -0.02 }}", 4, "runs 0 mm off the right of panel", "move or shrink it"),
        (f"{SQUARE}\nat = {{ left = 930 }}", 4, "runs 30 mm off the right of panel", "move or shrink it"),
        (f"{SQUARE}\nat = {{ front = -3 }}", 4, "runs 3 mm off the front of panel", "move or shrink it"),
        (f"{SQUARE}\nat = {{ back = 3 }}\nmargin = 3.02", 4,
         "comes within 3 mm of the back of panel, and its margin is 3 mm", "move or shrink it"),
        (f"{SQUARE}\nat = {{ left = 20 }}\nmargin = 30", 4,
         "comes within 20 mm of the left of panel, and its margin is 30 mm", "move or shrink it"),
        (f"{SQUARE}\nat = {{ left = 0.6 }}\nmargin = 30", 4,
         "comes within 1 mm of the left of panel, and its margin is 30 mm", "move or shrink it"),
        ("corners = [[0, 0, 10], [200, 0, 60], [200, 120, 61]]", 3,
         "the roundings of corners 2 and 3 need 168 mm, and the side is 120 mm long", ""),
        ("corners = [[0, 0], [60, 0], [60, 120], [0, 0]]", 3, "corners 4 and 1 are in one place", ""),
        ('svg = "M0 0H90V90z M200 0H210V90"', 3, "the path isn't closed", "end it with Z"),
        ('svg = "M0 0 L90 90 {} 5z"', 3, "can't read '{} 5z' in the path", ""),
        ('svg = "M0 0 L90"', 3, "the path ends in the middle of 'L'", ""),
        ('svg = "M0 0H1e8z"', 3, "a number in the path is too large", ""),
        ('svg = "L0 0z"', 3, "a path begins with M", ""),
        ('svg = "5 5"', 3, "a path begins with M", ""),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_in_full_at_its_line(outline: str, line: int, what: str, hint: str) -> None:
    assert told(outline)[:1] == [(line, f"it: {what}", hint)]


@pytest.mark.parametrize(
    "outline",
    [
        f"{SQUARE}\nat = {{ right = -0.009 }}",
        f"{SQUARE}\nat = {{ back = 3 }}\nmargin = 3",
        f"{HALF}\ncutouts = [{{ circle = 40, at = [100, 45] }}]",
        f"{HALF}\ncutouts = [{{ circle = 38, at = [80, 45] }}]",
        "path = [{ from = [0, 0] }, { to = [90, 0], through = [40, 0] }, { to = [90, 90] }, { to = [90, 90] }]",
        "path = [{ from = [0, 0] }, { to = [90, 0], radius = 45 }, { to = [90, 90] }]",
        "corners = [[0, 0, 60], [120, 0, 60], [120, 120, 60], [0, 120, 60]]",
        "circle = 100",
        "slot = [100, 100]",
    ],
)
def test_just_within_its_limit_nothing_is_wrong(outline: str) -> None:
    build = build_with(outline)
    assert [each.what for each in outline_problems(build) if each.kind == "problem"] == []


def test_a_slot_as_wide_as_it_is_long_is_a_circle() -> None:
    (loop,) = (made("slot = [20, 20]").outer,)
    assert [type(each).__name__ for each in loop] == ["Arc", "Arc"]
    assert [each.length for each in loop] == [pytest.approx(31.41593)] * 2


def test_a_rounding_on_a_straight_side_rounds_nothing() -> None:
    each = made("corners = [[0, 0], [150, 0, 20], [300, 0], [300, 200], [0, 200]]")
    assert [type(segment).__name__ for segment in each.outer] == ["Line"] * 5
    assert sum(segment.length for segment in each.outer) == pytest.approx(1000)


def drawn(count: int) -> str:
    """A saw blade with `count` straight edges."""
    return "M0 0" + "".join(f"L{at} {1 - at % 2}" for at in range(1, count)) + "z"


def test_a_figure_has_at_most_two_thousand_lines_and_curves() -> None:
    from tracker.design.outline import SvgPath
    from tracker.measure import millimetres

    assert len(loops_of(SvgPath(drawn(2000), millimetres(1)), "svg")[0]) == 2000
    with pytest.raises(OutlineError) as refused:
        loops_of(SvgPath(drawn(2001), millimetres(1)), "svg")
    wrong = refused.value
    assert (wrong.what, wrong.hint, wrong.key) == (
        "more than 2,000 lines and curves", "a simpler drawing will do", "svg",
    )  # fmt: skip


# -- notes -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("outline", "notes"),
    [
        # a sliver of the third board, 240 to 360 mm from the front, is narrower than 10 mm
        ("corners = [[0, 0], [300, 0], [300, 129.9], [0, 129.9]]\nat = { left = 10, front = 120 }",
         [(4, "a sliver of board 3 stays, 10 mm wide")]),
        ("corners = [[0, 0], [300, 0], [300, 130.1], [0, 130.1]]\nat = { left = 10, front = 120 }", []),
        # smaller than 10 mm or larger than 3 m
        ("oval = [9.9, 200]", [(0, "it is 10 mm across: is its unit right?")]),
        ("oval = [10.1, 200]", []),
        ("corners = [[0, 0], [3001, 0], [3001, 200], [0, 200]]", [(3, "it is 3001 mm across: is its unit right?")]),
        ("corners = [[0, 0], [2999, 0], [2999, 200], [0, 200]]", []),
    ],
)  # fmt: skip
def test_notes_begin_at_their_limits(outline: str, notes: list[tuple[int, str]]) -> None:
    found = [(line, what) for line, what, _ in told(outline)]
    assert [each for each in found if "sliver" in each[1] or "across:" in each[1]] == [
        (line, f"it: {what}") for line, what in notes
    ]


@pytest.mark.parametrize(("high", "noted"), [(9.9, True), (10.1, False)])
def test_a_neck_across_which_the_grain_runs_is_weak_under_ten_millimetres(high: float, noted: bool) -> None:
    """Two plates joined by a bar along the grain, 4 mm long: as strong as it is wide."""
    plates = f"corners = [[0,0],[100,0],[100,30],[104,30],[104,0],[204,0],[204,80],[104,80],[104,{30 + high}],"
    found = [what for _, what, _ in told(f"{plates}[100,{30 + high}],[100,80],[0,80]]") if "neck" in what]
    assert found == ([f"it: a neck of 10 mm at 101 mm, 35 mm is as strong as {high} mm of straight grain"] * noted)


def test_necks_of_a_build_in_inches_are_in_inches() -> None:
    text = PANEL.replace('"mm"', '"in"').replace("= 27", "= 1").replace("= 120\n", "= 5\n").replace("= 1200", "= 48")
    text = text.replace('["3 m"]', "[120]")
    bar = "[4, 1.2], [4.2, 1.2], [4.2, 0], [8, 0], [8, 3], [4.2, 3], [4.2, 1.5], [4, 1.5], [4, 3], [0, 3]"
    said = [what for _, what, _ in told(f"corners = [[0, 0], [4, 0], {bar}]", text=text) if "neck" in what]
    assert said == ['it: a neck of 5/16" at 4 1/16", 1 3/8" is as strong as 0.30 in of straight grain']


def test_at_most_five_necks_of_a_thin_strip_are_named() -> None:
    assert len([what for _, what, _ in told("corners = [[0, 0], [900, 0], [900, 9], [0, 9]]") if "neck" in what]) == 5


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (30.0, []),  # the hole's edge is 26 mm from the line
        (6.1, []),
        (5.9, ["it: a through hole at 6 mm, 30 mm is 2 mm from the line"]),
        (1.0, ["it: a through hole at 1 mm, 30 mm is 0 mm from the line"]),
        (-3.9, ["it: a through hole at -4 mm, 30 mm is 0 mm from the line"]),
        (-4.1, []),  # drilled into the waste
    ],
)
def test_a_hole_is_noted_where_it_is_cut_or_a_saw_may_stray_into_it(at: float, said: list[str]) -> None:
    """A hole of 8 mm, and a saw that strays 2 mm: noted from 6 mm within the line to 4 mm beyond it."""
    part = (
        '[[parts]]\nid = "shelf"\nwood = "ash"\nlength = 400\n'
        f'holes = [{{ kind = "through", end = "A", from_edge = 60, from_end = {100 + at}, diameter = 8 }}]\n'
    )
    text = PANEL.replace("[woods.ash]", "[shop]\nwander = 2\n[woods.ash]") + part
    outline = "corners = [[0, 0], [200, 0], [200, 60], [0, 60]]\nat = { left = 100, front = 30 }"
    assert [what for _, what, _ in told(outline, "shelf", text) if "hole" in what] == said


# -- tools -------------------------------------------------------------------------------------------------------------

SHOP = '[shop]\nblades = [3, "6.4 mm", 3]\nbits = [20, 8]\ndrums = [100.1, 100]\n'


def test_which_tools_get_round() -> None:
    """A slot in the edge, 100 mm wide and round at its bottom, and a hole of 19 mm. A blade of w turns in w² / 2.56:
    3 mm in 3.5 mm, 6.4 mm in 16 mm."""
    notch = (
        "path = [{ from = [0, 0] }, { to = [400, 0] }, { to = [400, 300] }, { to = [250, 300] }, { to = [250, 200] }, "
        "{ to = [150, 200], through = [200, 150] }, { to = [150, 300] }, { to = [0, 300] }]\n"
        "cutouts = [{ circle = 19, at = [60, 60] }]"
    )
    loaded = load_build(
        f'{PANEL.replace("[woods.ash]", SHOP + "[woods.ash]")}[[outlines]]\nid = "it"\nof = "panel"\n{notch}\n'
    )
    assert loaded.build is not None
    found = tools(loaded.build.shop, made(notch))
    assert [(each.kind, float(each.size), round(each.radius, 2), each.enough, each.cutouts) for each in found] == [
        ("blade", 6.4, 16.0, True, True),
        ("blade", 3.0, 3.52, True, True),
        ("bit", 20.0, 10.0, True, False),
        ("bit", 8.0, 4.0, True, True),
        ("drum", 100.1, 50.05, False, False),
        ("drum", 100.0, 50.0, True, False),
    ]
    assert found[0] == Tool("blade", found[0].size, 6.4**2 / 2.56, True)


@pytest.mark.parametrize(
    ("radius", "said"),
    [
        (3.0, "no bit of the shop gets into its bends; no blade of the shop turns its curves; "
              "no drum of the shop gets into its bends"),
        (3.6, "no bit of the shop gets into its bends; no drum of the shop gets into its bends"),
        (4.0, "no drum of the shop gets into its bends"),
        (50.0, ""),
    ],
)  # fmt: skip
def test_kinds_of_tools_none_of_which_gets_round_are_noted(radius: float, said: str) -> None:
    text = PANEL.replace("[woods.ash]", f"{SHOP}[woods.ash]")
    hook = f"corners = [[0, 0], [400, 0], [400, 150], [150, 150, {radius}], [150, 400], [0, 400]]"
    found = [what for _, what, _ in told(hook, text=text) if "of the shop" in what]
    assert found == ([f"it: {said}"] if said else [])


def dented(degrees: float) -> Loop:
    """A board whose upper edge turns inward in its middle by an angle."""
    deep = 100 * tan(radians(degrees / 2))
    points = [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (100.0, 100.0 - deep), (0.0, 100.0)]
    return tuple(Line(points[at - 1], point) for at, point in enumerate(points))


def test_a_sharp_inside_corner_is_the_tightest_bend() -> None:
    assert tightest(dented(60)) == Bend(0.0, (100.0, pytest.approx(42.26, abs=0.01)))  # type: ignore[arg-type]
    assert tightest(dented(0.6)) is not None
    assert tightest(dented(0.4)) is None, "half a degree isn't felt"


# -- panels ------------------------------------------------------------------------------------------------------------

TWO = PANEL.split("[[assemblies]]")[0].replace("quantity = 8", "quantity = 2")
AT = "at = { left = 0, front = 0 }"


def glued(place: str) -> str:
    return f'{TWO}[[assemblies]]\nid = "panel"\njoins = {{ board = 2 }}\nby = "dry"\n{place}\n'


@pytest.mark.parametrize(
    ("place", "line", "what", "hint"),
    [
        ("", 2, "where the boards of its panel are isn't said", "boards of one sequence, or 'place' of the assembly"),
        (f'place = [{{ part = "board", {AT}, count = 2, step = {{ up = 27 }} }}]', 2,
         "it isn't flat: its pieces lie one above another", ""),
        (f'place = [{{ part = "board", {AT}, count = 2, step = {{ back = 140 }} }}]', 0,
         "part of it lies on no board of panel", "move or shrink it"),
    ],
)  # fmt: skip
def test_what_is_no_panel_is_said(place: str, line: int, what: str, hint: str) -> None:
    text = glued(place).replace('sequence = "panel"\n', "")
    said = told("corners = [[0, 0], [300, 0], [300, 200], [0, 200]]", text=text)
    assert said[:1] == [(line, f"it: {what}", hint)]


@pytest.mark.parametrize(("up", "flat"), [(24.2, True), (24.4, False)])
def test_boards_that_lie_one_above_another_are_no_panel(up: float, flat: bool) -> None:
    """27 mm thick: no panel is thicker than 1.9 × 27 = 51.3 mm."""
    text = glued(f'place = [{{ part = "board", {AT}, count = 2, step = {{ up = {up}, back = 120 }} }}]')
    assert [what for _, what, _ in told("circle = 90", text=text) if "flat" in what] == (
        [] if flat else ["it: it isn't flat: its pieces lie one above another"]
    )


@pytest.mark.parametrize(("gap", "seams"), [(0.4, 1), (0.6, 0)])
def test_boards_half_a_millimetre_apart_still_touch(gap: float, seams: int) -> None:
    build = load_build(glued(f'place = [{{ part = "board", {AT}, count = 2, step = {{ back = {120 + gap} }} }}]')).build
    assert build is not None
    assert len(panel_of(build, Placer(build), "panel").seams) == seams


@pytest.mark.parametrize(("by", "shares"), [(98.9, True), (99.1, False)])
def test_a_seam_is_a_millimetre_long_at_least(by: float, shares: bool) -> None:
    found = shared_edge((0.0, 0.0), (1.0, 0.0), 100.0, (by + 100, 0.0), (by, 0.0))
    assert found == (((by, 0.0), (100.0, 0.0)) if shares else None)


def test_no_short_grain_is_looked_for_where_boards_cross() -> None:
    crossed = glued(
        f'place = [{{ part = "board", {AT} }}, '
        '{ part = "board", lies = "B back, top up", at = { left = 1200, front = 0 } }]'
    )
    fin = "corners = [[0, 0], [20, 0], [20, 60], [0, 60]]\nat = { left = 30, front = 30 }"
    assert [what for _, what, _ in told(fin, text=crossed) if "short grain" in what] == []
    beside = glued(f'place = [{{ part = "board", {AT}, count = 2, row = "back" }}]')
    assert [what for _, what, _ in told(fin, text=beside) if "short grain" in what] == [
        "it: short grain at 10 mm, 31 mm: 60 mm across the grain on fibres of 20 mm at most"
    ]


@pytest.mark.parametrize(
    ("other", "found"), [(0.9, True), (1.1, False), (179.1, True), (178.9, False), (90.0, False), (180.0, True)]
)
def test_boards_whose_grain_differs_by_a_degree_are_parallel(other: float, found: bool) -> None:
    fin = made("corners = [[0, 0], [20, 0], [20, 60], [0, 60]]")
    boards = tuple(replace(board, grain=other if at == 1 else 0.0) for at, board in enumerate(fin.panel.boards))
    assert bool(short_grain_of(replace(fin, panel=replace(fin.panel, boards=boards)))) is found


# -- a piece as a template ---------------------------------------------------------------------------------------------


def template_of(part: str) -> tuple[float, ...] | str:
    """The bounds of a piece's template and the number of its hidden corners; or why there is none."""
    build = load_build(f'{TWO}[[parts]]\nid = "odd"\nwood = "ash"\nlength = 300\n{part}\n').build
    assert build is not None
    try:
        each = whole_piece(build, Placer(build), "odd", build.part("odd").hand(1))
    except OutlineError as wrong:
        return wrong.what
    xs, ys = zip(*(line.start for line in each.outer), strict=True)  # type: ignore[union-attr]
    return (round(min(xs), 2), round(max(xs), 2), min(ys), max(ys), *each.panel.size, len(each.hidden))


def test_a_template_shows_the_top_face_and_the_bottom_face_where_it_differs() -> None:
    """A bevel of 45 degrees through 27 mm moves one face by 27 mm."""
    assert template_of("") == (0, 300, 0, 120, 300, 120, 0)
    assert template_of("end_b = { miter = 30 }") == (0, 300, 0, 120, 300, 120, 0)
    assert template_of('end_b = { bevel = 45, long_face = "bottom" }') == (0, 273, 0, 120, 300, 120, 4)
    assert template_of('end_a = { bevel = 45, long_face = "bottom" }') == (27, 300, 0, 120, 300, 120, 4)
    assert template_of("end_b = { bevel = 0.01 }") == (0, 300, 0, 120, 300, 120, 0), "0.005 mm is nothing"
    assert template_of("end_b = { bevel = 0.03 }") == (0, 300, 0, 120, 300, 120, 4)
