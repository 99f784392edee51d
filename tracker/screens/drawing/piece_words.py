"""The words at the ends of a piece's drawing: each angle large, its name beside or below it, and whether that end is
cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from msgspec import Struct

from tracker.cards.piece.drawing import EndNote
from tracker.screens.toolkit.theme import SCALE
from tracker.screens.toolkit.typeset import Line
from tracker.words import say

FINE, NOTE, TASK = SCALE["fine"], SCALE["note"], SCALE["task"]


class AngleSaid(NamedTuple):
    """`15°`, `mitre`, `left`: what to set, on which scale, and the direction (may be empty)."""

    angle: str
    scale: str
    way: str = ""


def angles_of(note: EndNote) -> tuple[AngleSaid, ...]:
    """The piece's own angles at one end; empty where it is square, as the drawing shows."""
    if note.trimmed:
        return ()
    return tuple(
        AngleSaid(angle, scale) for angle, scale in ((note.miter, note.miter_word), (note.bevel, say("bevel"))) if angle
    )


Place = tuple[float, float]
START, ANGLE = 7.2, TASK + 1.7 + NOTE + 2.2
"""Heights of the end's name and of an angle with its words below (mm)."""
TILT = 4.4
"""The width of the end view (mm)."""


class Placed(Struct, frozen=True):
    """A line in the block: `x` from the block's outer side, `y` from its top down to the baseline."""

    line: Line
    x: float
    y: float
    soft: bool = False


class Head:
    """Everything at one end, as a block: `width` and `height`, its lines, and the box of its mark. The cap height of
    its words is `small` millimetres."""

    def __init__(
        self,
        note: EndNote,
        angles: Sequence[AngleSaid],
        mm: float,
        *,
        beside: bool,
        room: tuple[float, float],
        small: float = NOTE,
    ) -> None:
        self.mm, self.right, self.small = mm, note.end == "B", small
        self.lines: list[Placed] = []
        self.tilts: list[Place] = []
        """The positions of the small end views of tilted cuts: x and y as for a line."""
        self.mark = (0.0 if not angles else 5.0 if beside else TASK) * mm
        self._y = 0.0
        self.mark_x = self.mark_y = 0.0
        """The position of the mark's box: from the outer side, and down from the top."""
        if beside and len(angles) * ANGLE <= room[1] / mm:
            self._beside(note, angles, room[1])
        elif beside:  # too low for words below the angles, or for large ones
            low = len(angles) * (TASK + 3.2) > room[1] / mm
            for said in angles:
                (self._angle_small if low else self._angle_above)(said)
        else:
            for put in (self._angle_above, self._angle_small):
                self.lines, self.tilts, self._y = [], [], 0.0
                for said in angles:
                    put(said)
                self._caption(note, room[0])
                if self._y <= room[1] / 2:  # otherwise there is no room for large ones
                    break
        self.height = self._y
        ends = [placed.x + placed.line.width for placed in self.lines]
        self.width = max([self.mark, *ends, *(x + TILT * mm for x, _ in self.tilts)])

    def left_of(self, placed: Placed, outer: float) -> float:
        """Where a line starts when the block's outer side is at `outer`."""
        return outer - placed.x - placed.line.width if self.right else outer + placed.x

    def _put(self, line: Line, x: float, y: float, *, soft: bool = False) -> float:
        self.lines.append(Placed(line, x, y, soft))
        return x + line.width

    def _angle_above(self, said: AngleSaid) -> None:
        """The mark, the angle, and its words beside it; mirrored at end B, where the words therefore come first."""
        mm = self.mm
        foot = self._y + TASK * mm
        x = self.mark + 1.6 * mm
        angle = Line(said.angle, TASK, mm, bold=True)
        words = [Line(each, self.small, mm) for each in (said.scale, said.way) if each]
        wide = max(word.width for word in words)
        if self.right:
            angle_x, words_x = x + wide + 1.6 * mm, x
        else:
            angle_x, words_x = x, x + angle.width + (1.6 * mm if said.angle else 0.0)
        if said.angle:
            self._put(angle, angle_x, foot)
        if said.way:
            self._put(words[0], words_x, foot - TASK * mm + self.small * mm - 0.6 * mm)
            self._put(words[1], words_x, foot + 0.6 * mm)
        else:
            end = self._put(words[0], words_x, foot - (0.0 if said.angle else (TASK - NOTE) / 2 * mm))
            if said.scale == "bevel" and not self.right:
                self.tilts.append((end + 1.8 * mm, foot))
            elif said.scale == "bevel":
                self.tilts.append((angle_x + angle.width + 1.8 * mm, foot))
        self._y = foot + (3.2 if said.way else 2.6) * mm

    def _angle_small(self, said: AngleSaid) -> None:
        """One line of small type, for when a caution takes the drawing's room."""
        mm, x = self.mm, self.mark + 1.6 * self.mm
        foot = self._y + NOTE * mm
        words = Line(f"{said.scale} {said.way}".rstrip(), self.small, mm)
        angle = Line(said.angle, NOTE, mm, bold=True)
        gap = 1.4 * mm if said.angle else 0.0
        self._put(words, x if self.right else x + angle.width + gap, foot)
        if said.angle:
            self._put(angle, x + words.width + gap if self.right else x, foot)
        self._y = foot + 2.2 * mm

    def _caption(self, note: EndNote, room: float) -> None:
        whole = Line(
            say("end {end}", end=note.end)
            if note.trimmed or not note.swing
            else say("end {end}: {swing}", end=note.end, swing=note.swing),
            self.small,
            self.mm,
        )
        lines = [whole]
        if whole.width > room:
            lines = [Line(words, self.small, self.mm) for words in (say("end {end}:", end=note.end), note.swing)]
        if lines[-1].width > room and " and " in note.swing:
            edge, _, face = note.swing.partition(" and ")
            lines = [
                Line(words, self.small, self.mm)
                for words in (say("end {end}: {edge}", end=note.end, edge=edge), say("and {face}", face=face))
            ]
        for line in lines:
            self._y += self.small * self.mm
            self._put(line, 0.0, self._y, soft=True)
            self._y += 2.4 * self.mm

    def _beside(self, note: EndNote, angles: Sequence[AngleSaid], room: float) -> None:
        """Which end, then each angle with its words below; where that is too high, the mark is beside the first angle's
        words and not beside the end's name."""
        tall = START + len(angles) * ANGLE <= room / self.mm
        if tall:
            indent = self.mark + 1.4 * self.mm if angles else 0.0
            self._put(
                Line(say("end {end}", end=note.end), self.small, self.mm),
                indent,
                (5.0 + self.small) / 2 * self.mm,
                soft=True,
            )
            self._y = START * self.mm
        for at, said in enumerate(angles):
            indent = 0.0 if tall or at else self.mark + 1.4 * self.mm
            self._angle_beside(said, indent)
            if indent:
                self.mark_y = self.lines[-1].y - (self.small + 5.0) / 2 * self.mm

    def _angle_beside(self, said: AngleSaid, indent: float) -> None:
        if said.angle:
            self._y += TASK * self.mm
            self._put(Line(said.angle, TASK, self.mm, bold=True), 0.0, self._y)
            self._y += 1.7 * self.mm
        words = f"{said.scale} {said.way}".rstrip()
        self._y += self.small * self.mm
        end = self._put(Line(words, self.small, self.mm), indent, self._y)
        if said.scale == "bevel":
            self.tilts.append((end + 1.4 * self.mm, self._y))
        self._y += 2.2 * self.mm
