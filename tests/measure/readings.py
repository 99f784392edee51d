"""`python tests/measure/readings.py [COUNT]`: COUNT random readings on every mark, each rounded once and read back.

`python tests/measure/readings.py 166667` makes a million in all; the test run does a small part.
"""

from __future__ import annotations

import random
import sys
from fractions import Fraction

from tracker.measure import Length, Mark, parse_length, read_length
from tracker.measure.tape_reading import MARKS


def round_once_and_read_back(mark: Mark, count: int) -> int:
    """The shown text, read again, is the shown length exactly, and within half a mark. AssertionError if not."""
    chance = random.Random(str(mark))
    for _ in range(count):
        length = Length(Fraction(chance.randrange(0, 3_200_000), 320 * chance.choice((1, 1, 7))))
        reading = read_length(length, mark)
        shown = parse_length(reading.plain, "in")
        assert shown + reading.left_over == length
        assert abs(reading.left_over) * 2 <= mark.length
        assert (shown.mm / mark.length.mm).denominator == 1
        lowest = Fraction(reading.numerator, reading.denominator)
        assert lowest < 1
        assert (lowest.numerator, lowest.denominator) == (reading.numerator, reading.denominator)
    return count


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 166_667
    print(sum(round_once_and_read_back(mark, count) for mark in MARKS), "readings, all exact")
