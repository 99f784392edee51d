"""A cut as it lies on the saw, seen from where the person stands: fence, blade, stock, stop, and the blade from the
front.

Everything is drawn from the card's SawView, whose positions follow from the values of the pass: the drawing shows what
those values would cut. The kept wood is drawn as wood, the waste is hatched, and the kerf is on the waste side of the
line.
"""

from __future__ import annotations

from collections.abc import Sequence

from kivy.graphics import Color, Rectangle, SmoothRoundedRectangle
from kivy.properties import ObjectProperty

from tracker.cards.piece.drawing import Point
from tracker.cards.piece.saw_view import SawView
from tracker.screens.drawing.canvas import arrow, stroke
from tracker.screens.drawing.drawing_widget import DrawingWidget
from tracker.screens.drawing.piece_layout import Section
from tracker.screens.drawing.saw_blade import EndView, swing_scale
from tracker.screens.drawing.saw_layout import Room, lay_out_saw, turned
from tracker.screens.drawing.saw_rip import RipPlan
from tracker.screens.drawing.saw_stock import BREAK, Stock
from tracker.screens.toolkit.theme import SCALE
from tracker.screens.toolkit.typeset import Line
from tracker.words import say
from tracker.words.sides import side

NOTE = SCALE["note"]
FENCE = NOTE + 2.6
"""Height of the fence, with its words in it (mm on the screen)."""
HANDLE = 7.0
"""How far the blade's line extends toward the person, with the scale's arc."""
FOOT = NOTE + 4.6
"""The measured line, and below it its words and the names of the ends."""
END_VIEW = 34.0
"""The width of the front view."""
BESIDE = 7.0
"""Room beside a short measure, whose arrows come from outside."""
STOP = 4.0
"""Width of a stop block."""


class SawDrawing(DrawingWidget):
    """view: a tracker.cards.piece.saw_view.SawView, or None."""

    least = (60.0, 24.0)

    view = ObjectProperty(None, allownone=True)

    def put(self) -> None:
        if self.view.laid is None:
            RipPlan(self, self.view).draw()
        else:
            _Crosscut(self, self.view).draw()

    def slip(self, lines: Sequence[str], middle: Point, *, bold: bool = False) -> None:
        """Words on a slip of paper."""
        mm = self.mm
        typeset = [Line(text, NOTE, mm, bold=bold) for text in lines]
        step = (NOTE + 2.4) * mm
        across = max(line.width for line in typeset) + 2.4 * mm
        high = typeset[0].height + step * (len(typeset) - 1) + 2.2 * mm
        x = min(max(middle[0] - across / 2, self.x), self.right - across)
        low = middle[1] - high / 2
        Color(*self.palette.colour("card"))
        SmoothRoundedRectangle(pos=(x, low), size=(across, high), radius=[1.2 * mm])
        for row, line in enumerate(typeset, start=1):
            baseline = low + 1.1 * mm + (len(typeset) - row) * step
            self.say(line, x + (across - line.width) / 2, baseline, "ink")

    def slip_width(self, text: str) -> float:
        """The width of such a slip."""
        return Line(text, NOTE, self.mm).width + 2.4 * self.mm

    def on_fence(self, words: str, left: float, right: float, low: float) -> None:
        """Words in the middle of a stretch of the fence; none where it is too short for them."""
        mm, line = self.mm, Line(words, NOTE, self.mm, bold=True)
        if line.width + 4 * mm > right - left:
            return
        x = (left + right - line.width) / 2
        # On a slip with room for letters that extend below the line.
        Color(*self.palette.colour("card"))
        SmoothRoundedRectangle(
            pos=(x - 1.4 * mm, low + 0.3 * mm), size=(line.width + 2.8 * mm, (FENCE - 0.6) * mm), radius=[mm]
        )
        self.say(line, x, low + 1.7 * mm, "ink")


class _Crosscut:
    """One drawing at one size; created for every change."""

    def __init__(self, widget: SawDrawing, view: SawView) -> None:
        assert view.laid is not None
        self.widget, self.view, self.laid = widget, view, view.laid
        self.mm, self.palette = widget.mm, widget.palette
        beside = min(END_VIEW * self.mm, widget.width * 0.3)
        self.left, self.right = widget.x, widget.right - beside
        self.end_view = (self.right + 2 * self.mm, widget.y, beside - 2 * self.mm, widget.height)
        stop = STOP + 1.0 if view.cut.stop is not None else 1.0
        room = Room(
            self.left + stop * self.mm,
            widget.y + (FOOT + HANDLE) * self.mm,
            self.right - self.left - 2 * stop * self.mm,
            widget.height - (FOOT + HANDLE + FENCE) * self.mm,
        )
        self.fence_y = room.low + room.height
        self.layout = lay_out_saw(self.laid, room, BREAK * self.mm, BESIDE * self.mm if view.cut.first else 0.0)

    def draw(self) -> None:
        widget, layout = self.widget, self.layout
        line = [layout.place(point) for point in self.laid.line]
        scale = swing_scale(line, self.fence_y, widget.y + FOOT * self.mm, 3 * self.mm)
        one, *_, beyond = (layout.place(point) for point in self.laid.kerf)
        kerf = abs(beyond[0] - one[0]) + 2.0 * self.mm
        self._fence(scale.pivot[0] - kerf, scale.pivot[0] + kerf)
        stock = Stock(self.laid, layout, self.palette, self.mm, self.view.grain)
        stock.put()
        if self.view.cut.stop is not None:
            self._stop()
        scale.put(self.view.cut, self.palette, self.mm)
        self._face(stock)
        self._foot()
        EndView(widget, self.view, self.laid, self.end_view).draw()

    def _fence(self, gap: float, on: float) -> None:
        """Along the top, open where the blade passes through; on the piece's side it says which edge lies against
        it."""
        stretches = [(self.left, gap), (on, self.right)]
        Color(*self.palette.colour("edge"))
        for start, end in stretches:
            Rectangle(pos=(start, self.fence_y), size=(max(0.0, end - start), FENCE * self.mm))
        words = [side(self.view.cut.fence), say("fence")]
        for word, (start, end) in zip(words if self.laid.kept_left else reversed(words), stretches, strict=True):
            self.widget.on_fence(word, start, end, self.fence_y)

    def _stop(self) -> None:
        """The block at the fence, wide enough to meet the tip of the finished end."""
        x, tip = self.layout.place(self.laid.far_point, self._section(here=False))
        wide, low = STOP * self.mm, min(self.fence_y - 11 * self.mm, tip - 2 * self.mm)
        left = x - wide if self.laid.kept_left else x
        Color(*self.palette.colour("accent"))
        SmoothRoundedRectangle(pos=(left, low), size=(wide, self.fence_y - low), radius=[0.6 * self.mm])

    def _face(self, stock: Stock) -> None:
        """Which face is up: on the kept wood, or beside it where that is short and there is room."""
        widget, mm = self.widget, self.mm
        wide = widget.slip_width(self.view.face)
        if wide <= stock.room() - 3 * mm:
            widget.slip([self.view.face], stock.middle())
            return
        end, stop = self._across(self.laid.far_point, here=False), (STOP + 2) * mm
        beside = end - self.left - stop if self.laid.kept_left else self.right - end - stop
        if beside > wide:
            x = end - stop - wide / 2 if self.laid.kept_left else end + stop + wide / 2
            widget.slip([self.view.face], (x, stock.middle()[1]))
            return
        face, *_ = self.view.cut.up.split()
        widget.slip([face, self.view.face.removeprefix(face).strip()], stock.middle())

    def _foot(self) -> None:
        """In one row: the names of both ends, and between them what the line above measures to."""
        cut, mm = self.view.cut, self.mm
        here = self._across(self.laid.long_point, here=True)
        there = self._across(self.laid.far_point, here=False)
        measured = self._measured(here, there)
        words = (
            (say("end {end}", end=cut.end or "B"), (say("end B") if cut.end == "A" else say("end A")))
            if self.view.named
            else ("", "")
        )
        names = sorted(zip((here, there), words, strict=True))
        left, right = (Line(name, NOTE, mm, bold=True) for _, name in names)
        middle = Line("" if cut.first else self.view.measured, NOTE, mm)
        gap = 3.0 * mm
        low = min(names[0][0], self.left + mm)
        high = max(names[1][0], self.left + mm)
        if turned(self.laid):
            self.widget.say(
                Line(say("end {end}", end=cut.end), NOTE, mm, bold=True), self.left, self.widget.y + 0.9 * mm, "ink"
            )
            return
        spare = (high - low) - left.width - right.width - (middle.width + 2 * gap if middle.text else gap)
        x = max(self.left, (low if spare >= 0 else low + spare / 2))
        x = min(x, self.right - left.width - right.width - (middle.width + 2 * gap if middle.text else gap))
        end = max(high - right.width, x + left.width + (middle.width + 2 * gap if middle.text else gap))
        baseline = self.widget.y + 0.9 * mm
        self.widget.say(left, x, baseline, "ink")
        self.widget.say(right, end, baseline, "ink")
        self.widget.say(middle, (x + left.width + end - middle.width) / 2, baseline, "ink")
        if measured:
            self._line(*sorted(measured))

    def _measured(self, here: float, there: float) -> tuple[float, float] | tuple[()]:
        """From the long point to the stop, or to the end of the blank from which the mark is measured."""
        cut = self.view.cut
        if turned(self.laid) or (cut.first and float(cut.set) < 0.1):
            return ()
        if not cut.first:
            return here, there
        side = max if self.laid.kept_left else min
        return here, self._across((side(x for x, _ in self.laid.waste.upper), 0.0), here=True)

    def _line(self, left: float, right: float) -> None:
        mm, accent = self.mm, self.palette.colour("accent")
        level = self.widget.y + (NOTE + 2.8) * mm
        for x in (left, right):
            stroke([(x, level - 1.3 * mm), (x, level + 1.8 * mm)], accent, 0.5 * mm)
        if right - left > 6 * mm:
            arrow(((left + right) / 2, level), (left, level), accent, 0.5 * mm, 2.4 * mm)
            arrow(((left + right) / 2, level), (right, level), accent, 0.5 * mm, 2.4 * mm)
        else:  # too short for arrows inside: from outside, as on any drawing
            for x, way in ((left, -1), (right, 1)):
                from_ = x + way * 6 * mm
                if self.widget.x <= from_ <= self.widget.right:  # at the edge of the screen half an arrow misleads
                    arrow((from_, level), (x, level), accent, 0.5 * mm, 2.4 * mm)

    def _across(self, point: Point, *, here: bool) -> float:
        """The position along the fence of a point of the cut end, or of the other end."""
        return self.layout.place(point, self._section(here=here))[0]

    def _section(self, *, here: bool) -> Section:
        """The stretch of the stock that is cut, or the one at the stop."""
        return self.layout.sections[-1 if here == self.laid.kept_left else 0]
