"""The stock in a drawing of the saw, from above: the kept wood, the kerf on the waste side of the line, the waste."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sin

from kivy.graphics import Color, SmoothLine

from tracker.cards.piece.drawing import Point
from tracker.cards.piece.interrupted_view import crossings
from tracker.plan.piece_on_saw import OnSaw
from tracker.screens.drawing.canvas import dashes, fill, flat, hatched, stroke
from tracker.screens.drawing.piece_layout import Layout, Section, grain_lines, hatch
from tracker.screens.drawing.saw_layout import part_of, turned
from tracker.screens.toolkit.palette import Palette

BREAK = 3.4
"""Width of a break (mm on the screen)."""
LEAST_KERF = 1.2
"""The least drawn width of a kerf, to show on which side of the line it is (mm on the screen)."""


class Stock:
    """Draws on the open canvas."""

    def __init__(self, laid: OnSaw, layout: Layout, palette: Palette, mm: float, grain: str) -> None:
        self.laid, self.layout, self.palette, self.mm = laid, layout, palette, mm
        self.along = (grain == "along") != turned(laid)
        self.bottom = layout.bottom

    def put(self) -> None:
        for at, section in enumerate(self.layout.sections):
            kept = self._placed(self.laid.kept.upper, section)
            under = self._placed(self.laid.kept.lower, section)
            waste = self._placed(self.laid.waste.upper, section)
            waste_under = self._placed(self.laid.waste.lower, section)
            hatched(waste_under, (), self.palette, self.mm)
            hatched(waste, hatch(waste, 2.4 * self.mm), self.palette, self.mm)
            fill(under, self.palette.colour("bevel"))
            fill(kept, self.palette.colour("wood"))
            self._grain(kept)
            self._outline(self.laid.waste.upper, section, "hatch", 0.4)
            self._outline(self.laid.kept.upper, section, "bark", 0.56)
            if at:
                self._break(section)
        section = self._cut_section()
        fill(self._kerf(section), self.palette.colour("kerf"))
        line = [self.layout.place(point, section) for point in self.laid.line]
        stroke(line, self.palette.colour("accent"), 0.9 * self.mm)
        below = [self.layout.place(point, section) for point in self.laid.under]
        if max(abs(one[0] - two[0]) for one, two in zip(line, below, strict=True)) > 0.6 * self.mm:
            dashes(below, self.palette.colour("wood_ink"), 0.4 * self.mm, 1.6 * self.mm)

    def middle(self) -> Point:
        """Where words go on the kept wood: the middle of its widest stretch."""
        first, last, level = self._across()
        return (first + last) / 2, level

    def room(self) -> float:
        """The width of the wood there."""
        first, last, _ = self._across()
        return last - first

    def _across(self) -> tuple[float, float, float]:
        """The range of the widest stretch, at half its height."""
        shown = self._widest()
        ys = [y for _, y in shown]
        level = (min(ys) + max(ys)) / 2
        return *max(crossings(shown, level), key=lambda pair: pair[1] - pair[0]), level

    def _widest(self) -> list[Point]:
        stretches = [self._placed(self.laid.kept.upper, section) for section in self.layout.sections]
        return max(stretches, key=lambda points: max(x for x, _ in points) - min(x for x, _ in points))

    def _cut_section(self) -> Section:
        return self.layout.sections[-1 if self.laid.kept_left else 0]

    def _placed(self, polygon: Sequence[Point], section: Section) -> list[Point]:
        return [self.layout.place(point, section) for point in part_of(polygon, section, self.bottom)]

    def _kerf(self, section: Section) -> list[Point]:
        """As wide as the blade, but at least wide enough to be seen, on the waste side."""
        one, two, far_two, far_one = (self.layout.place(point, section) for point in self.laid.kerf)
        drawn = max(abs(far_one[0] - one[0]), abs(far_one[1] - one[1]), 1e-6)
        grow = max(1.0, LEAST_KERF * self.mm / drawn)
        wide = [
            (near[0] + (far[0] - near[0]) * grow, near[1] + (far[1] - near[1]) * grow)
            for near, far in ((two, far_two), (one, far_one))
        ]
        return [one, two, *wide]

    def _grain(self, polygon: list[Point]) -> None:
        Color(*self.palette.colour("grain"))
        lines = grain_lines(polygon, self.along, 2.6 * self.mm, 0.32 * self.mm, 1.0 * self.mm)
        for at, line in enumerate(lines):
            SmoothLine(points=flat(line), width=(0.11 + 0.07 * (at % 3)) * self.mm)

    def _outline(self, polygon: Sequence[Point], section: Section, colour: str, width: float) -> None:
        """The outline of a polygon of the wood, except where it is broken and where it is cut."""
        torn = [each.end for each in self.layout.sections[:-1]] + [each.start for each in self.layout.sections[1:]]
        shown = part_of(polygon, section, self.bottom)
        for one, two in zip(shown, (*shown[1:], *shown[:1]), strict=True):
            if any(abs(one[0] - x) < 1e-6 and abs(two[0] - x) < 1e-6 for x in torn):
                continue
            if abs(one[1] - self.bottom) < 1e-6 and abs(two[1] - self.bottom) < 1e-6 and turned(self.laid):
                continue
            line = [self.layout.place(one, section), self.layout.place(two, section)]
            stroke(line, self.palette.colour(colour), width * self.mm)

    def _break(self, section: Section) -> None:
        """Two wavering lines where a plain stretch is left out."""
        over = 1.4 * self.mm
        low = self.layout.place((section.start, self.bottom), section)[1] - over
        high = self.layout.place((section.start, 0.0), section)[1]
        shares = [step / 24 for step in range(25)]
        for x in (section.left - BREAK * self.mm, section.left):
            line = [(x + 0.7 * self.mm * sin(2 * pi * share), low + (high - low) * share) for share in shares]
            stroke(line, self.palette.colour("bark"), 0.34 * self.mm)
