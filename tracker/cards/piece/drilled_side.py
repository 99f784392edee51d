"""The drilled face of a piece, with every distance to mark out.

A hole is measured from the edge, and from the end along the line through the hole, so that the end may be slanted.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, cos, hypot, pi, sin

from tracker.cards.piece.drawing import Drawing, HoleMark, Point
from tracker.cards.piece.feature_view import Cut, FeatureView, Measure
from tracker.cards.piece.features import SIDE_WORDS
from tracker.cards.piece.interrupted_view import crossings
from tracker.design.model import EndName, FaceName, Hole
from tracker.floor.floor import Floor
from tracker.measure import Length
from tracker.words import say
from tracker.work.run import Item

ROUND = 12
"""Sides of the polygon that draws each rounded end of a pocket."""
LEAST_RADIUS = 2.5
"""The least radius at which a hole is drawn, in millimetres of wood: a pilot hole must be visible."""
POCKET = 4.75
"""Half the width of a pocket: the usual stepped bit is 3/8 in (common practice, no source)."""


def drilled_side(floor: Floor, item: Item, drawing: Drawing, face: FaceName) -> FeatureView | None:
    """A view of the face that is up; None if the part has no holes, or holes in other faces."""
    part = floor.part(item)
    if not part.holes or any(hole.face != face for hole in part.holes):
        return None
    return FeatureView(
        title=say("{face} up", face=drawing.face),
        outline=drawing.top_face or drawing.outline,
        cuts=tuple(_cut(mark, hole) for mark, hole in _marked(floor, item, drawing)),
        measures=(*_across(floor, item, drawing, face), *_along(floor, item, drawing)),
        left=SIDE_WORDS["A"],
        right=SIDE_WORDS["B"],
        low=SIDE_WORDS["near" if face == "top" else "far"],
        grain=drawing.grain == "along",
        drilled=True,
    )


def _marked(floor: Floor, item: Item, drawing: Drawing) -> Iterator[tuple[HoleMark, Hole]]:
    """Each hole of the drawing with its row of the build file."""
    rows = floor.part(item).holes
    for mark, shape in zip(drawing.holes, floor.solid(item).holes, strict=True):
        yield mark, rows[shape.row]


def _cut(mark: HoleMark, hole: Hole) -> Cut:
    if mark.pocket:
        return Cut(outline=_capsule(mark.start, mark.tip), name="pocket")
    wide = float(hole.diameter) if hole.diameter else 0.0
    return Cut(centre=mark.start, radius=max(wide / 2, LEAST_RADIUS), name="hole")


def _capsule(start: Point, tip: Point) -> tuple[Point, ...]:
    """The outline of a pocket seen from above: from the entry of the bit, over 0.7 of the distance to the tip."""
    along = atan2(tip[1] - start[1], tip[0] - start[0])
    long = 0.7 * hypot(tip[0] - start[0], tip[1] - start[1])
    inner = (start[0] + long * cos(along), start[1] + long * sin(along))
    turns = [pi * step / ROUND for step in range(ROUND + 1)]
    back = [(start, along + pi / 2 + turn) for turn in turns]
    front = [(inner, along - pi / 2 + turn) for turn in turns]
    return tuple((x + POCKET * cos(turn), y + POCKET * sin(turn)) for (x, y), turn in (*back, *front))


def _across(floor: Floor, item: Item, drawing: Drawing, face: FaceName) -> Iterator[Measure]:
    """The distances from the edge that the file measures from, each drawn once, at the hole nearest to end B."""
    width = max(y for _, y in drawing.outline)
    said: dict[str, Length] = {}
    for hole in floor.part(item).holes:
        said.update({floor.read(each).text: each for each in hole.from_edge})
    # A right hand is measured from its far edge; in a drawing that is turned over, the edges have changed places.
    from_high = (item.hand == "right") != (face == "bottom")
    for text, distance in said.items():
        edge = width if from_high else 0.0
        y = width - float(distance) if from_high else float(distance)
        marks = [mark.start[0] for mark in drawing.holes if abs(mark.start[1] - y) < 0.5]
        if marks:
            yield Measure(start=(max(marks), edge), end=(max(marks), y), text=text, upright=True)


def _along(floor: Floor, item: Item, drawing: Drawing) -> Iterator[Measure]:
    """The distances from an end to a hole, each drawn once; a distance used at both ends is labelled `each end`."""
    ends: dict[Length, set[EndName]] = {}
    for hole in floor.part(item).holes:
        if hole.from_end is not None:
            ends.setdefault(hole.from_end, set()).add(hole.end)
    for mark, hole in _marked(floor, item, drawing):
        spans = crossings(drawing.top_face or drawing.outline, mark.start[1])
        if hole.from_end not in ends or not spans:
            continue
        text = floor.read(hole.from_end).text
        if len(ends.pop(hole.from_end)) > 1:
            text = say("{distance} each end", distance=text)
        end = min(first for first, _ in spans) if hole.end == "A" else max(last for _, last in spans)
        yield Measure(start=(end, mark.start[1]), end=mark.start, text=text, upright=False)
