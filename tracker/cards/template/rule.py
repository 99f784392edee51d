"""The rule and the square on every sheet, which show whether it was printed to scale; and the correction where it
wasn't."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.cards.template.page import Stroke, Words, box, line
from tracker.measure import Length, Units, parse_length
from tracker.measure.length import MM_PER_INCH
from tracker.words import say

INCH = float(MM_PER_INCH)
RULE_MM, RULE_IN = 100.0, 4.0
MOST_OFF = 0.05
"""A rule with a larger error wasn't printed at full size at all."""


def rule(x: float, y: float, units: Units) -> Iterator[Stroke | Words]:
    """100 mm with every millimetre above the line; for a build in inches, 4 in with every sixteenth below it, too."""
    long = max(RULE_MM, RULE_IN * INCH) if units == "in" else RULE_MM
    yield line((x, y), (x + long, y), width=0.2)
    for at in range(round(RULE_MM) + 1):
        high = 2.6 if at % 10 == 0 else 2.0 if at % 5 == 0 else 1.4
        yield line((x + at, y), (x + at, y + high), width=0.12)
    yield Words(x + long + 1.5, y + 0.3, 2.4, say("100 mm"))
    if units == "in":
        for at in range(round(RULE_IN * 16) + 1):
            low = next(size for step, size in ((16, 3.2), (8, 2.6), (4, 2.0), (2, 1.5), (1, 1.0)) if at % step == 0)
            yield line((x + at * INCH / 16, y), (x + at * INCH / 16, y - low), width=0.12)
        yield Words(x + long + 1.5, y - 3.0, 2.4, say("4 in"))


def square(x: float, y: float, units: Units) -> Iterator[Stroke | Words]:
    """A square of 12 mm, or of 1/2 in."""
    side, words = (INCH / 2, say("1/2 in")) if units == "in" else (12.0, say("12 mm"))
    yield box((x, y, side, side), width=0.2)
    yield Words(x + side + 0.8, y + 0.2, 2.4, words)


def correction(measured: str, units: Units) -> float:
    """The factor to enlarge a drawing by, given the measured length of its printed rule.

    `99.6 mm` is compared with the 100 mm, `3.98 in` with the 4 in, a bare number with those in the build's units.
    Raises ValueError with a sentence.
    """
    written = parse_length(measured, units)
    in_inches = "in" in measured or '"' in measured or "″" in measured or (units == "in" and _bare(measured))
    meant = Length.of(RULE_IN, "in") if in_inches else Length.of(RULE_MM, "mm")
    found = float(meant) / float(written) if written.mm > 0 else 0.0
    if abs(found - 1) > MOST_OFF:
        said = say("4 in") if in_inches else say("100 mm")
        raise ValueError(
            say(
                "{measured} for the {line} is too far off: print at 100 %, with no fitting",
                measured=measured.strip(),
                line=said,
            )
        )
    return found


def _bare(text: str) -> bool:
    return not any(character.isalpha() for character in text)
