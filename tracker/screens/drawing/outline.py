"""An outline on the screen: the panel as waste, what stays as wood, its seams and the direction of its grain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.properties import ObjectProperty

from tracker.plan.convex import Point
from tracker.screens.drawing.canvas import dashes, fill, stroke
from tracker.screens.drawing.drawing_widget import DrawingWidget

if TYPE_CHECKING:  # made outside the screen's thread
    from tracker.cards.template.outline_card import OutlineDrawing


LEAST = 12.0
"""Millimetres on the screen: a smaller drawing is useless."""


class OutlineOnPanel(DrawingWidget):
    """Draws an OutlineDrawing to scale, as large as fits; empty without one."""

    drawing: OutlineDrawing | None = ObjectProperty(None, allownone=True)

    follows = ("drawing",)
    least = (LEAST, LEAST)

    def _place(self, point: Point) -> Point:
        """The position on the screen of a place on the panel."""
        assert self.drawing is not None
        wide, deep = self.drawing.size
        scale = min(self.width / wide, self.height / deep)
        return (self.center_x + (point[0] - wide / 2) * scale, self.center_y + (point[1] - deep / 2) * scale)

    def put(self) -> None:
        drawing, shades = self.drawing, self.palette
        assert drawing is not None
        for board in drawing.boards:
            fill([self._place(point) for point in board], shades.colour("waste"))
        loops = [[self._place(point) for point in loop] for loop in drawing.loops]
        fill(loops[0], shades.colour("wood"))
        for hole in loops[1:]:
            fill(hole, shades.colour("waste"))
        for run in drawing.arrows:
            stroke([self._place(point) for point in run], shades.colour("bark"), 0.35 * self.mm)
        for seam in drawing.seams:
            dashes([self._place(point) for point in seam], shades.colour("hatch"), 0.35 * self.mm, 3 * self.mm)
        for x, y in map(self._place, drawing.marks):
            arm = 1.5 * self.mm
            stroke([(x - arm, y), (x + arm, y)], shades.colour("wood_ink"), 0.35 * self.mm)
            stroke([(x, y - arm), (x, y + arm)], shades.colour("wood_ink"), 0.35 * self.mm)
        for loop in loops:
            stroke(loop, shades.colour("kerf"), 1.4 * self.mm, close=True)
            stroke(loop, shades.colour("accent"), 0.7 * self.mm, close=True)
