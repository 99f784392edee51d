"""The drawing of a side with features: no number overlaps another one, and every cut is large enough to see."""

from __future__ import annotations

from itertools import combinations

import pytest
from work.one_tablet import Bench

from tests.bench.feature_gallery import build_text
from tracker.cards.piece.feature_layout import ROW, SCREEN_HIGH, FeatureLayout, Type
from tracker.cards.piece.feature_paper import width
from tracker.cards.piece.feature_view import FeatureView, sides_worked
from tracker.cards.piece.features import feature_words, features_on, features_to_set
from tracker.cards.piece.piece import MORE, ROOM, _within
from tracker.design import load_build
from tracker.floor.floor import Floor
from tracker.plan.geometry import solid
from tracker.work.run import start_run

BOXES = [(125.0, 38.0), (110.0, 34.0), (95.0, 36.0), (125.0, 70.0), (170.0, 60.0)]
"""Millimetres: the room for the drawing on a landscape card, on one of a smaller screen, in portrait, and on a page of
its own."""
TALL, FINE = 4.7, 3.5


def views() -> list[tuple[str, FeatureView]]:
    build = load_build(build_text([])).build
    assert build is not None
    return [
        (part.id, view)
        for part in build.parts
        if part.features
        for view in sides_worked(solid(part, None), features_on(part, None), build.shop.mark)
    ]


VIEWS = views()


def laid_out(view: FeatureView, box: tuple[float, float], high: float = SCREEN_HIGH) -> FeatureLayout:
    def wide(text: str, capital: float, bold: bool) -> float:
        return width(text, capital, bold)

    screen = high == SCREEN_HIGH
    type_ = Type(fine=TALL if screen else FINE, number=TALL, width=wide, high=high, below=screen)
    return FeatureLayout(view, (0.0, 0.0, *box), type_)


def numbers(at: FeatureLayout) -> list[tuple[float, float, float, float, str]]:
    """The box of every number as drawn: left, bottom, right, top."""
    found = []
    for row, measures in enumerate(at.rows):
        for each in measures:
            low, high = sorted((at.place(each.start)[0], at.place(each.end)[0]))
            wide, beside = at.number_width(each.text), at.number_left(each)
            left = (low + high - wide) / 2 if beside is None else beside
            bottom = at.top + row * ROW + 3.2 - TALL / 2
            found.append((left, bottom, left + wide, bottom + TALL, each.text))
    x = at.place((at.end, at.low))[0] + 3.0
    for each in at.upright:
        wide = at.number_width(each.text)
        bottom = max((at.place(each.start)[1] + at.place(each.end)[1] - TALL) / 2, at.y0)
        found.append((x + 1.2, bottom, x + 1.2 + wide, bottom + TALL, each.text))
        x += wide + 4.0
    return found


@pytest.mark.parametrize("box", BOXES)
@pytest.mark.parametrize(("name", "view"), VIEWS, ids=[name for name, _ in VIEWS])
@pytest.mark.parametrize("high", [14.0, SCREEN_HIGH])
def test_no_number_lies_on_another_one(name: str, view: FeatureView, box: tuple[float, float], high: float) -> None:
    at = laid_out(view, box, high)
    for one, two in combinations(numbers(at), 2):
        apart = one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1]
        assert apart, f"{one[4]} on {two[4]}"
    assert all(left >= 0 and right <= box[0] + 1 for left, _, right, _, _ in numbers(at))


@pytest.mark.parametrize("box", BOXES)
@pytest.mark.parametrize(("name", "view"), VIEWS, ids=[name for name, _ in VIEWS])
def test_the_side_is_drawn_large_enough_to_see(name: str, view: FeatureView, box: tuple[float, float]) -> None:
    """A side of 22 mm with a groove of 250 mm was a strip 4 mm high."""
    at = laid_out(view, box)
    assert at.top - at.y0 >= 4.5
    shown = [cut for cut in view.cuts if cut.centre is not None or cut.outline]
    for cut in shown:  # every wall that is marked out is in a stretch that is drawn
        xs = [x for x, _ in cut.outline] or [cut.centre[0] if cut.centre else 0.0]
        for x in (min(xs), max(xs)):
            assert any(first - 1e-6 <= x <= last + 1e-6 for first, last in at.spans)


def test_a_haunch_is_said_with_its_place_and_drawn() -> None:
    build = load_build(build_text(["haunched"])).build
    assert build is not None
    part = next(part for part in build.parts if part.id == "tenon-haunched")
    shapes = features_on(part, None)
    assert "10 mm haunch at the far edge" in feature_words(shapes[0], build.shop.mark)
    bench = Bench(start_run(build))
    said = features_to_set(Floor(bench.run, bench.state, bench.now), shapes).how
    assert said.startswith("10 mm haunch at the far edge, 500 mm between the shoulders")
    tenon, haunch = sides_worked(solid(part, None), shapes, build.shop.mark)[0].cuts
    assert max(x for x, _ in tenon.outline) == min(x for x, _ in haunch.outline) == 75.0
    assert max(x for x, _ in haunch.outline) == 100.0


def test_of_words_that_are_too_long_the_beginning_is_said() -> None:
    """Its haunch was once left out, because with shoulders and place the words were too long."""
    clauses = [f"clause {number} of the words" for number in range(9)]
    said = _within("", ", ".join(clauses))
    assert len(said) <= ROOM
    begun, more = said.rsplit(" · ", 1)
    assert more == MORE
    assert ", ".join(clauses).startswith(f"{begun},")
    assert _within("short", "also short") == "short · also short"
    assert _within("a" * 100, "next") == f"next · {MORE}"
