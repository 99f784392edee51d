"""The current board, seen from above and to scale along its length: its pieces, the waste, the offcut.

Wood is drawn as wood, hatched where it is cut away, and as an outline where it is gone. Above it lies a tape, hooked
where the next cut is measured from. That cut is a dashed line in the accent colour with the kerf beyond it, and below
it is the stretch that the tape measures. A long thin board is drawn wider than it is, and the drawing says so.
"""

from __future__ import annotations

from kivy.graphics import (
    Color,
    ScissorPop,
    ScissorPush,
    SmoothLine,
    SmoothRoundedRectangle,
    SmoothTriangle,
)
from kivy.properties import ObjectProperty

from tracker.cards.boards.bar import BarSpan, BoardBar
from tracker.screens.drawing.canvas import beyond, dashes, fill, stroke
from tracker.screens.drawing.drawing_widget import DrawingWidget
from tracker.screens.toolkit.marks import draw_shape
from tracker.screens.toolkit.theme import SCALE
from tracker.screens.toolkit.typeset import Line
from tracker.words import say

LEAST_BREADTH, MOST_BREADTH = 19.0, 28.0
"""The drawn width of a board (mm on the screen)."""
END = 7.0
"""Room beside the board for the letters of its ends (mm)."""
TAPE, LEAST_KERF = 9.5, 1.2
"""The room for the tape above the board, and the least drawn width of a kerf (mm)."""
FOOT, CAPTION, LOW_TAPE, NARROWEST = 10.7, 7.0, 7.4, 8.5
"""The room below the board for the measured stretch with its words, and for the line that tells the drawn width; the
room for the tape where that line is missing; and the least width at which the names of pieces are readable (mm)."""
POINTER = 4.5
"""The distance from the cut within which the tape has no number (mm)."""
FINE, NOTE = SCALE["fine"], SCALE["note"]


class BoardDrawing(DrawingWidget):
    """bar        a tracker.cards.boards.bar.BoardBar, or None
    truncated  True when the board had no room between the tape and its words
    """

    follows = ("bar",)

    bar = ObjectProperty(None, allownone=True)

    def put(self) -> None:
        drawn = _Bar(self, self.bar)
        self.truncated = drawn.breadth < NARROWEST * self.mm
        if not self.truncated:
            drawn.draw()


class _Bar:
    """One drawing, at one size, in one palette."""

    def __init__(self, widget: BoardDrawing, bar: BoardBar) -> None:
        self.widget, self.bar, self.mm, self.palette = widget, bar, widget.mm, widget.palette
        self.left = widget.x + END * self.mm
        self.scale = (widget.width - 2 * END * self.mm) / bar.length
        self.captioned = widget.height >= (TAPE + LEAST_BREADTH + FOOT + CAPTION) * self.mm
        foot = (FOOT + CAPTION * self.captioned) * self.mm
        room = widget.height - foot - (TAPE if self.captioned else LOW_TAPE) * self.mm
        self.breadth = min(room, MOST_BREADTH * self.mm)
        self.low = widget.y + foot + (room - self.breadth) / 2
        self.broader = self.breadth / max(1e-6, bar.width * self.scale)
        self.high = self.low + self.breadth

    def x(self, along: float) -> float:
        """The position on the screen of a place on the board, in mm from its end A."""
        return self.left + along * self.scale

    def draw(self) -> None:
        bar = self.bar
        for span in bar.spans:
            self._span(span)
        for span in bar.spans:
            self._words(span)
        self._letter("A", self.x(0) - 5.2 * self.mm)
        self._letter("B", self.x(bar.length) + 2.0 * self.mm)
        self._tape(bar.cut_from)
        if bar.cut is not None:
            self._cut(bar.cut, bar.cut_from, bar.cut_words)
        if self.broader > 1.1 and self.captioned:
            line = Line(say("length to scale, drawn {broader:.2g} times as broad", broader=self.broader), FINE, self.mm)
            left = max(self.widget.x, self.widget.right - line.width)
            self.widget.say(line, left, self.low - (NOTE + FINE + 8.6) * self.mm, "soft")

    def _tape(self, start: float) -> None:
        """Marks from where the tape is hooked: a long one with its number every foot or half metre, with as many
        numbers as fit, and shorter ones in between."""
        long, short, per = (304.8, 76.2, 1.0) if self.bar.units == "in" else (500.0, 100.0, 0.5)
        y, ink = self.high + (2.6 if self.captioned else 1.0) * self.mm, self.palette.colour("soft")
        every = next((each for each in (1, 2, 4, 8) if each * long * self.scale > 12.0 * self.mm), 16)
        stroke([(self.x(start), y), (self.x(self.bar.length), y)], ink, 0.3 * self.mm)
        for at in range(int((self.bar.length - start) / short) + 1):
            x, whole = self.x(start + at * short), at % round(long / short) == 0
            stroke([(x, y), (x, y + (2.4 if whole else 1.2) * self.mm)], ink, 0.3 * self.mm)
            number = at // round(long / short)
            if whole and number and number % every == 0 and not self._is_at_the_cut(x):
                unit = "′" if self.bar.units == "in" else " m"
                line = Line(f"{number * per:g}{unit}", FINE, self.mm)
                left = min(x - line.width / 2, self.widget.right - line.width)
                self.widget.say(line, left, y + (3.2 if self.captioned else 2.8) * self.mm, "soft")

    def _is_at_the_cut(self, x: float) -> bool:
        """Whether the pointer to the cut would cover a number of the tape here."""
        return self.bar.cut is not None and abs(x - self.x(self.bar.cut)) < POINTER * self.mm

    def _letter(self, letter: str, x: float) -> None:
        line = Line(letter, NOTE, self.mm, bold=True)
        self.widget.say(line, x, (self.low + self.high) / 2 - line.height / 2, "soft")

    def _box(self, span: BarSpan) -> list[tuple[float, float]]:
        return [(self.x(along), self.low + across * self.breadth) for along, across in span.outline]

    def _span(self, span: BarSpan) -> None:
        box, colour = self._box(span), self.palette.colour
        if span.state == "gone":
            for one, two in zip(box, box[1:] + box[:1], strict=True):
                dashes([one, two], colour("edge"), 0.3 * self.mm, 1.2 * self.mm)
            return
        if span.kind == "waste":
            fill(box, colour("waste"))
            self._hatch(box)
            stroke(box, colour("edge"), 0.3 * self.mm, close=True)
            return
        fill(box, colour("wood" if span.kind == "piece" else "waste"))
        if span.kind == "piece":
            self._grain(box)
        stroke(box, colour("accent" if span.state == "next" else "bark"), self._rim(span) * self.mm, close=True)

    def _rim(self, span: BarSpan) -> float:
        return 1.0 if span.state == "next" else 0.5 if span.kind == "piece" else 0.3

    def _hatch(self, box: list[tuple[float, float]]) -> None:
        """Slanting lines, clipped to the box."""
        (left, low), (right, _), (_, high), _ = box
        ScissorPush(
            x=round(self.widget.to_window(left, low)[0]),
            y=round(self.widget.to_window(left, low)[1]),
            width=max(1, round(right - left)),
            height=max(1, round(high - low)),
        )
        Color(*self.palette.colour("edge"))
        at = left - (high - low)
        while at < right:
            SmoothLine(points=[at, low, at + high - low, high], width=0.16 * self.mm)
            at += 2.0 * self.mm
        ScissorPop()

    def _grain(self, box: list[tuple[float, float]]) -> None:
        left, right = max(box[0][0], box[3][0]), min(box[1][0], box[2][0])
        low, high = box[0][1], box[2][1]
        Color(*self.palette.colour("grain"))
        lines = max(2, round((high - low) / (3.2 * self.mm)))
        for at in range(1, lines):
            y = low + (high - low) * at / lines + (at % 2 - 0.5) * 0.6 * self.mm
            inset = (0.8 + at % 3) * self.mm
            if right - left > 2 * inset + self.mm:
                SmoothLine(points=[left + inset, y, right - inset, y], width=0.14 * self.mm)

    def _words(self, span: BarSpan) -> None:
        """As many of the words as fit, or the number."""
        box = self._box(span)
        one, two = max(box[0][0], box[3][0]), min(box[1][0], box[2][0])
        room = two - one - 1.6 * self.mm
        middle, breadth = (box[0][1] + box[2][1]) / 2, box[2][1] - box[0][1]
        if span.state == "gone" and span.kind != "offcut":
            side = min(5.0 * self.mm, room, breadth - self.mm)
            if side > 2.4 * self.mm:
                tone = "caution" if span.kind == "spoiled" else "done"
                draw_shape(tone, (one + two - side) / 2, middle - side / 2, side, self.palette)
            return
        lines = self._fitting(span, room, breadth)
        ink = "soft" if span.state == "gone" else "ink"
        gap = 1.5 * self.mm
        high = sum(line.height for line in lines) + gap * (len(lines) - 1)
        y = middle + high / 2
        if lines and span.state != "gone":
            self._plate((one + two) / 2, middle, max(line.width for line in lines), high)
        for line in lines:
            y -= line.height
            self.widget.say(line, (one + two - line.width) / 2, y, ink)
            y -= gap

    def _plate(self, x: float, y: float, width: float, height: float) -> None:
        """Words on wood get a plate behind them: no wood is light enough, or dark enough, in both themes."""
        rim = 0.8 * self.mm
        Color(*self.palette.colour("card"))
        SmoothRoundedRectangle(
            pos=(x - width / 2 - rim, y - height / 2 - rim),
            size=(width + 2 * rim, height + 2 * rim),
            radius=[1.2 * self.mm],
        )

    def _fitting(self, span: BarSpan, room: float, breadth: float) -> list[Line]:
        """The lines that fit in `room` and `breadth`; if not even the name fits, the number."""
        fine = self._words_that_fit(span, room, breadth, FINE)
        note = self._words_that_fit(span, room, breadth - 2 * self.mm, NOTE)  # wood is still seen around them
        if fine or not span.number:
            said = [" ".join(line.text for line in lines) for lines in (fine, note)]
            return note if said[0] == said[1] else fine
        number = (Line(span.number, size, self.mm, bold=True) for size in (NOTE, FINE))
        return [line for line in number if line.width <= room and line.height + self.mm <= breadth][:1]

    def _words_that_fit(self, span: BarSpan, room: float, breadth: float, size: float) -> list[Line]:
        """As many of the words of a span, the first ones, as fit in type of this size."""
        lines: list[Line] = []
        for at, words in enumerate(span.words):
            for choice in _choices(words):
                more = [Line(word, size, self.mm, bold=at == 0 and span.kind == "piece") for word in choice]
                taken = sum(line.height + 1.5 * self.mm for line in (*lines, *more))
                if all(line.width <= room for line in more) and taken <= breadth:
                    lines += more
                    break
            else:
                break
        return lines

    def _slant(self, x: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """The two ends of the cut: square across at `x`, or the mitre of the piece that comes off."""
        falling = next((span for span in self.bar.spans if span.state == "next"), None)
        if falling is None or falling.right == (0.0, 0.0):
            return (x, self.low - 2.4 * self.mm), (x, self.high)
        near, far = (self.x(falling.end - back) for back in falling.right)
        return (near, self.low), (far, self.high)

    def _cut(self, at: float, start: float, words: str) -> None:
        """The line to cut on, and below the board the stretch that the tape measures."""
        accent = self.palette.colour("accent")
        x, over = self.x(at), 2.4 * self.mm
        near, far = self._slant(x)
        kerf = max(LEAST_KERF * self.mm, self.bar.kerf * self.scale)
        fill([near, (near[0] + kerf, near[1]), (far[0] + kerf, far[1]), far], self.palette.colour("kerf"))
        stroke([(near[0] + kerf, near[1]), (far[0] + kerf, far[1])], self.palette.colour("bark"), 0.3 * self.mm)
        dashes([near, beyond(near, far, over)], accent, 0.9 * self.mm, 2.2 * self.mm)
        Color(*accent)
        top = self.high + over
        SmoothTriangle(
            points=[
                x,
                top - 0.6 * self.mm,
                x - 1.5 * self.mm,
                top + 1.8 * self.mm,
                x + 1.5 * self.mm,
                top + 1.8 * self.mm,
            ]
        )
        y, origin = self.low - 3.4 * self.mm, self.x(start)
        stroke([(origin, y), (x, y)], accent, 0.45 * self.mm)
        stroke([(origin, y - 1.4 * self.mm), (origin, y + 1.4 * self.mm)], accent, 0.45 * self.mm)
        stroke([(x, y - 1.4 * self.mm), (x, y + 1.4 * self.mm)], accent, 0.45 * self.mm)
        line = Line(words, NOTE, self.mm)
        left = min(max(origin, (origin + x - line.width) / 2), self.widget.right - line.width)
        self.widget.say(line, max(self.widget.x, left), y - 1.8 * self.mm - line.height, "ink")


def _choices(words: str) -> list[list[str]]:
    """The words on one line, then on two: first where both lines are about as long."""
    parts = words.split(" ")
    pairs = [[" ".join(parts[:at]), " ".join(parts[at:])] for at in range(1, len(parts))]
    return [[words], *sorted(pairs, key=lambda pair: max(map(len, pair)))]
