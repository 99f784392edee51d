"""The blade in a drawing of the saw: its swing on the scale in front of the fence, and its tilt from the front."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees, hypot, radians, tan
from typing import Protocol

from msgspec import Struct

from tracker.cards.piece.drawing import Point
from tracker.cards.piece.saw_view import SawView
from tracker.plan.cuts import Pass
from tracker.plan.piece_on_saw import OnSaw
from tracker.screens.drawing.canvas import arc, arrow, beyond, dashes, fill, hatched, stroke
from tracker.screens.drawing.piece_layout import hatch
from tracker.screens.toolkit.palette import Palette
from tracker.screens.toolkit.theme import SCALE
from tracker.screens.toolkit.typeset import Line
from tracker.words import say

NOTE = SCALE["note"]
WIDE = 1.1
"""How far the wood extends to each side of the blade in the front view, as a multiple of its thickness."""


class Sheet(Protocol):
    """The surface to draw on."""

    palette: Palette
    mm: float

    def say(self, line: Line, x: float, baseline: float, colour_name: str) -> None: ...


class SwingScale(Struct, frozen=True):
    """The blade's line through the fence and out to the handle."""

    pivot: Point
    """Where it passes through the fence."""
    front: Point
    """Its end toward the person, at the handle."""
    low: float
    """How far down the scale's arc may extend."""

    def put(self, cut: Pass, palette: Palette, mm: float) -> None:
        accent = palette.colour("accent")
        stroke([beyond(self.front, self.pivot, 6 * mm), self.front], accent, 0.9 * mm)
        fill(arc(self.front, 1.5 * mm), accent)
        if not cut.swing_deg:
            return
        square = (self.pivot[0], self.low)
        dashes([self.pivot, square], palette.colour("soft"), 0.4 * mm, 1.6 * mm)
        start = -90.0
        end = degrees(atan2(self.front[1] - self.pivot[1], self.front[0] - self.pivot[0]))
        radius = self.pivot[1] - self.low - 1.2 * mm
        line = arc(self.pivot, radius, start, end - start)
        stroke(line, accent, 0.6 * mm)
        if radius * abs(radians(end - start)) > 3 * mm:
            arrow(line[-2], line[-1], accent, 0.6 * mm, 2.2 * mm)


def swing_scale(line: Sequence[Point], fence: float, low: float, over: float) -> SwingScale:
    """The blade's line from its two points on the wood: up to the fence, and `over` past the wood toward the person, or
    as far as the scale's arc."""
    (x, y), (x2, y2) = line
    lean = (x2 - x) / (y2 - y) if y != y2 else 0.0
    pivot = (x + (fence - y) * lean, fence)
    slant = hypot(1.0, lean)
    long = max((fence - low) / slant, fence - min(y, y2) + over / slant)
    return SwingScale(pivot, (pivot[0] - long * lean, fence - long), low)


class EndView:
    """The blade and the wood from the front, along the blade."""

    def __init__(self, sheet: Sheet, view: SawView, laid: OnSaw, box: tuple[float, float, float, float]) -> None:
        self.sheet, self.view, self.laid, self.box = sheet, view, laid, box
        self.mm = sheet.mm

    def draw(self) -> None:
        mm, palette = self.mm, self.sheet.palette
        left, low, width, height = self.box
        table = low + (NOTE + 4.4) * mm
        room = height - (NOTE + 4.4) * mm - 9 * mm
        lean = tan(radians(self.view.cut.tilt_deg)) * (1 if self.view.cut.tilt == "left" else 0)
        thick = min(room * 0.62, width * 0.5 / max(1.0, lean))
        middle = left + width / 2
        kerf = max(1.0 * mm, float(self.view.kerf) * thick / self.laid.height)
        line = [(middle + lean * thick / 2, table), (middle - lean * thick / 2, table + thick)]
        side = 1 if self.laid.kept_left else -1
        other = [(x + side * kerf, y) for x, y in line]
        edge_kept, edge_waste = (left, left + width) if self.laid.kept_left else (left + width, left)
        kept = [(edge_kept, table), *line, (edge_kept, table + thick)]
        waste = [other[0], (edge_waste, table), (edge_waste, table + thick), other[1]]
        fill(kept, palette.colour("wood"))
        hatched(waste, hatch(waste, 2.2 * mm), palette, mm)
        fill([*line, *reversed(other)], palette.colour("kerf"))
        for polygon in (kept, waste):
            stroke([polygon[0], polygon[1]], palette.colour("bark"), 0.4 * mm)
            stroke([polygon[2], polygon[3]], palette.colour("bark"), 0.4 * mm)
        stroke([(left, table - 0.5 * mm), (left + width, table - 0.5 * mm)], palette.colour("edge"), 1.0 * mm)
        self._blade(line, middle, table, thick)
        words = Line(say("front view"), NOTE, mm)
        self.sheet.say(words, middle - words.width / 2, low + 0.8 * mm, "ink")

    def _blade(self, line: list[Point], middle: float, table: float, thick: float) -> None:
        mm, palette = self.mm, self.sheet.palette
        accent = palette.colour("accent")
        top = beyond(line[0], line[1], 8 * mm)
        stroke([beyond(line[1], line[0], 2 * mm), top], accent, 0.9 * mm)
        if self.view.cut.tilt == "none":
            return
        foot = line[0]
        upright = (foot[0], foot[1] + thick + 6 * mm)
        dashes([foot, upright], palette.colour("soft"), 0.4 * mm, 1.6 * mm)
        radius = thick + 3.5 * mm
        end = degrees(atan2(top[1] - foot[1], top[0] - foot[0]))
        curve = arc(foot, radius, 90.0, end - 90.0)
        stroke(curve, accent, 0.6 * mm)
        if radius * abs(radians(end - 90.0)) > 3 * mm:
            arrow(curve[-2], curve[-1], accent, 0.6 * mm, 2.2 * mm)
