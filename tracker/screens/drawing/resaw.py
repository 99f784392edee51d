"""A board as it is resawn, seen from the end that the person pushes: on edge on the table, a face against the tall
fence, the blade between two leaves."""

from __future__ import annotations

from kivy.graphics import Color, Rectangle
from kivy.properties import ObjectProperty

from tracker.cards.piece.drawing import Point
from tracker.screens.drawing.canvas import arrow, fill, stroke
from tracker.screens.drawing.drawing_widget import DrawingWidget
from tracker.screens.toolkit.theme import SCALE
from tracker.screens.toolkit.typeset import Line
from tracker.words import say

NOTE = SCALE["note"]
FENCE, TABLE, FOOT, LEAST_KERF = 5.0, 1.2, NOTE + 4.0, 1.4
"""The thickness of the fence and of the table, the height of the measured line, the least width of a kerf (mm on the
screen)."""
EDGE_WORDS, FACE_WORDS = 44.0, 40.0
"""The width of the words at the left and at the right (mm)."""
MOST = 1.7
"""The largest scale of the thickness: this many times its real size."""


class ResawDrawing(DrawingWidget):
    """view: a tracker.cards.piece.milled.ResawView, or None. The thickness is to scale, the height isn't."""

    view = ObjectProperty(None, allownone=True)

    least = (60.0, 24.0)

    def put(self) -> None:
        mm, palette, view = self.mm, self.palette, self.view
        low, high = self.y + (FOOT + TABLE) * mm, self.top - 1 * mm
        board = low + (high - low) * 0.82
        beside = EDGE_WORDS + FENCE + FACE_WORDS
        scale = min((self.width - beside * mm) / view.whole, MOST * mm)
        drawn, kerf = view.whole * scale, max(LEAST_KERF * mm, view.kerf * scale)
        right = self.center_x + (drawn + (EDGE_WORDS - FENCE - FACE_WORDS) * mm) / 2
        left, cut = right - drawn, right - view.leaf * scale
        for one, two in ((left, cut - kerf), (cut, right)):
            box = [(one, low), (two, low), (two, board), (one, board)]
            fill(box, palette.colour("wood"))
            stroke([*box, box[0]], palette.colour("bark"), 0.4 * mm)
        Color(*palette.colour("edge"))
        Rectangle(pos=(right, low), size=(FENCE * mm, (board - low) * 0.85))
        Rectangle(pos=(left - 6 * mm, low - TABLE * mm), size=(drawn + (FENCE + 12) * mm, TABLE * mm))
        accent = palette.colour("accent")
        stroke([(cut - kerf / 2, low - TABLE * mm), (cut - kerf / 2, high)], accent, 1.0 * mm)
        middle = (low + board) / 2
        self._words((say("flat face"), say("to the fence")), (right + (FENCE + 1.5) * mm, middle))
        self._words((say("straight edge"), say("down")), (left - (EDGE_WORDS - 1.5) * mm, low + 8 * mm))
        self._measured(cut, right)

    def _words(self, lines: tuple[str, str], at: Point) -> None:
        """Two lines from a point to the right, the first above it."""
        mm = self.mm
        for row, text in enumerate(lines):
            line = Line(text, NOTE, mm)
            self.truncated = self.truncated or line.width > EDGE_WORDS * mm
            self.say(line, at[0], at[1] + (0.8 - row * (NOTE + 2.2)) * mm, "ink")

    def _measured(self, cut: float, face: float) -> None:
        """The line from the face of the fence to the blade, and what it is."""
        mm, accent = self.mm, self.palette.colour("accent")
        level = self.y + (NOTE + 2.6) * mm
        for x in (cut, face):
            stroke([(x, level - 1.3 * mm), (x, level + 1.8 * mm)], accent, 0.5 * mm)
        arrow(((cut + face) / 2, level), (cut, level), accent, 0.5 * mm, 2.4 * mm)
        arrow(((cut + face) / 2, level), (face, level), accent, 0.5 * mm, 2.4 * mm)
        line = Line(say("tall fence"), NOTE, mm, bold=True)
        self.say(line, (cut + face - line.width) / 2, self.y + 0.6 * mm, "ink")
