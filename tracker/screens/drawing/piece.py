"""The piece as it lies on the saw, seen from above: the main drawing of the card.

Finished wood is drawn as wood, paler where there is still waste; the grain in its direction; a bevelled end's slope as
a darker strip; a cut still to be made as a dashed line in the accent colour, a finished cut as a firm edge. Each end's
angles are beside that end; at a mitre the drawing shows which way to swing from square, and where the long point is. A
long thin piece is broken, never squeezed, so that every angle on the screen is true.
"""

from __future__ import annotations

from collections.abc import Sequence

from kivy.graphics import Color, SmoothRoundedRectangle, SmoothTriangle
from kivy.properties import ListProperty, ObjectProperty

from tracker.cards.piece.drawing import Drawing, EndNote, Point
from tracker.cards.piece.interrupted_view import clip
from tracker.screens.drawing.canvas import fill, stroke
from tracker.screens.drawing.drawing_widget import DrawingWidget
from tracker.screens.drawing.piece_layout import Layout, inside, lay_out
from tracker.screens.drawing.piece_wood import BREAK, Wood
from tracker.screens.drawing.piece_words import FINE, NOTE, TILT, AngleSaid, Head, angles_of
from tracker.screens.toolkit.marks import draw_shape
from tracker.screens.toolkit.typeset import Line
from tracker.words import say

LEAST_BREADTH = 24.0
"""The least drawn width of a long thin piece, where there is room (mm on the screen)."""
LEAST_HEIGHT = 24.0
"""The height that the piece needs below the words above it: itself, its long points and its foot (mm on the screen)."""
Rect = tuple[float, float, float, float]
"""Left, bottom, width and height."""


class PieceDrawing(DrawingWidget):
    """drawing: a tracker.cards.drawing.Drawing, or None.

    said       what is at end A and end B in place of the drawing's own angles, where the saw's scale reads
               something else than the wood: two sequences of AngleSaid(angle, scale, way), e.g.
               [[("15°", "mitre", "left")], ...]
    truncated  True when the words at an end had no room
    """

    follows = ("drawing", "said")
    least = (40.0, 14.0)

    drawing = ObjectProperty(None, allownone=True)
    said = ListProperty([])

    def put(self) -> None:
        _Sheet(self).draw()


class _Sheet:
    """One drawing, at one size, in one palette; created for every change."""

    def __init__(self, widget: PieceDrawing) -> None:
        self.widget, self.mm, self.palette = widget, widget.mm, widget.palette
        self.drawing: Drawing = widget.drawing
        said = widget.said if len(widget.said) == 2 else [angles_of(note) for note in self.drawing.ends]
        self.said: list[Sequence[AngleSaid]] = list(said)
        self.blocks: list[Rect] = []
        """The boxes of the words at the ends."""
        self.small = NOTE
        self.beside = False

    def draw(self) -> None:
        """Draw with the words above the piece or beside it, whichever shows more of it; in the smallest type where they
        would be cut off."""
        box = self.widget
        for self.small in (NOTE, FINE):
            heads = self._arrange()
            width, height = (box.width * 0.38, box.height) if self.beside else (box.width / 2, box.height / 2)
            box.truncated = any(head.width > width or head.height > height + self.mm for head in heads)
            if not box.truncated:
                break
        Wood(self.drawing, self.layout, self.palette, self.mm).put()
        for head, note in zip(heads, self.drawing.ends, strict=True):
            self._put_head(head, note)
        for note in self.drawing.ends:
            self._long_point(note)
        self._foot(on_wood=self._face())

    def _arrange(self) -> list[Head]:
        box = self.widget
        above, beside = self._arranged(beside=False), self._arranged(beside=True)
        room = box.height - max(head.height for head in above[0]) > LEAST_HEIGHT * self.mm
        self.beside = not room or beside[1].worth > above[1].worth
        heads, self.layout = beside if self.beside else above
        return heads

    def _arranged(self, *, beside: bool) -> tuple[list[Head], Layout]:
        """The words at both ends, and the piece in the room that they leave."""
        box, mm = self.widget, self.mm
        room = (box.width * 0.49, box.height)
        heads = [
            Head(note, angles, mm, beside=beside, room=room, small=self.small)
            for note, angles in zip(self.drawing.ends, self.said, strict=True)
        ]
        foot = (NOTE + 3.6) * mm
        top = (NOTE + 2.6) * mm if any(self._far(note) for note in self.drawing.ends) else 2.0 * mm
        left = right = 2 * mm
        if beside:
            left, right = (head.width + 4 * mm for head in heads)
        else:
            top += max(head.height for head in heads)
        width, height = max(10 * mm, box.width - left - right), max(6 * mm, box.height - foot - top)
        return heads, lay_out(self.drawing, box.x + left, box.y + foot, width, height, LEAST_BREADTH * mm, BREAK * mm)

    # The words at the ends

    def _put_head(self, head: Head, note: EndNote) -> None:
        box = self.widget
        top = min(box.top, box.center_y + head.height / 2 + self.mm) if self.beside else box.top
        outer = box.right if head.right else box.x
        self.blocks.append((outer - head.width if head.right else outer, top - head.height, head.width, head.height))
        mark = outer - head.mark_x - head.mark if head.right else outer + head.mark_x
        if head.mark:
            tone = "done" if note.trimmed else "ready"
            draw_shape(tone, mark, top - head.mark_y - head.mark, head.mark, self.palette)
        for placed in head.lines:
            self.widget.say(placed.line, head.left_of(placed, outer), top - placed.y, "soft" if placed.soft else "ink")
        for x, y in head.tilts:
            self._tilt(outer - x - TILT * self.mm if head.right else outer + x, top - y, note)

    def _tilt(self, x: float, y: float, note: EndNote) -> None:
        """The end of the piece seen from the side, the upper face on top: it shows which face is longer there."""
        wide, high, lean = TILT * self.mm, 3.4 * self.mm, 1.5 * self.mm
        inner, outer = (x, x + wide) if note.end == "B" else (x + wide, x)
        short = outer - lean if note.end == "B" else outer + lean
        low, up = (short, outer) if note.upper_longer else (outer, short)
        fill([(inner, y), (low, y), (up, y + high), (inner, y + high)], self.palette.colour("wood"))
        stroke([(low, y), (up, y + high)], self.palette.colour("accent"), 0.6 * self.mm)

    # The words on the piece and below it

    def _far(self, note: EndNote) -> bool:
        """Whether the end's long point is at the far edge."""
        if note.long_point is None:
            return False
        ys = [y for _, y in self.drawing.outline]
        return note.long_point[1] > (min(ys) + max(ys)) / 2

    def _long_point(self, note: EndNote) -> None:
        """A wedge that points at the long point, and its words where they fit."""
        if note.long_point is None:
            return
        x, y = self.layout.place(note.long_point, self.layout.sections[0 if note.end == "A" else -1])
        up = 1 if self._far(note) else -1
        size, foot = 1.5 * self.mm, y + up * 0.9 * self.mm
        Color(*self.palette.colour("accent"))
        SmoothTriangle(points=[x, foot, x - size * 0.7, foot + up * size * 1.3, x + size * 0.7, foot + up * size * 1.3])
        line = Line(say("long point"), NOTE, self.mm)
        left = x + size * 1.3 if note.end == "A" else x - size * 1.3 - line.width
        baseline = y + 1.2 * self.mm if up > 0 else y - (NOTE + 2.2) * self.mm
        if not self._taken(left, baseline, line):
            self.widget.say(line, left, baseline, "ink")

    def _face(self) -> bool:
        """Which face is up, on a slip of paper on the piece, in one line or two, where the wood has room; returns
        whether it had."""
        face = self.drawing.top_face or self.drawing.outline
        sections = sorted(self.layout.sections, key=lambda each: each.start - each.end)
        for words in ((say("{face} up", face=self.drawing.face),), (self.drawing.face, say("up"))):
            lines = [Line(word, NOTE, self.mm) for word in words]
            for section in sections:
                points = [self.layout.place(point, section) for point in clip(face, section.start, section.end)]
                if points and self._write(lines, points):
                    return True
        return False

    def _write(self, lines: Sequence[Line], points: Sequence[Point]) -> bool:
        """A slip with lines in a polygon, nearest its middle, where it is completely inside and covers no cut."""
        spare, step = 1.3 * self.mm, (NOTE + 2.2) * self.mm
        wide, high = max(line.width for line in lines), lines[0].height + step * (len(lines) - 1)
        left, right = min(x for x, _ in points), max(x for x, _ in points)
        low = (min(y for _, y in points) + max(y for _, y in points)) / 2
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            middle = (left + (right - left) * share, low)
            room = (middle[0] - wide / 2 - spare, low - high / 2 - spare, wide + 2 * spare, high + 2 * spare)
            corners = [(room[0] + across, room[1] + along) for across in (0, room[2]) for along in (0, room[3])]
            if all(inside(points, corner) for corner in corners) and not self._worked(room):
                break
        else:
            return False
        Color(*self.palette.colour("card"))
        SmoothRoundedRectangle(pos=room[:2], size=room[2:], radius=[1.2 * self.mm])
        for row, line in enumerate(reversed(lines)):
            self.widget.say(line, middle[0] - line.width / 2, middle[1] - high / 2 + row * step, "ink")
        return True

    def _worked(self, room: Rect) -> bool:
        """Whether a hole, a half-lap or a taper is there."""
        reach = 2 * self.mm
        marked: list[Sequence[Point]] = [(hole.start, hole.tip) for hole in self.drawing.holes]
        marked += [cutaway.waste for cutaway in (*self.drawing.laps, *self.drawing.tapers)]
        for points in marked:
            xs, ys = zip(*(self.layout.place(point) for point in points), strict=True)
            box = (min(xs) - reach, min(ys) - reach, max(xs) - min(xs) + 2 * reach, max(ys) - min(ys) + 2 * reach)
            if _overlap(room, box):
                return True
        return False

    def _foot(self, *, on_wood: bool) -> None:
        """Which edge is nearest, which face is up if the wood doesn't show it, and that something was left out; the
        last of these is dropped first where there is no room."""
        box, layout = self.widget, self.layout
        first, last = layout.sections[0], layout.sections[-1]
        left, right = first.left, last.left + (last.end - last.start) * layout.scale
        low = layout.place((0.0, min(y for _, y in (*self.drawing.outline, *self.drawing.blank))), first)[1]
        least = box.y + 0.9 * self.mm
        baseline = max(least, low - (NOTE + 2.2) * self.mm)
        words = [self.drawing.near_edge]
        words += [] if on_wood else [say("{face} up", face=self.drawing.face)]
        words += [say("middle left out")] if layout.broken else []
        for count in range(len(words), 0, -1):
            line = Line("  ·  ".join(words[:count]), NOTE, self.mm)
            for x in ((left + right - line.width) / 2, right - line.width, left):
                x = min(max(x, box.x), box.right - line.width)
                if line.width <= box.width and not self._taken(x, baseline, line):
                    self.widget.say(line, x, baseline, "soft")
                    return

    def _taken(self, left: float, baseline: float, line: Line) -> bool:
        """Whether a line there would touch another, or the words at the ends."""
        here = (left - self.mm, baseline - self.mm, line.width + 2 * self.mm, line.height + 2 * self.mm)
        return any(_overlap(here, box) for box in (*self.blocks, *(box for _, box, _, _ in self.widget.drawn_text)))


def _overlap(one: Rect, two: Rect) -> bool:
    return (
        one[0] < two[0] + two[2] and two[0] < one[0] + one[2] and one[1] < two[1] + two[3] and two[1] < one[1] + one[3]
    )
