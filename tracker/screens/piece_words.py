"""The words that stand at the ends of a piece's drawing: each angle large, what it is beside or below it, and whether
that end is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from tracker.cards.drawing import EndNote
from tracker.screens.theme import SCALE
from tracker.screens.typeset import Line

FINE, NOTE, TASK = SCALE["fine"], SCALE["note"], SCALE["task"]


class AngleSaid(NamedTuple):
    """`15°`, `mitre`, `left`: what to set, on which scale, which way (may be empty)."""

    angle: str
    scale: str
    way: str = ""


def angles_of(note: EndNote) -> tuple[AngleSaid, ...]:
    """The piece's own angles at one end; `square` where there is none."""
    said = [AngleSaid(angle, scale) for angle, scale in ((note.miter, "mitre"), (note.bevel, "bevel")) if angle]
    return tuple(said) or (AngleSaid("", "square"),)


@dataclass(frozen=True, slots=True)
class Placed:
    """A line at its place in the block: `x` from the block's outer side, `y` from its top down to the baseline."""

    line: Line
    x: float
    y: float
    soft: bool = False


class Head:
    """All that stands at one end, as a block: `width` and `height`, the lines in it, and the box of its mark."""

    def __init__(self, note: EndNote, angles: Sequence[AngleSaid], mm: float, *, beside: bool, room: float) -> None:
        self.mm, self.right = mm, note.end == "B"
        self.lines: list[Placed] = []
        self.mark = (5.0 if beside else TASK) * mm
        self._y = 0.0
        if beside:
            self._start_beside(note)
            for said in angles:
                self._angle_beside(said)
        else:
            for at, said in enumerate(angles):
                self._angle_above(said, first=at == 0)
            self._caption(note, room)
        self.height = self._y
        self.width = max([self.mark, *(placed.x + placed.line.width for placed in self.lines)])

    def left_of(self, placed: Placed, outer: float) -> float:
        """Where a line starts when the block's outer side is at `outer`."""
        return outer - placed.x - placed.line.width if self.right else outer + placed.x

    def _put(self, line: Line, x: float, y: float, *, soft: bool = False) -> float:
        self.lines.append(Placed(line, x, y, soft))
        return x + line.width

    def _angle_above(self, said: AngleSaid, *, first: bool) -> None:
        """The mark, the angle, and its words beside it; mirrored at end B, so that the words are put in first there."""
        mm = self.mm
        foot = self._y + TASK * mm
        x = self.mark + 1.6 * mm
        angle = Line(said.angle, TASK, mm, bold=True)
        words = [Line(said.scale, FINE, mm), Line(said.way, FINE, mm)] if said.way else [Line(said.scale, NOTE, mm)]
        wide = max(word.width for word in words)
        if self.right:
            angle_x, words_x = x + wide + 1.6 * mm, x
        else:
            angle_x, words_x = x, x + angle.width + (1.6 * mm if said.angle else 0.0)
        if said.angle:
            self._put(angle, angle_x, foot)
        if said.way:
            self._put(words[0], words_x, foot - TASK * mm + FINE * mm - 0.6 * mm)
            self._put(words[1], words_x, foot + 0.6 * mm)
        else:
            self._put(words[0], words_x, foot - (0.0 if said.angle else (TASK - NOTE) / 2 * mm))
        self._y = foot + (3.2 if said.way else 2.6) * mm

    def _caption(self, note: EndNote, room: float) -> None:
        whole = Line(f"end {note.end}: {note.swing}" if note.swing else f"end {note.end}", FINE, self.mm)
        lines = (
            [whole]
            if whole.width <= room
            else [Line(f"end {note.end}:", FINE, self.mm), Line(note.swing, FINE, self.mm)]
        )
        for line in lines:
            self._y += FINE * self.mm
            self._put(line, 0.0, self._y, soft=True)
            self._y += 2.4 * self.mm

    def _start_beside(self, note: EndNote) -> None:
        foot = (5.0 + FINE) / 2 * self.mm
        self._put(Line(f"end {note.end}", FINE, self.mm), self.mark + 1.4 * self.mm, foot, soft=True)
        self._y = 7.2 * self.mm

    def _angle_beside(self, said: AngleSaid) -> None:
        if said.angle:
            self._y += TASK * self.mm
            self._put(Line(said.angle, TASK, self.mm, bold=True), 0.0, self._y)
            self._y += 1.7 * self.mm
        words = f"{said.scale} {said.way}".rstrip()
        self._y += FINE * self.mm
        self._put(Line(words, FINE, self.mm), 0.0, self._y)
        self._y += 2.2 * self.mm
