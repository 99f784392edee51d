"""A drilled face drawn to scale: the holes, and each distance to mark out at the place where it is measured."""

from __future__ import annotations

from tracker.cards.piece.drilled_layout import STEP, DrilledLayout
from tracker.cards.piece.feature_layout import ROW
from tracker.screens.drawing.canvas import stroke
from tracker.screens.drawing.features import NUMBER, FeatureSheet
from tracker.screens.toolkit.theme import SCALE
from tracker.screens.toolkit.typeset import Line

NOTE = SCALE["note"]
AIR = 4.0
"""The additional gap between the piece and the words above it if there is room (mm)."""


class DrilledSheet(FeatureSheet):
    """One drawing of a drilled face at one size, in one palette."""

    layout = DrilledLayout
    at: DrilledLayout

    def _columns(self) -> None:
        """Draw the distances across the face right of the piece: each as a line of its own, with the number at its
        end."""
        mm, ink = self.mm, self.palette.colour("ink")
        lines = [Line(each.text, NUMBER, mm, bold=True) for each in self.at.upright]
        x = self.at.place((self.at.end, self.at.low))[0] + STEP * mm
        for each in self.at.upright:
            (x0, y0), (x1, y1) = self.at.place(each.start), self.at.place(each.end)
            for foot, y in ((x0, y0), (x1, y1)):
                stroke([(foot, y), (x, y)], self.palette.colour("soft"), 0.2 * mm)
            stroke([(x, y0), (x, y1)], ink, 0.5 * mm)
            x += STEP * mm
        high = max((line.height for line in lines), default=0.0)
        for line, baseline in zip(
            lines, self.at.baselines(high), strict=True
        ):  # drawn over the extension lines of the others
            self._say(line, x - 1.4 * mm, baseline)

    def _words(self) -> None:
        """Write the names of the ends above the corners of the piece, and below it the face that is up and the edge at
        the front."""
        mm, box = self.mm, self.widget
        left, right = Line(self.view.left, NOTE, mm), Line(self.view.right, NOTE, mm)
        first, last = (self.at.place((x, self.at.low))[0] for x in (self.at.start, self.at.end))
        above = self.at.top + (len(self.at.rows) * ROW + 3.0) * mm
        above = min(above + min(AIR * mm, max(0.0, box.top - NOTE * mm - above) / 2), box.top - NOTE * mm)
        first = max(box.x, min(first, (first + last) / 2 - left.width - mm))
        last = min(box.right, max(last, first + left.width + right.width + 2 * mm))
        self.widget.say(left, first, above, "soft")
        self.widget.say(right, last - right.width, above, "soft")
        foot = Line(self.at.words(), NOTE, mm)
        if foot.width > box.width:
            foot = Line(self.view.title, NOTE, mm)
        x = min(max((first + last - foot.width) / 2, box.x), max(box.x, box.right - foot.width))
        self.widget.say(foot, x, max(box.y + 0.9 * mm, self.at.y0 - (NOTE + 2.6) * mm), "ink")
