"""Wide boards ripped into narrower parts, and sheets: in stages, guillotine cuts only.

First the board is crosscut into *sections*; each section is ripped into *lanes*; a lane is crosscut into pieces, end to
end. (Two- and three-stage guillotine cutting, Gilmore & Gomory 1965; sections are the levels of Lodi, Martello & Vigo
2004.) Which board a section comes from is then the one-dimensional problem, solved exactly. A section as long as the
whole stretch is a board that is ripped first.

Sections are made in several simple ways, and the cheapest is taken; where there are few pieces, every way to share them
out among sections with one piece to a lane is looked at, longest first. What no plan at all can better, guillotine or
not, is told by dual feasible functions on the widths (Fekete & Schepers 2001), of which the plain area is one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from msgspec import Struct

from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan.boards.blanks import Blank, Laid, Run
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.solver.knapsack import Pile

FEW = 12
"""Pieces up to which every way to make sections is looked at."""
TRIES = 40
STRETCHED = 0.5


class Rect(Struct, frozen=True):
    """A piece as it lies: along and across the board."""

    blank: Blank
    along: Length
    across: Length


class Strip(Struct, frozen=True):
    """What a board offers to be ripped: `width` between its trimmed edges, which begin at `edge`."""

    width: Length
    edge: Length
    kerf: Length


def turned(rect: Rect) -> Rect:
    """The same lying across: of a sheet without grain."""
    return Rect(rect.blank, rect.across, rect.along)


def ways(rects: Sequence[Rect], strip: Strip, stretches: Sequence[Length], grainless: bool) -> Iterator[list[Run]]:
    """Many ways to make sections of all the pieces, each of which must fit the strip's width one way at least.

    Sections are made from pieces in several orders: longest first, widest first, largest first, and then longest first
    with lengths and widths taken a little longer than they are, each by a share of its own.
    """
    longest = max(stretches, default=ZERO)
    lays = [[_lying(rect, strip, longest, tall) for rect in rects] for tall in (False, True)] if grainless else [rects]
    lengths = [None, *sorted(set(stretches), reverse=True)]
    for lying in lays:
        for order in _orders(lying):
            yield from (_sections(order, strip, length) for length in lengths)


def _orders(rects: Sequence[Rect]) -> Iterator[list[Rect]]:
    yield sorted(rects, key=lambda rect: (rect.along, rect.across), reverse=True)
    yield sorted(rects, key=lambda rect: (rect.across, rect.along), reverse=True)
    yield sorted(rects, key=lambda rect: rect.along.mm * rect.across.mm, reverse=True)
    dice = 1
    for _ in range(TRIES if len(rects) > 2 else 0):
        longer: list[tuple[float, int]] = []
        for rect in rects:
            dice = (dice * 48271) % 0x7FFFFFFF  # Park & Miller 1988: the same in every run
            longer.append((float(rect.along) * (1 + STRETCHED * dice / 0x7FFFFFFF), len(longer)))
        yield [rects[n] for _, n in sorted(longer, reverse=True)]


def _lying(rect: Rect, strip: Strip, longest: Length, tall: bool) -> Rect:
    """A piece without grain, its longer side along the board, or across it where that goes."""
    other = turned(rect)
    fitting = [each for each in (rect, other) if each.across <= strip.width and each.along <= longest] or [rect]
    return (min if tall else max)(fitting, key=lambda each: each.along)


def _sections(rects: Sequence[Rect], strip: Strip, length: Length | None) -> list[Run]:
    """Sections in the order given: as long as their first piece, or `length` long where that is given."""
    waiting = list(rects)
    runs = []
    while waiting:
        long = max(length or ZERO, waiting[0].along)
        lanes: list[list[Rect]] = []
        room = strip.width
        while waiting:
            first = next((rect for rect in waiting if rect.across <= room and rect.along <= long), None)
            if first is None:
                break
            waiting.remove(first)
            lane = [first, *_end_to_end(waiting, first, long, strip.kerf)]
            for rect in lane[1:]:
                waiting.remove(rect)
            lanes.append(lane)
            room = room - first.across - strip.kerf
        runs.append(section(lanes, strip))
    return runs


def _end_to_end(waiting: Sequence[Rect], first: Rect, long: Length, kerf: Length) -> list[Rect]:
    """What fills the lane of `first` best: pieces of its width if there are any, else narrower ones."""
    room = (long - first.along).grid_down()
    step = kerf.grid_up()
    short = [rect for rect in waiting if rect.across <= first.across and rect.along.grid_up() + step <= room]
    for able in ([rect for rect in short if rect.across == first.across], short):
        if able:
            sizes = [rect.along.grid_up() + step for rect in able]
            pile = Pile.of(sizes, [1] * len(sizes), room)
            return [able[i] for i in pile.made_of(pile.fullest(room))]
    return []


def section(lanes: Sequence[Sequence[Rect]], strip: Strip) -> Run:
    """Lanes side by side from the near edge on, the longest first; pieces in a lane end to end."""
    laid: list[Laid] = []
    across, longest = strip.edge, ZERO
    for lane in sorted(lanes, key=lambda lane: -_length(lane, strip.kerf)):
        at = ZERO
        for rect in lane:
            laid.append(Laid(rect.blank, at, across, rect.across, rect.along))
            at = at + rect.along + strip.kerf
        longest = max(longest, at - strip.kerf)
        across = across + max(rect.across for rect in lane) + strip.kerf
    return Run(tuple(laid), longest)


def _length(lane: Sequence[Rect], kerf: Length) -> Length:
    return sum((rect.along + kerf for rect in lane), -kerf)


# ---- every way to make sections with one piece to a lane


def best_sections(
    rects: Sequence[Rect],
    strip: Strip,
    cost_of: Callable[[list[Length]], tuple[int, int] | None],
    known: tuple[int, int],
    keep_going: KeepGoing,
) -> tuple[list[Run] | None, bool]:
    """The cheapest sections if they are cheaper than what is known, and whether all ways were looked at.

    `cost_of` is asked for the least (price, length) of boards for sections of these lengths; None when they don't fit.
    Each piece, longest first, joins a section that is open or opens one; sections in which the same widths lie, and
    that are equally long, are one.
    """
    order = sorted(rects, key=lambda rect: (rect.along, rect.across), reverse=True)
    search = _Search(order, strip, cost_of, known, keep_going)
    search.place(0)
    return search.best, not search.stopped


class _Search(Struct):
    order: Sequence[Rect]
    strip: Strip
    cost_of: Callable[[list[Length]], tuple[int, int] | None]
    known: tuple[int, int]
    keep_going: KeepGoing
    best: list[Run] | None = None
    stopped: bool = False
    open: list[list[Rect]] | None = None

    def place(self, i: int) -> None:
        if self.open is None:
            self.open = []
        if self.stopped or not self.keep_going():
            self.stopped = True
            return
        cost = self.cost_of([rects[0].along for rects in self.open]) if self.open else (0, 0)
        if cost is None or cost >= self.known:  # sections only get more
            return
        if i == len(self.order):
            self.known = cost
            self.best = [section([[rect] for rect in rects], self.strip) for rects in self.open]
            return
        rect, seen = self.order[i], set()
        for rects in self.open:
            state = (rects[0].along, tuple(sorted(each.across for each in rects)))
            used = sum((each.across + self.strip.kerf for each in rects), ZERO)
            if state not in seen and used + rect.across <= self.strip.width:
                seen.add(state)
                rects.append(rect)
                self.place(i + 1)
                rects.pop()
        self.open.append([rect])
        self.place(i + 1)
        self.open.pop()


# ---- what no plan can better


def least_length(rects: Sequence[Rect], strip: Strip, grainless: bool) -> Length:
    """The length of board that the pieces take at least, a kerf added to each and to the boards.

    With (l + k) by (w + k) for every piece and (L + k) by (W + k) for every board, pieces may touch. At every cross
    section the widths add up to no more than the board's, and so do their images under a dual feasible function u; so
    the sum of (l + k) · u(w) is no more than the length of all boards.
    """
    whole = (strip.width + strip.kerf).mm
    best = Fraction(0)
    lying = [[rect, turned(rect)] if grainless else [rect] for rect in rects]
    shares = sorted({(each.across + strip.kerf).mm / whole for both in lying for each in both})
    for u in _dual_feasible(shares):
        total = Fraction(0)
        for both in lying:
            fitting = [each for each in both if each.across <= strip.width]
            total += min((each.along + strip.kerf).mm * u((each.across + strip.kerf).mm / whole) for each in fitting)
        best = max(best, total)
    return Length(best)


def _dual_feasible(shares: Sequence[Fraction]) -> Iterator[Callable[[Fraction], Fraction]]:
    """The area; u(k) for small k, which sees how many lie side by side; and the threshold for every share."""
    yield lambda x: x
    for k in range(1, 7):
        yield _steps(k)
    for share in shares:
        if share <= Fraction(1, 2):
            yield _threshold(share)


def _steps(k: int) -> Callable[[Fraction], Fraction]:
    def u(x: Fraction) -> Fraction:
        times = x * (k + 1)
        return x if times.denominator == 1 else Fraction(times.numerator // times.denominator, k)

    return u


def _threshold(least: Fraction) -> Callable[[Fraction], Fraction]:
    def u(x: Fraction) -> Fraction:
        if x > 1 - least:
            return Fraction(1)
        return Fraction(0) if x < least else x

    return u


def least_cost(need: Length, boards: Sequence[tuple[Length, int]]) -> int:
    """The least that boards (capacity, cost) can cost whose capacities add up to `need`; as many of each as wanted."""
    order = sorted(boards, key=lambda board: Fraction(board[1]) / board[0].mm)
    best = min(cost * max(0, -(-need.mm // length.mm)) for length, cost in order)

    def take(at: int, left: Fraction, cost: int) -> None:
        nonlocal best
        if left <= 0:
            best = min(best, cost)
            return
        if at == len(order) or cost + left * order[at][1] / order[at][0].mm >= best:
            return
        length, price = order[at]
        for count in range(-(-left // length.mm), -1, -1):
            take(at + 1, left - count * length.mm, cost + count * price)

    take(0, need.mm, 0)
    return best
