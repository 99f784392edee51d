"""The layouts of the drawings of a build's worked and drilled sides, in boxes of several sizes."""

from __future__ import annotations

from collections.abc import Iterator

from said.lines import stamp
from work.one_tablet import Bench

from tracker.cards.piece.drawing import draw
from tracker.cards.piece.drilled_layout import DrilledLayout
from tracker.cards.piece.drilled_side import drilled_side
from tracker.cards.piece.feature_layout import SCREEN_HIGH, FeatureLayout, Type
from tracker.cards.piece.feature_view import FeatureView, sides_worked
from tracker.cards.piece.features import features_on
from tracker.design.model import Build
from tracker.floor.floor import Floor
from tracker.work.run import Run

BOXES = ((0.0, 0.0, 125.0, 38.0, 1.0), (30.0, 20.0, 700.0, 900.0, 6.3), (2.0, 1.0, 95.0, 60.0, 1.0))
"""Left, bottom, width and height in points, and points per millimetre."""


def laid_out(build: Build, run: Run) -> Iterator[str]:
    """A line for each side of each part and hand."""
    for name, view in _views(build, run):
        kind = DrilledLayout if view.drilled else FeatureLayout
        found = [_numbers(kind(view, tuple(box), _type(mm, screen))) for *box, mm in BOXES for screen in (False, True)]
        yield f"{name}, {view.title}: laid out {stamp(found)}"


def _type(mm: float, screen: bool) -> Type:
    """The type on the screen; or smaller words, as on paper, beside the ends."""
    if screen:
        return Type(fine=4.7, number=4.7, width=_wide, mm=mm, high=SCREEN_HIGH, below=True)
    return Type(fine=3.5, number=4.7, width=_wide, mm=mm)


def _wide(text: str, capital: float, bold: bool) -> float:
    """About as wide as the type on the screen."""
    return len(text) * capital * (0.8 if bold else 0.7)


def _views(build: Build, run: Run) -> Iterator[tuple[str, FeatureView]]:
    bench, seen = Bench(run), set[tuple[str, str | None]]()
    floor = Floor(run, bench.state, bench.now)
    for item in run.pieces:
        if (item.id, item.hand) in seen:
            continue
        seen.add((item.id, item.hand))
        part, solid = floor.part(item), floor.solid(item)
        for view in sides_worked(solid, features_on(part, item.hand), build.shop.mark):
            yield item.id, view
        for face in dict.fromkeys(hole.face for hole in part.holes):
            view = drilled_side(floor, item, draw(solid, up=face), face)
            if view is not None:
                yield item.id, view


def _numbers(at: FeatureLayout) -> tuple[object, ...]:
    """Where everything is drawn."""
    measures = [each for row in at.rows for each in row]
    return (
        at.scale, at.spans, at.x0, at.y0, at.top, at.truncated, at.words(), [len(row) for row in at.rows],
        [(at.place(each.start), at.place(each.end), each.text) for each in (*measures, *at.upright)],
        [at.number_left(each) for each in measures],
        [at.within(point, first) for first, _ in at.spans for point in at.view.outline],
        at.baselines(4.7 * at.type.mm) if isinstance(at, DrilledLayout) else (),
    )  # fmt: skip
