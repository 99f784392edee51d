"""The face that is drilled: each distance in its drawing is as long as its number and from the edge that the file says.

The lengths are the file's own, not what the drawing was made from: both hands, both faces, a slanted end.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from kit.build_text import one_wood

from tracker.cards.piece.drawing import draw
from tracker.cards.piece.drilled_side import drilled_side
from tracker.cards.piece.feature_view import FeatureView
from tracker.design.load import load_build
from tracker.design.model import FaceName
from tracker.floor.floor import Floor
from tracker.work.clocks.elapsed import Now
from tracker.work.run import start_run
from tracker.work.state.state import State

BUILD = (
    one_wood("Rails", "mm", "oak", "white oak", "thickness = 20", "width = 100", 'lengths = ["2 m"]')
    + """\
[[parts]]
id = "rail"
name = "Rail"
left = 1
right = 1
wood = "oak"
length = 600
end_a = {{ miter = 20, long = "near" }}
holes = [
  {{ kind = "blind", end = "A", from_edge = [20, 70], from_end = 40, diameter = 8, depth = 10, face = "{face}" }},
  {{ kind = "through", end = "B", from_edge = 30, from_end = 55, diameter = 6, face = "{face}" }},
]
[[assemblies]]
id = "all"
name = "All"
joins = {{ rail = 2 }}
by = "dry"
"""
)


def side(face: FaceName, hand: str) -> FeatureView:
    loaded = load_build(BUILD.format(face=face))
    assert loaded.build is not None, loaded.problems
    floor = Floor(start_run(loaded.build), State(), Now(datetime(2026, 12, 1, 8, tzinfo=UTC), "boot", 10.0))
    item = next(each for each in floor.run.pieces if each.hand == hand)
    drawing = draw(floor.solid(item), up=face)
    view = drilled_side(floor, item, drawing, face)
    assert view is not None
    return view


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("face", ["top", "bottom"])
def test_each_distance_is_as_long_as_its_number(face: FaceName, hand: str) -> None:
    view = side(face, hand)
    across = {each.text: each for each in view.measures if each.upright}
    along = {each.text: each for each in view.measures if not each.upright}
    assert set(across) == {"20 mm", "70 mm", "30 mm"}
    assert set(along) == {"40 mm", "55 mm"}
    for text, each in (*across.items(), *along.items()):
        (x, y), (x2, y2) = each.start, each.end
        assert abs(x2 - x) + abs(y2 - y) == pytest.approx(float(text.removesuffix(" mm")))


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("face", ["top", "bottom"])
def test_it_is_from_the_edge_that_the_file_says(face: FaceName, hand: str) -> None:
    """A left hand is measured from its near edge, its mirror image from the far one; drawn turned over, an edge has
    changed its place."""
    view = side(face, hand)
    high = (hand == "right") != (face == "bottom")
    edges = {each.start[1] for each in view.measures if each.upright}
    assert edges == {max(y for _, y in view.outline) if high else 0.0}
    assert view.low == ("near edge" if face == "top" else "far edge")
    assert view.title == f"{face} face up"


def test_a_hole_that_is_measured_lies_on_the_drawn_end() -> None:
    """A slanted end is met at the hole's own height: a tape along the piece reads that."""
    view = side("top", "left")
    (first,) = [each for each in view.measures if each.text == "40 mm"]
    xs = [x for x, _ in view.outline]
    assert min(xs) < first.start[0] < first.end[0], "not from the tip"
