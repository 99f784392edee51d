"""Movements, slots, sags and weights in words, in the build's own units."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from msgspec import Struct

from tracker.design.model import Build
from tracker.measure import Length, Mark, Reading, read_length
from tracker.measure.tape_reading import plain_words
from tracker.plan.wood.fastened import Certain
from tracker.words import say

POUND = 0.45359237
"""Kilograms in a pound (international yard and pound agreement, 1959)."""
THIRTY_SECOND = Mark("in", Fraction(1, 32))
QUARTER_INCH = Length.of(Fraction(1, 4), "in")
CERTAIN: dict[Certain, str] = {
    "read": say("handbook figure"),
    "model": say("a model on handbook figures"),
    "from memory": say("figure from memory"),
    "common practice": say("common practice"),
}
"""The words for the kind of answer, shown beside it."""


class WoodWords(Struct, frozen=True):
    """How a build's lengths and weights are read; `plain` for files and terminals."""

    build: Build
    plain: bool = False

    def read(self, millimetres: float) -> str:
        """To the nearest mark of the tape."""
        return self._shown(read_length(Length.of(abs(millimetres), "mm"), self.build.shop.mark).text)

    def at_least(self, millimetres: float) -> str:
        """Up to the next mark: a slot or a gap that is read short would bind."""
        return self._shown(self.up(millimetres).text)

    def up(self, millimetres: float) -> Reading:
        """The next mark of the tape."""
        mark = self.build.shop.mark
        return read_length(mark.length * Fraction(ceil(round(abs(millimetres) / float(mark.length), 6))), mark)

    def small(self, millimetres: float) -> str:
        """A movement, to a tenth of a millimetre; in inches to the tape's marks, and under 1/4 in to a 32nd or
        finer."""
        if self.build.units == "mm":
            return self._shown(f"{abs(millimetres):.1f} mm")
        size, mark = Length.of(abs(millimetres), "mm"), self.build.shop.mark
        if size < QUARTER_INCH:
            mark = min(mark, THIRTY_SECOND, key=lambda each: each.length)
        read = read_length(size, mark)
        if read.whole or read.numerator:
            return self._shown(read.text)
        return say("under {shown}", shown=self._shown(read_length(mark.length, mark).text))

    def weight(self, kilograms: float) -> str:
        return f"{kilograms / POUND:.0f} lb" if self.build.units == "in" else f"{kilograms:.1f} kg"

    def _shown(self, text: str) -> str:
        return plain_words(text) if self.plain else text
