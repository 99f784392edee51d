"""Plans for boards of different widths, each as it was measured: rough boards of random width.

Such boards are in hand, so they cost nothing. The aims in order: the least area of pieces left without a board, then
the least area of boards begun. Each stretch of a board is crosscut into sections and each section ripped into lanes, as
for other ripped woods.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct, field
from msgspec.structs import replace

from tracker.design.model import Build, Wood
from tracker.design.one_blank import needs_thickness
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan.boards.blanks import Batch, Blank, Demand, as_read
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.plan import CutBoard, Offcut, PlacedPiece, Unplaced, WoodPlan
from tracker.plan.boards.remaining import BoardLeft
from tracker.plan.boards.rip.mixed_bounds import MOST_BOARDS, MixedBounds
from tracker.plan.boards.rip.sections import ways
from tracker.plan.boards.rip.sheet import Sheet
from tracker.plan.boards.rip.small import Small
from tracker.plan.boards.rip.strip import Strip
from tracker.plan.boards.solver import Proof
from tracker.plan.boards.wood_problem import placed
from tracker.words import say

MOST_WAYS, FEW_WAYS, MANY = 12, 1, 60
"""How many ways to make sections are tried for one stretch: few where there are many pieces."""
TRIES, MOST_CHOICES = 60, 40
FIRST = 2
"""A small request is solved exactly after the three plain orders and before others are tried."""


class Packed(Struct):
    """What lies on each sheet, and what lies on none."""

    sections: dict[int, list[Batch]] = field(default_factory=dict)
    left: list[Batch] = field(default_factory=list)

    def objective(self, order: MixedOrder) -> tuple[Fraction, Fraction]:
        """The area left over, then the area of the boards begun; less is better."""
        begun = {order.sheets[at].board for at in self.sections}
        return sum((_area(batch) for batch in self.left), Fraction(0)), sum(
            (order.bounds.board_area(b) for b in begun), Fraction(0)
        )


class MixedOrder(Struct):
    """What is wanted of a wood whose boards differ in width, and the boards."""

    build: Build
    wood: Wood
    demand: Demand
    have: tuple[BoardLeft, ...]
    sheets: list[Sheet] = field(default_factory=list)
    free: list[Sheet] = field(default_factory=list)
    """The stretches of boards with edge defects as if their edges were clear: no way to cut them gives more."""
    _small: Small | None = None

    @classmethod
    def of(cls, build: Build, wood: Wood, demand: Demand, have: Sequence[BoardLeft]) -> MixedOrder:
        """Collect the boards in hand; boards bought by length aren't part of this."""
        parts = {blank.part for run in demand.runs for blank in run.blanks}
        thick = max((needs_thickness(build.part(part)) for part in parts), default=ZERO) + (
            wood.mill.face if wood.mill else ZERO
        )
        mine = tuple(each for each in have if each.source != "dealer" and (each.thickness or thick) >= thick)
        thin = [each.name for each in have if each.thickness is not None and each.thickness < thick]
        if thin:
            note = say(
                "{thin}: thinner than the {length} that planing needs",
                thin=", ".join(thin),
                length=as_read(build, thick),
            )
            demand = replace(demand, notes=(*demand.notes, note))
        order = cls(build, wood, demand, mine)
        blanks = [blank for run in demand.runs for blank in run.blanks]
        sizes = [size for blank in blanks for size in (blank.length, blank.across)]
        for at, board in enumerate(mine):
            ways = (*(each.stretches for each in (board, *board.others)), *([board.freely] if board.others else []))
            for way, stretches in enumerate(ways):
                free = way > len(board.others)
                for stretch in stretches:
                    wide = stretch.width or board.width or wood.width
                    strip = Strip.of(wide, ZERO, build.shop.kerf, (*sizes, stretch.length))
                    (order.free if free else order.sheets).append(Sheet(at, -1 if free else way, stretch, strip))
        return order

    @property
    def whole(self) -> list[Batch]:
        """The sequences, which take the whole width of a board."""
        return [run for run in self.demand.runs if run.sequence]

    @property
    def bounds(self) -> MixedBounds:
        """The bounds that hold for every plan, computed from `at_most`."""
        return MixedBounds(self.build, self.wood, self.demand.runs, self.have, self.at_most)

    @property
    def at_most(self) -> list[Sheet]:
        """The sheets, with boards that have edge defects as if their edges were clear."""
        odd = {sheet.board for sheet in self.free}
        return sorted((*(s for s in self.sheets if s.board not in odd), *self.free), key=lambda sheet: sheet.board)

    def plan(self, keep_going: KeepGoing) -> WoodPlan:
        """The best plan found before `keep_going` returns False or nothing can be better."""
        best: Packed | None = None
        objective, least = (Fraction(0), Fraction(0)), self.bounds.least()
        for n, sheets in enumerate(self._orders()):
            packed = self._pack(sheets)
            mine = packed.objective(self)
            if best is None or mine < objective:
                best, objective = packed, mine
            if objective <= least or not keep_going():
                break
            if n == FIRST and (settled := self._settled(keep_going)) is not None:
                packed, bound = settled
                least = max(least, bound)
                if packed.objective(self) < objective:
                    best, objective = packed, packed.objective(self)
                if objective <= least:
                    break
        assert best is not None
        return self._wood_plan(best, objective, least, keep_going())

    def _settled(self, keep_going: KeepGoing) -> tuple[Packed, tuple[Fraction, Fraction]] | None:
        """The best plan of a small request, and the bound; None where the request isn't small, or time ran out."""
        if self._small is None:
            self._small = Small.of(self.build, self.demand.runs, self.sheets, self.at_most)
        found = self._small.settle([self.bounds.board_area(b) for b in range(len(self.have))], keep_going)
        return None if found is None else (Packed(found.sections, found.left), found.least)

    # -- one way to fill the boards ------------------------------------------------------------------------------

    def _orders(self) -> Iterator[list[int]]:
        """Orders in which the sheets are filled; the stretches of one board stay together."""
        boards = list(range(len(self.have)))
        yield self._sheets_of(sorted(boards, key=self.bounds.board_area))
        yield self._sheets_of(sorted(boards, key=lambda b: -self.bounds.board_area(b)))
        yield self._sheets_of(sorted(boards, key=lambda b: -(self.have[b].width or self.wood.width).mm))
        for way in range(1, 1 + max((len(each.others) for each in self.have), default=0)):
            yield self._sheets_of(sorted(boards, key=self.bounds.board_area), way)
        for chosen in self._choices(self.bounds.need()):
            rest = [b for b in boards if b not in chosen]
            yield self._sheets_of([b for some in (chosen, rest) for b in sorted(some, key=self.bounds.board_area)])
        dice = 1
        for _ in range(TRIES if len(boards) > 1 else 0):
            shuffled: list[tuple[int, int]] = []
            for b in boards:
                dice = (dice * 48271) % 0x7FFFFFFF  # Park & Miller 1988: the same in every run
                shuffled.append((dice, b))
            yield self._sheets_of([b for _, b in sorted(shuffled)])

    def _sheets_of(self, boards: Sequence[int], way: int = 0) -> list[int]:
        """The sheets of these boards in order; boards that can be cleared in several ways are cleared in this one."""
        rank = {b: n for n, b in enumerate(boards)}
        here = [at for at, each in enumerate(self.sheets) if each.way == min(way, len(self.have[each.board].others))]
        return sorted(here, key=lambda at: rank[self.sheets[at].board])

    def _choices(self, need: Fraction) -> list[tuple[int, ...]]:
        """Sets of boards that could hold all pieces by area, the smallest first."""
        if len(self.have) > MOST_BOARDS:
            return []
        clear = [Fraction(0)] * len(self.have)
        for sheet in self.sheets:
            clear[sheet.board] += sheet.area
        return [chosen for _, chosen in self.bounds.by_area(clear, need)[:MOST_CHOICES]]

    def _pack(self, order: Sequence[int]) -> Packed:
        packed = Packed()
        free = {at: self.sheets[at].stretch.length for at in order}
        for run in sorted(self.whole, key=lambda each: -each.length):
            wide = max(blank.across for blank in run.blanks)
            fits = [at for at in order if self._wide(at) >= wide and free[at] >= run.length]
            if not fits:
                packed.left.append(run)
                continue
            at = min(fits, key=lambda at: (self._wide(at), free[at]))
            packed.sections.setdefault(at, []).append(run)
            free[at] = free[at] - run.length - self.build.shop.kerf
        single = [run.blanks[0] for run in self.demand.runs if not run.sequence]
        for at in order:
            if single and free[at] > ZERO:
                sections = self._fill(at, single, free[at])
                if sections:
                    packed.sections.setdefault(at, []).extend(sections)
                    gone = {blank.id for section in sections for blank in section.blanks}
                    single = [blank for blank in single if blank.id not in gone]
        packed.left += [Batch.of((blank,), self.build.shop.kerf) for blank in single]
        return packed

    def _wide(self, at: int) -> Length:
        strip = self.sheets[at].strip
        return strip.length(strip.width)

    def _fill(self, at: int, blanks: Sequence[Blank], room: Length) -> list[Batch]:
        """The sections that fill one stretch fullest, out of several ways to make them."""
        strip = self.sheets[at].strip
        units = strip.down(room)
        rects = [strip.rect(blank, blank.length, blank.across) for blank in blanks]
        rects = [rect for rect in rects if rect.across <= strip.width and rect.along <= units]
        best: tuple[Fraction, Fraction] = (Fraction(0), Fraction(0))
        found: list[Batch] = []
        for n, sections in enumerate(ways(rects, strip, [room], False) if rects else ()):
            chosen = _fullest(sections, room, self.build.shop.kerf)
            filled = sum((_area(each) for each in chosen), Fraction(0))
            longest = max((blank.length.mm for each in chosen for blank in each.blanks), default=Fraction(0))
            if (filled, longest) > best:
                best, found = (filled, longest), chosen
            if n + 1 >= (MOST_WAYS if len(rects) <= MANY else FEW_WAYS):
                break
        return found

    # -- the answer ----------------------------------------------------------------------------------------------

    def _wood_plan(
        self, packed: Packed, objective: tuple[Fraction, Fraction], least: tuple[Fraction, Fraction], settled: bool
    ) -> WoodPlan:
        boards = []
        for b, board in enumerate(self.have):
            mine = {at: sections for at, sections in packed.sections.items() if self.sheets[at].board == b}
            if mine:
                boards.append(self._cut_board(board, mine))
        proved = objective <= least
        unplaced = tuple(self._unplaced(packed))
        return WoodPlan(
            wood=self.wood.id,
            boards=tuple(boards),
            unplaced=(*self.demand.unplaced, *unplaced),
            cost=None if unplaced else Decimal(0),
            cost_bound=None if unplaced else Decimal(0),
            bought=ZERO,
            bought_bound=ZERO,
            proof=Proof(price=True, length=objective[0] <= least[0], boards=proved, offcut=proved),
            notes=(*self.demand.notes, *self._notes(objective, least)),
            exhausted=settled,
        )

    def _notes(self, objective: tuple[Fraction, Fraction], least: tuple[Fraction, Fraction]) -> Iterator[str]:
        """How good the plan is, compared with the proved bound."""
        if objective[0] > least[0]:
            yield say("some pieces have no board; another plan might place more of them")
        elif objective[1] > least[1] and least[1]:
            over = 100 * (objective[1] / least[1] - 1)
            yield say(
                "the boards that are begun are within {over:.0f} % of the least that could do, by their area",
                over=float(over),
            )
        elif objective[1] and objective <= least:
            yield say("no plan begins less of these boards, by their area (proved)")

    def _cut_board(self, board: BoardLeft, mine: dict[int, list[Batch]]) -> CutBoard:
        kerf = self.build.shop.kerf
        pieces: list[PlacedPiece] = []
        offcuts: list[Offcut] = []
        used = {self.sheets[at].stretch.start: sections for at, sections in mine.items()}
        way = max(self.sheets[at].way for at in mine)
        stretches = (board, *board.others)[way].stretches
        for stretch in stretches:
            at = stretch.start
            for section in sorted(used.get(stretch.start, ()), key=lambda each: each.length):
                for each in section.laid:
                    one = placed(each, at)
                    wide = one.width or each.blank.across
                    pieces.append(replace(one, across=one.across + stretch.near, width=wide))
                at = at + section.length + kerf
            if at < stretch.end:
                offcuts.append(Offcut(at=at, length=stretch.end - at))
        return CutBoard(
            key=board.key, wood=board.wood, source=board.source, name=board.name, length=board.length, price=None,
            stretches=stretches, pieces=tuple(pieces), offcuts=tuple(offcuts), begins=board.begins,
            width=board.width or self.wood.width,
        )  # fmt: skip

    def _unplaced(self, packed: Packed) -> Iterator[Unplaced]:
        for run in packed.left:
            for blank in run.blanks:
                size = f"{as_read(self.build, blank.length)} × {as_read(self.build, blank.across)}"
                why = say(
                    "{size}: no board of {wood} has room for it; measure one in, or buy it",
                    size=size,
                    wood=self.wood.id,
                )
                yield Unplaced(part=blank.part, piece=blank.piece, why=why)


def _area(batch: Batch) -> Fraction:
    return sum((blank.length.mm * blank.across.mm for blank in batch.blanks), Fraction(0))


def _fullest(sections: Sequence[Batch], room: Length, kerf: Length) -> list[Batch]:
    """Sections that fit the room one after the other: the fullest for their length first, then any that still fit."""
    left, chosen = room, []
    for section in sorted(sections, key=lambda each: -_area(each) / (each.length.mm + kerf.mm)):
        if section.length <= left:
            chosen.append(section)
            left = left - section.length - kerf
    return chosen
