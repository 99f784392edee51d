"""Several simple ways to make sections: the board is crosscut into sections, and each is ripped into lanes.

A section is as long as its longest lane, or as a whole stretch, which means a board that is ripped first. Pieces are
taken in several orders; each lane begins with the first that fits, and is filled end to end as full as possible.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tracker.measure import Length
from tracker.measure.length import GRID
from tracker.plan.boards.blanks import Batch, Blank
from tracker.plan.boards.rip.strip import Rect, Strip
from tracker.plan.boards.solver import FINE, SubsetSums

TRIES = 40
STRETCHED = 0.5
MANY_SIZES = 40
"""From this many lengths up, a lane is filled to 1/16384 of its length, not to the last 1/320 mm."""


class _Stack(Struct):
    """Pieces of one size that follow one another in an order."""

    along: int
    across: int
    blanks: list[Blank]

    def take(self) -> Rect:
        return Rect(self.blanks.pop(), self.along, self.across)


def ways(rects: Sequence[Rect], strip: Strip, stretches: Sequence[Length], grainless: bool) -> Iterator[list[Batch]]:
    """Many ways to make sections of all the pieces, each of which must fit the strip's width at least one way.

    Sections are made from pieces in several orders: longest first, widest first, largest first, and then longest first
    with each length and width increased a little at random.
    """
    long = [strip.down(stretch) for stretch in stretches]
    longest = max(long, default=0)
    lays = [[_lying(rect, strip, longest, tall) for rect in rects] for tall in (False, True)] if grainless else [rects]
    lengths = [0, *sorted(set(long), reverse=True)]
    for lying in lays:
        for order in _orders(lying):
            yield from (_sections(order, strip, length) for length in lengths)


def _orders(rects: Sequence[Rect]) -> Iterator[list[Rect]]:
    yield sorted(rects, key=lambda rect: (rect.along, rect.across), reverse=True)
    yield sorted(rects, key=lambda rect: (rect.across, rect.along), reverse=True)
    yield sorted(rects, key=lambda rect: rect.along * rect.across, reverse=True)
    dice = 1
    for _ in range(TRIES if len(rects) > 2 else 0):
        longer: list[tuple[float, int]] = []
        for rect in rects:
            dice = (dice * 48271) % 0x7FFFFFFF  # Park & Miller 1988: the same in every run
            longer.append((rect.along * (1 + STRETCHED * dice / 0x7FFFFFFF), len(longer)))
        yield [rects[n] for _, n in sorted(longer, reverse=True)]


def _lying(rect: Rect, strip: Strip, longest: int, tall: bool) -> Rect:
    """A piece without grain, its longer side along the board, or across it where it fits."""
    fitting = [each for each in (rect, rect.turned) if each.across <= strip.width and each.along <= longest] or [rect]
    return (min if tall else max)(fitting, key=lambda each: each.along)


def _stacked(order: Sequence[Rect]) -> list[_Stack]:
    stacks: list[_Stack] = []
    for rect in order:
        if not stacks or (stacks[-1].along, stacks[-1].across) != (rect.along, rect.across):
            stacks.append(_Stack(rect.along, rect.across, []))
        stacks[-1].blanks.append(rect.blank)
    for stack in stacks:
        stack.blanks.reverse()  # they are taken from the end
    return stacks


def _sections(order: Sequence[Rect], strip: Strip, length: int) -> list[Batch]:
    """Sections in the given order: as long as their first piece, or at least `length` long."""
    waiting = _stacked(order)
    runs = []
    while waiting:
        long = max(length, waiting[0].along)
        lanes: list[list[Rect]] = []
        room = strip.width
        while True:
            stack = next((each for each in waiting if each.across <= room and each.along <= long), None)
            if stack is None:
                break
            first = stack.take()
            lanes.append([first, *_end_to_end(waiting, first, long, strip)])
            waiting = [each for each in waiting if each.blanks]
            room -= first.across + strip.kerf
        runs.append(strip.section(lanes))
    return runs


def _end_to_end(waiting: Sequence[_Stack], first: Rect, long: int, strip: Strip) -> list[Rect]:
    """The pieces that fill the lane of `first` best: pieces of its width if there are any, otherwise narrower ones."""
    free = long - first.along - strip.kerf
    short = [each for each in waiting if each.blanks and each.across <= first.across and each.along <= free]
    able = [each for each in short if each.across == first.across] or short
    if not able:
        return []
    by_length: dict[int, list[_Stack]] = {}
    for stack in able:
        by_length.setdefault(stack.along, []).append(stack)
    along = sorted(by_length, reverse=True)
    grid = strip.per_mm // GRID
    room = (long - first.along) // grid
    sizes = [-(-(length + strip.kerf) // grid) for length in along]
    counts = [sum(len(stack.blanks) for stack in by_length[length]) for length in along]
    pile = SubsetSums.of(sizes, counts, room, fine=FINE if len(sizes) > MANY_SIZES else 0)
    lane: list[Rect] = []
    for i, count in sorted(pile.made_of(pile.fullest(room)).items()):
        for stack in sorted(by_length[along[i]], key=lambda stack: -stack.across):
            taken = min(count, len(stack.blanks))
            lane += [stack.take() for _ in range(taken)]
            count -= taken
    return lane
