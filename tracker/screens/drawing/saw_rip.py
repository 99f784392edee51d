"""A rip as it lies on the table saw, seen from above: the board moves away from the person, the fence is at its
right."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from kivy.graphics import Color, Rectangle, SmoothLine

from tracker.cards.piece.drawing import Point
from tracker.cards.piece.saw_view import SawView
from tracker.screens.drawing.canvas import arrow, fill, flat, hatched, stroke
from tracker.screens.drawing.piece_layout import grain_lines, hatch
from tracker.screens.toolkit.palette import Palette
from tracker.screens.toolkit.theme import SCALE
from tracker.screens.toolkit.typeset import Line
from tracker.words import say

NOTE = SCALE["note"]
FENCE, FOOT, LEAST_KERF = 5.0, NOTE + 3.0, 1.2
"""The width of the fence, the height of the measured line, the least width of a kerf (mm on the screen)."""


WORDS = 34.0
"""The width of the words about the edge, beside the fence (mm)."""
MOST = 1.7
"""The largest scale of a board: this many times its real size."""


class Sheet(Protocol):
    """The surface to draw on."""

    palette: Palette
    mm: float
    x: float
    y: float
    width: float
    height: float

    def say(self, line: Line, x: float, baseline: float, colour_name: str) -> None: ...

    def slip(self, lines: Sequence[str], middle: Point, *, bold: bool = False) -> None: ...


class RipPlan:
    """One drawing at one size."""

    def __init__(self, sheet: Sheet, view: SawView) -> None:
        self.sheet, self.view, self.mm, self.palette = sheet, view, sheet.mm, sheet.palette
        self.low = sheet.y + FOOT * self.mm
        self.high = sheet.y + sheet.height
        room = sheet.width - (FENCE + WORDS + 4) * self.mm
        self.scale = min(room / view.width, MOST * self.mm)
        drawn = view.width * self.scale
        self.right = sheet.x + (sheet.width + drawn - (FENCE + WORDS) * self.mm) / 2
        """The face of the fence."""
        self.left = self.right - drawn
        self.cut = self.right - float(view.cut.set) * self.scale

    def draw(self) -> None:
        mm, palette = self.mm, self.palette
        kerf = max(LEAST_KERF * mm, self.view.kerf * self.scale)
        kept = self._box(self.cut, self.right)
        waste = self._box(self.left, self.cut - kerf)
        if self.cut - kerf > self.left:
            hatched(waste, hatch(waste, 2.4 * mm), palette, mm)
        fill(kept, palette.colour("wood"))
        Color(*palette.colour("grain"))
        for line in grain_lines(kept, False, 2.6 * mm, 0.32 * mm, mm):
            SmoothLine(points=flat(line), width=0.15 * mm)
        fill(self._box(self.cut - kerf, self.cut), palette.colour("kerf"))
        for x in (self.left, self.right):
            stroke([(x, self.low), (x, self.high)], palette.colour("bark"), 0.5 * mm)
        stroke([(self.cut, self.low), (self.cut, self.high)], palette.colour("accent"), 1.0 * mm)
        Color(*palette.colour("edge"))
        Rectangle(pos=(self.right, self.low), size=(FENCE * mm, self.high - self.low))
        self._words()

    def _box(self, left: float, right: float) -> list[Point]:
        return [(left, self.low), (right, self.low), (right, self.high), (left, self.high)]

    def _words(self) -> None:
        mm, sheet = self.mm, self.sheet
        middle = (self.low + self.high) / 2
        half = Line(self.view.face, NOTE, mm).width / 2 + mm
        narrow = self.right - half  # on a narrow piece the words extend over the cut, never into those beside the fence
        sheet.slip([self.view.face], (min((self.cut + self.right) / 2, narrow), middle))
        sheet.slip([say("straight edge"), say("to the fence")], (self.right + (FENCE + 1.5 + WORDS / 2) * mm, middle))
        accent = self.palette.colour("accent")
        line = Line(self.view.measured, NOTE, mm, bold=True)
        baseline = sheet.y + 0.8 * mm
        level = baseline + line.height + 1.2 * mm
        arrow((self.right, level), (self.cut, level), accent, 0.6 * mm, 2.4 * mm)
        arrow((self.cut, level), (self.right, level), accent, 0.6 * mm, 2.4 * mm)
        x = max(sheet.x, min((self.cut + self.right - line.width) / 2, sheet.x + sheet.width - line.width))
        sheet.say(line, x, baseline - 0.4 * mm, "ink")
