"""The layout of a drilled face on the screen: as large as the room allows, with the names of the ends above the piece
and the distances across it in one column of numbers."""

from __future__ import annotations

from tracker.cards.piece.feature_layout import BREAK, ROW, FeatureLayout
from tracker.cards.piece.interrupted_view import spread

STEP = 3.0
"""The spacing in millimetres of dimension lines whose numbers share one column."""
WHOLE = 1.2
"""The piece is drawn unbroken between an end and a hole at most this far from it, in breadths of the piece."""
AROUND = 0.12
"""The part of a broken piece that is drawn at each end and on both sides of a hole, in breadths of the piece."""
MOST_COLUMNS = 5


class DrilledLayout(FeatureLayout):
    """One drawing in a box: left, bottom, width and height in points."""

    def _lay_out(self) -> None:
        (x, y, wide, high), mm, fine = self.box, self.type.mm, self.type.fine
        self.upright = [each for each in self.view.measures if each.upright][:MOST_COLUMNS]
        numbers = [self.number_width(each.text) + 4 * mm for each in self.upright]
        left = x + mm
        right = x + wide - max(numbers, default=0.0) - (STEP * len(numbers) + 1) * mm
        foot, head = (fine + 2.8) * mm, (self.high_rows * ROW + 2 + fine + 1.2) * mm
        width, height = max(10 * mm, right - left), max(6 * mm, high - foot - head)
        breadth = max(self.high - self.low, 1e-6)
        whole, gap = min(width / max(self.end - self.start, 1e-6), height / breadth), BREAK * mm
        self.scale, self.spans = whole, [(self.start, self.end)]
        scale = height / breadth
        while scale > whole:
            spans = self._around_holes(gap / scale)
            used = sum(b - a for a, b in spans) * scale + (len(spans) - 1) * gap
            if used <= width:
                self.scale, self.spans = scale, spread(spans, (width - used) / scale, self.start, self.end)
                break
            scale *= 0.985
        used = sum(b - a for a, b in self.spans) * self.scale + (len(self.spans) - 1) * gap
        self.x0 = left + (width - used) / 2
        self.y0 = y + foot + (height - breadth * self.scale) / 2
        self.top = self.y0 + breadth * self.scale

    def _around_holes(self, merge: float) -> list[tuple[float, float]]:
        """The stretches to draw: both ends and the surroundings of each hole; of a hole near an end, all up to that
        end."""
        breadth = self.high - self.low
        reach, whole = AROUND * breadth, WHOLE * breadth
        spans = [(self.start, self.start + reach), (self.end - reach, self.end)]
        for cut in self.view.cuts:
            xs = [x for x, _ in cut.outline]
            if cut.centre is not None:
                xs = [cut.centre[0] - cut.radius, cut.centre[0] + cut.radius]
            first, last = max(self.start, min(xs) - reach), min(self.end, max(xs) + reach)
            spans.append((first if first - self.start > whole else self.start, last))
            spans.append((first, last if self.end - last > whole else self.end))
        joined: list[tuple[float, float]] = []
        for first, last in sorted(spans):
            if joined and first - joined[-1][1] < 2 * merge:
                joined[-1] = (joined[-1][0], max(joined[-1][1], last))
            else:
                joined.append((first, last))
        return joined

    def baselines(self, high: float) -> list[float]:
        """The baselines of the numbers in the column, each `high` points high: beside the ends of their distances, and
        moved up where two would overlap."""
        wanted = [self.place(each.end)[1] - high / 2 for each in self.upright]
        found: dict[int, float] = {}
        least = self.y0
        for at in sorted(range(len(wanted)), key=wanted.__getitem__):
            found[at] = max(wanted[at], least)
            least = found[at] + high + 2 * self.type.mm
        return [found[at] for at in range(len(wanted))]

    def words(self) -> str:
        """The words below the drawing: the face that is up, and the edge at the front."""
        return f"{self.view.title}  ·  {self.view.low}"
