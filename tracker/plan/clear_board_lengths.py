"""The clear stretches of a board: what its end trims and its defects leave."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from tracker.measure import Length
from tracker.measure.length import ZERO


class Stretch(Struct, frozen=True):
    """Clear wood from `start` to `end`, measured from the board's end A.

    Beside a defect at an edge it begins `near` from the near edge and is `width` wide; None means the whole board.
    """

    start: Length
    end: Length
    near: Length = ZERO
    width: Length | None = None

    @property
    def length(self) -> Length:
        return self.end - self.start


def clear_stretches(
    board: Length, end_trim: Length, defects: Iterable[tuple[Length, Length]], kerf: Length
) -> tuple[Stretch, ...]:
    """The stretches in order from end A; none when the trims meet.

    A defect is cut out by the kerfs at its two ends, so it takes at least one kerf: a narrower one (or a mere line,
    such as a check) is widened toward end B, to one kerf from where it begins. The blade is then set to the defect's
    first edge, which is the one that is marked. Defects that overlap, before or after widening, are one defect; the
    part of a defect inside a trim counts only once.
    """
    stop = board - end_trim
    at = end_trim
    stretches = []
    for first, last in sorted(defects):
        if first > at:
            stretches.append(Stretch(at, min(first, stop)))
        at = max(at, last, first + kerf)
        if at >= stop:
            break
    else:
        stretches.append(Stretch(at, stop))
    return tuple(stretch for stretch in stretches if stretch.end > stretch.start)


def longest_clear(stretches: Iterable[Stretch]) -> Length:
    """The longest of these stretches; zero when there is none."""
    return max((stretch.length for stretch in stretches), default=ZERO)
