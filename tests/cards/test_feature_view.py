"""Each worked side as it is drawn when it is turned up: its outline, its cuts and the numbers to mark out, by hand.

A rail of 400 × 60 × 22 mm. End A stays at the left, whatever side is up; a bottom face or a far edge that is turned up
has its other side at the front; an end is seen with the bottom face down.
"""

from __future__ import annotations

import pytest
from kit.build_text import one_wood

from tracker.cards.piece.feature_view import FeatureView, Measure, Point, sides_worked
from tracker.cards.piece.features import features_on
from tracker.design import load_build
from tracker.plan.geometry import solid

Box = tuple[float, float, float, float]
Dimension = tuple[Point, Point, str]
RAIL = (
    one_wood("Rail", "mm", "oak", "white oak", "thickness = 22", "width = 60", 'lengths = ["3 m"]')
    + """\
[[parts]]
id = "rail"
wood = "oak"
length = 400
"""
)


def view(feature: str, more: str = "") -> FeatureView:
    loaded = load_build(f"{RAIL}{more}\nfeatures = [{{ {feature} }}]\n")
    assert loaded.build is not None, loaded.problems
    (part,) = loaded.build.parts
    (found,) = sides_worked(solid(part, None), features_on(part, None), loaded.build.shop.mark)
    return found


def numbers(measures: tuple[Measure, ...]) -> tuple[list[Dimension], list[Dimension]]:
    """Those along the drawing, and those up it."""
    along, up = ([(each.start, each.end, each.text) for each in measures if each.upright == up] for up in (False, True))
    return along, up


@pytest.mark.parametrize(
    ("on", "place", "title", "sides", "outline", "centre"),
    [
        ("top", "A = 60, near = 10", "top face up", ("end A", "end B", "near edge"),
         [(0, 0), (400, 0), (400, 60), (0, 60)], (60, 10)),
        # 22 mm of end A are cut off at the bottom face, under 45°; from there the 60 mm are measured.
        ("bottom", "A = 60, near = 10", "bottom face up", ("end A", "end B", "far edge"),
         [(22, 60), (400, 60), (400, 0), (22, 0)], (82, 50)),
        # 5 mm above the bottom face the end is at 17 mm.
        ("near", "A = 60, bottom = 5", "near edge up", ("end A", "end B", "bottom face"),
         [(22, 0), (400, 0), (400, 22), (0, 22)], (77, 5)),
        ("far", "A = 60, bottom = 5", "far edge up", ("end A", "end B", "top face"),
         [(22, 22), (400, 22), (400, 0), (0, 0)], (77, 17)),
        ("B", "near = 10, bottom = 5", "end B toward you", ("near edge", "far edge", "bottom face"),
         [(0, 0), (60, 0), (60, 22), (0, 22)], (10, 5)),
        ("A", "near = 10, bottom = 5", "end A toward you", ("far edge", "near edge", "bottom face"),
         [(60, 0), (0, 0), (0, 22), (60, 22)], (50, 5)),
    ],
)  # fmt: skip
def test_each_side_is_drawn_as_it_lies_when_it_is_turned_up(
    on: str, place: str, title: str, sides: tuple[str, ...], outline: list[Point], centre: Point
) -> None:
    bevel = 'end_a = { bevel = 45, long_face = "top" }'
    side = view(f'kind = "bore", on = "{on}", diameter = 4, depth = 3, from = {{ {place} }}', bevel)
    assert (side.title, (side.left, side.right, side.low)) == (title, sides)
    assert side.grain == (on not in "AB")
    assert list(side.outline) == [pytest.approx(corner) for corner in outline]
    (hole,) = side.cuts
    assert (hole.centre, hole.radius, hole.name) == (pytest.approx(centre), 2, "bore 1")
    (along,), (up,) = numbers(side.measures)
    assert (along[1], up[1]) == (pytest.approx(centre), pytest.approx(centre)), "to the middle of the hole"
    first, second = (int(each.split(" = ")[1]) for each in place.split(", "))
    assert (abs(along[0][0] - centre[0]), along[2]) == (pytest.approx(first), f"{first} mm")
    assert (abs(up[0][1] - centre[1]), up[2]) == (pytest.approx(second), f"{second} mm")


@pytest.mark.parametrize(
    ("feature", "cuts", "along", "up"),
    [
        ('kind = "mortise", on = "near", length = 60, width = 8, depth = 9, from = { A = 100, top = 5 }',
         [(100, 160, 9, 17)], [((0, 17), (100, 17), "100 mm"), ((100, 9), (160, 9), "60 mm")],
         [((100, 22), (100, 17), "5 mm"), ((160, 9), (160, 17), "8 mm")]),
        ('kind = "mortise", on = "far", length = 60, width = 8, depth = 9, from = { B = 100, bottom = 5 }',
         [(240, 300, 9, 17)], [((400, 9), (300, 9), "100 mm"), ((240, 17), (300, 17), "60 mm")],
         [((240, 22), (240, 17), "5 mm"), ((300, 17), (300, 9), "8 mm")]),
        ('kind = "rabbet", on = "bottom", edge = "near", width = 12, depth = 7',
         [(0, 400, 48, 60)], [], [((400, 60), (400, 48), "12 mm")]),
        ('kind = "rabbet", on = "top", edge = "B", width = 12, depth = 7',
         [(388, 400, 0, 60)], [((388, 0), (400, 0), "12 mm")], []),
        # 40 of 60 mm and 8 of 22 in the middle
        ('kind = "tenon", on = "B", length = 30, thickness = 8, width = 40',
         [(10, 50, 7, 15)], [((10, 7), (50, 7), "40 mm"), ((0, 15), (10, 15), "10 mm")],
         [((50, 7), (50, 15), "8 mm"), ((10, 0), (10, 7), "7 mm")]),
        # Seen from end A the near edge is at the right; the haunch fills what is left toward the far edge.
        ('kind = "tenon", on = "A", length = 30, thickness = 8, width = 40, from = { near = 5 },'
         ' haunch = { edge = "far", length = 6 }',
         [(15, 55, 7, 15), (0, 15, 7, 15)], [((55, 7), (15, 7), "40 mm"), ((60, 15), (55, 15), "5 mm")],
         [((15, 7), (15, 15), "8 mm"), ((55, 0), (55, 7), "7 mm")]),
        ('kind = "tenon", on = "B", length = 30, thickness = 8, width = 40, from = { far = 5 },'
         ' haunch = { edge = "near", length = 6, width = 9 }',
         [(15, 55, 7, 15), (6, 15, 7, 15)], [((15, 7), (55, 7), "40 mm"), ((60, 15), (55, 15), "5 mm")],
         [((55, 7), (55, 15), "8 mm"), ((15, 0), (15, 7), "7 mm")]),
        ('kind = "groove", on = "near", width = 8, depth = 9, from = { top = 4 }, stop = { A = 45 }',
         [(45, 400, 10, 18)], [((0, 18), (45, 18), "45 mm")],
         [((45, 22), (45, 18), "4 mm"), ((400, 10), (400, 18), "8 mm")]),
        ('kind = "dado", on = "bottom", width = 18, depth = 7, from = { B = 90 }, stop = { far = 11 }',
         [(292, 310, 11, 60)], [((400, 11), (310, 11), "90 mm"), ((292, 60), (310, 60), "18 mm")],
         [((292, 0), (292, 11), "11 mm")]),
        ('kind = "notch", on = "far", from = { A = 30 }, length = 38, depth = 20',
         [(30, 68, 0, 22)], [((0, 0), (30, 0), "30 mm"), ((30, 22), (68, 22), "38 mm")], []),
        # The width of a chamfer is drawn across the first of its strips.
        ('kind = "profile", edges = ["near top", "A top"], shape = "chamfer", width = 4',
         [(0, 400, 0, 4), (0, 4, 0, 60)], [], [((400, 0), (400, 4), "4 mm")]),
        ('kind = "profile", edges = ["far top"], shape = "chamfer", width = 4',
         [(0, 400, 56, 60)], [], [((400, 56), (400, 60), "4 mm")]),
        ('kind = "profile", edges = ["B bottom", "far bottom"], shape = "chamfer", width = 4',
         [(396, 400, 0, 60), (0, 400, 0, 4)], [((396, 60), (400, 60), "4 mm")], []),
        ('kind = "profile", edges = ["A top"], shape = "cove", radius = 5', [(0, 5, 0, 60)], [], []),
    ],
)  # fmt: skip
def test_the_cuts_of_a_side_and_their_numbers(
    feature: str, cuts: list[Box], along: list[Dimension], up: list[Dimension]
) -> None:
    side = view(feature)
    found = []
    for cut in side.cuts:
        xs, ys = [x for x, _ in cut.outline], [y for _, y in cut.outline]
        found.append((min(xs), max(xs), min(ys), max(ys)))
        assert len(cut.outline) == 4
        assert cut.kept == ("tenon" in feature)
    assert found == [pytest.approx(box) for box in cuts]

    def near(rows: list[Dimension]) -> list[object]:
        return [(pytest.approx(start), pytest.approx(end), text) for start, end, text in rows]

    found_along, found_up = numbers(side.measures)
    assert (found_along, found_up) == (near(along), near(up))


@pytest.mark.parametrize(
    ("on", "long_face", "wedge"),
    [
        ("near", "top", [(60, 22), (60, 0), (60 - 12.7017, 0)]), ("near", "bottom", [(60, 0), (60, 22), (47.2983, 22)]),
        ("far", "bottom", [(0, 0), (0, 22), (12.7017, 22)]), ("far", "top", [(0, 22), (0, 0), (12.7017, 0)]),
    ],
)  # fmt: skip
def test_a_bevel_is_drawn_from_the_end_with_its_narrow_face(on: str, long_face: str, wedge: list[Point]) -> None:
    """22 × tan 30° = 12.70 mm come off one face. Seen from end A the near edge is at the right."""
    side = view(f'kind = "bevel", on = "{on}", angle = 30, long_face = "{long_face}"')
    assert side.title == "end A toward you"
    (cut,) = side.cuts
    assert list(cut.outline) == [pytest.approx(corner, abs=1e-4) for corner in wedge]
    ((start, end, text),), up = numbers(side.measures)
    assert (start, text, up) == (pytest.approx(wedge[2], abs=1e-4), "47 mm", [])
    assert end == pytest.approx((0 if on == "near" else 60, wedge[2][1]), abs=1e-4), "as far as the other edge"
