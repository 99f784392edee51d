"""The plan of a wood whose boards are of different widths, each as it was measured: rough boards of random width.

Such boards are in hand, so nothing is paid for them. What is wanted is, in this order: as little as can be of the
pieces left without a board, by their area; then as little as can be of the boards that are begun, by theirs. Each
stretch of a board is crosscut into sections, each section ripped into lanes, as in the other ripped woods.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct, field
from msgspec.structs import replace

from tracker.design.model import Build, Wood
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan.boards.blanks import Batch, Blank, Wanted, as_read
from tracker.plan.boards.cancel import KeepGoing
from tracker.plan.boards.plan import CutBoard, Offcut, PlacedPiece, Unplaced, WoodPlan
from tracker.plan.boards.remaining import BoardLeft
from tracker.plan.boards.rip.bounds import least_length
from tracker.plan.boards.rip.sections import ways
from tracker.plan.boards.rip.strip import Strip
from tracker.plan.boards.solver import Proof
from tracker.plan.boards.wood_problem import placed
from tracker.plan.stretches import Stretch

MOST_WAYS, FEW_WAYS, MANY = 12, 1, 60
"""Ways to make sections that are looked at for one stretch: few where there are many pieces."""
TRIES, MOST_CHOICES = 60, 40
MOST_BOARDS = 12
"""Boards up to which every choice of them is asked whether it could hold all pieces."""


class Sheet(Struct, frozen=True):
    """One clear stretch of one board: what can be cut from it."""

    board: int
    stretch: Stretch
    strip: Strip

    @property
    def area(self) -> Fraction:
        return self.stretch.length.mm * Fraction(self.strip.width, self.strip.per_mm)


class Packed(Struct):
    """What lies on which sheet, and what lies nowhere."""

    sections: dict[int, list[Batch]] = field(default_factory=dict)
    left: list[Batch] = field(default_factory=list)

    def worth(self, order: MixedOrder) -> tuple[Fraction, Fraction]:
        """The area left over, then that of the boards that are begun; less is better."""
        begun = {order.sheets[at].board for at in self.sections}
        return sum((_area(batch) for batch in self.left), Fraction(0)), sum(
            (order.board_area(b) for b in begun), Fraction(0)
        )


class MixedOrder(Struct):
    """What is wanted of a wood whose boards differ in width, and the boards."""

    build: Build
    wood: Wood
    wanted: Wanted
    have: tuple[BoardLeft, ...]
    sheets: list[Sheet] = field(default_factory=list)

    @classmethod
    def of(cls, build: Build, wood: Wood, wanted: Wanted, have: Sequence[BoardLeft]) -> MixedOrder:
        """Boards that are bought by their length are none of this."""
        parts = {blank.part for run in wanted.runs for blank in run.blanks}
        thick = max((build.part(part).thickness for part in parts), default=ZERO) + (
            wood.mill.face if wood.mill else ZERO
        )
        mine = tuple(each for each in have if each.source != "dealer" and (each.thickness or thick) >= thick)
        thin = [each.name for each in have if each.thickness is not None and each.thickness < thick]
        if thin:
            note = f"{', '.join(thin)}: thinner than the {as_read(build, thick)} that planing needs"
            wanted = replace(wanted, notes=(*wanted.notes, note))
        order = cls(build, wood, wanted, mine)
        blanks = [blank for run in wanted.runs for blank in run.blanks]
        sizes = [size for blank in blanks for size in (blank.length, blank.across)]
        for at, board in enumerate(mine):
            for stretch in board.stretches:
                strip = Strip.of(board.width or wood.width, ZERO, build.shop.kerf, (*sizes, stretch.length))
                order.sheets.append(Sheet(at, stretch, strip))
        return order

    @property
    def whole(self) -> list[Batch]:
        """The sequences, which keep the whole width of a board."""
        return [run for run in self.wanted.runs if run.sequence]

    def board_area(self, at: int) -> Fraction:
        board = self.have[at]
        return board.length.mm * (board.width or self.wood.width).mm

    def plan(self, keep_going: KeepGoing) -> WoodPlan:
        """The best plan found until `keep_going` says no, or until nothing can be better."""
        best: Packed | None = None
        worth, least = (Fraction(0), Fraction(0)), self._least()
        for sheets in self._orders():
            packed = self._pack(sheets)
            mine = packed.worth(self)
            if best is None or mine < worth:
                best, worth = packed, mine
            if worth <= least or not keep_going():
                break
        assert best is not None
        return self._wood_plan(best, worth, least, keep_going())

    # -- one way to fill the boards ------------------------------------------------------------------------------

    def _orders(self) -> Iterator[list[int]]:
        """Orders in which the sheets are filled: a board's own stretches stay together."""
        boards = list(range(len(self.have)))
        yield self._sheets_of(sorted(boards, key=self.board_area))
        yield self._sheets_of(sorted(boards, key=lambda b: -self.board_area(b)))
        yield self._sheets_of(sorted(boards, key=lambda b: -(self.have[b].width or self.wood.width).mm))
        for chosen in self._choices(self._need()):
            rest = [b for b in boards if b not in chosen]
            yield self._sheets_of((*sorted(chosen, key=self.board_area), *sorted(rest, key=self.board_area)))
        dice = 1
        for _ in range(TRIES if len(boards) > 1 else 0):
            shuffled: list[tuple[int, int]] = []
            for b in boards:
                dice = (dice * 48271) % 0x7FFFFFFF  # Park & Miller 1988: the same in every run
                shuffled.append((dice, b))
            yield self._sheets_of([b for _, b in sorted(shuffled)])

    def _sheets_of(self, boards: Sequence[int]) -> list[int]:
        rank = {b: n for n, b in enumerate(boards)}
        return sorted(range(len(self.sheets)), key=lambda at: rank[self.sheets[at].board])

    def _choices(self, need: Fraction) -> list[tuple[int, ...]]:
        """Choices of boards that could hold all pieces by area, the smallest first."""
        if len(self.have) > MOST_BOARDS:
            return []
        clear = [Fraction(0)] * len(self.have)
        for sheet in self.sheets:
            clear[sheet.board] += sheet.area
        return [chosen for _, chosen in self._by_area(clear, need)[:MOST_CHOICES]]

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
        single = [run.blanks[0] for run in self.wanted.runs if not run.sequence]
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
        """The sections that fill one stretch fullest, of some ways to make them."""
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

    # -- what can't be better ------------------------------------------------------------------------------------

    def _need(self) -> Fraction:
        """The area that the pieces take at least, each with a kerf on two sides; boards are counted likewise."""
        blanks = [blank for run in self.wanted.runs for blank in run.blanks]
        return sum((_with_kerf(self.build, blank) for blank in blanks), Fraction(0))

    def _least(self) -> tuple[Fraction, Fraction]:
        """What no plan can better: pieces that no stretch holds are left, and all that the boards can't hold by area;
        then the least area of boards that can hold the others."""
        blanks = [blank for run in self.wanted.runs for blank in run.blanks]
        holds = [blank for blank in blanks if self._held(blank)]
        never = sum((blank.length.mm * blank.across.mm for blank in blanks if not self._held(blank)), Fraction(0))
        kerf = self.build.shop.kerf.mm
        roomy = [
            (sheet.stretch.length.mm + kerf) * (Fraction(sheet.strip.width, sheet.strip.per_mm) + kerf)
            for sheet in self.sheets
        ]
        need = sum((_with_kerf(self.build, blank) for blank in holds), Fraction(0))
        short = need - sum(roomy, Fraction(0))
        if short > 0:  # a piece that is left has at least this area, less its kerfs
            smallest = min((blank.length.mm * blank.across.mm for blank in holds), default=Fraction(0))
            return never + smallest, Fraction(0)
        return never, self._least_boards(holds, roomy, need)

    def _held(self, blank: Blank) -> bool:
        return any(
            blank.across.mm * sheet.strip.per_mm <= sheet.strip.width and blank.length <= sheet.stretch.length
            for sheet in self.sheets
        )

    def _least_boards(self, holds: Sequence[Blank], roomy: Sequence[Fraction], need: Fraction) -> Fraction:
        """The least area of whole boards whose clear area suffices, and that hold every piece one by one."""
        boards = range(len(self.have))
        room = [Fraction(0)] * len(self.have)
        for much, sheet in zip(roomy, self.sheets, strict=True):
            room[sheet.board] += much
        if not holds:
            return Fraction(0)
        if len(self.have) > MOST_BOARDS:
            return need * min((self.board_area(b) / room[b] for b in boards if room[b]), default=Fraction(0))
        kinds = list({(blank.length, blank.across): blank for blank in holds}.values())
        for area, chosen in self._by_area(room, need):
            if self._could_hold(holds, kinds, [sheet for sheet in self.sheets if sheet.board in chosen]):
                return area
        return Fraction(0)

    def _by_area(self, room: Sequence[Fraction], need: Fraction) -> list[tuple[Fraction, tuple[int, ...]]]:
        """Every choice of boards with room for `need`, the smallest first."""
        found = []
        areas = [self.board_area(b) for b in range(len(self.have))]
        for bits in range(1, 1 << len(self.have)):
            chosen = tuple(b for b in range(len(self.have)) if bits >> b & 1)
            if sum((room[b] for b in chosen), Fraction(0)) >= need:
                found.append((sum((areas[b] for b in chosen), Fraction(0)), chosen))
        return sorted(found)

    def _could_hold(self, holds: Sequence[Blank], kinds: Sequence[Blank], sheets: Sequence[Sheet]) -> bool:
        """Not surely impossible: each piece fits some stretch, and those as wide as it or wider take no more length
        than there is where it fits."""
        kerf = self.build.shop.kerf
        fitting = [[s for s in sheets if kind.across.mm * s.strip.per_mm <= s.strip.width] for kind in kinds]
        if not all(
            any(kind.length <= s.stretch.length for s in fit) for kind, fit in zip(kinds, fitting, strict=True)
        ):  # fmt: skip
            return False
        for kind, fit in zip(kinds, fitting, strict=True):
            wide = [blank for blank in holds if blank.across >= kind.across]
            widest = max(fit, key=lambda s: Fraction(s.strip.width, s.strip.per_mm)).strip
            need = least_length([widest.rect(b, b.length, b.across) for b in wide], widest, False)
            if need > sum((s.stretch.length + kerf for s in fit), ZERO):
                return False
        return True

    # -- the answer ----------------------------------------------------------------------------------------------

    def _wood_plan(
        self, packed: Packed, worth: tuple[Fraction, Fraction], least: tuple[Fraction, Fraction], settled: bool
    ) -> WoodPlan:
        boards = []
        for b, board in enumerate(self.have):
            mine = {at: sections for at, sections in packed.sections.items() if self.sheets[at].board == b}
            if mine:
                boards.append(self._cut_board(board, mine))
        proved = worth <= least
        unplaced = tuple(self._unplaced(packed))
        return WoodPlan(
            wood=self.wood.id,
            boards=tuple(boards),
            unplaced=(*self.wanted.unplaced, *unplaced),
            cost=None if unplaced else Decimal(0),
            cost_bound=None if unplaced else Decimal(0),
            bought=ZERO,
            bought_bound=ZERO,
            proof=Proof(price=True, length=worth[0] <= least[0], boards=proved, offcut=proved),
            notes=(*self.wanted.notes, *self._standing(worth, least)),
            exhausted=settled,
        )

    def _standing(self, worth: tuple[Fraction, Fraction], least: tuple[Fraction, Fraction]) -> Iterator[str]:
        """How good it is: what no plan could do with less."""
        if worth[0] > least[0]:
            yield "some pieces have no board; another plan might place more of them"
        elif not worth[0] and worth[1] > least[1] and least[1]:
            over = 100 * (worth[1] / least[1] - 1)
            yield f"the boards that are begun are within {float(over):.0f} % of the least that could do, by their area"
        elif worth[1]:
            yield "no plan begins less of these boards, by their area (proved)"

    def _cut_board(self, board: BoardLeft, mine: dict[int, list[Batch]]) -> CutBoard:
        kerf = self.build.shop.kerf
        pieces: list[PlacedPiece] = []
        offcuts: list[Offcut] = []
        used = {self.sheets[at].stretch.start: sections for at, sections in mine.items()}
        for stretch in board.stretches:
            at = stretch.start
            for section in sorted(used.get(stretch.start, ()), key=lambda each: each.length):
                for each in section.laid:
                    one = placed(each, at)
                    beside = replace(one, across=one.across + board.near) if one.width else one
                    pieces.append(self._narrow(beside, board, each.blank))
                at = at + section.length + kerf
            if at < stretch.end:
                offcuts.append(Offcut(at=at, length=stretch.end - at))
        return CutBoard(
            key=board.key, wood=board.wood, source=board.source, name=board.name, length=board.length, price=None,
            stretches=board.stretches, pieces=tuple(pieces), offcuts=tuple(offcuts), begins=board.begins,
            width=(board.width or self.wood.width) + board.near,
        )  # fmt: skip

    def _narrow(self, piece: PlacedPiece, board: BoardLeft, blank: Blank) -> PlacedPiece:
        """A piece of a sequence lies alone across its board, and is ripped to its width there."""
        return piece if piece.width else replace(piece, across=board.near, width=blank.across)

    def _unplaced(self, packed: Packed) -> Iterator[Unplaced]:
        for run in packed.left:
            for blank in run.blanks:
                size = f"{as_read(self.build, blank.length)} × {as_read(self.build, blank.across)}"
                why = f"{size}: no board of {self.wood.id} has room for it; measure one in, or buy it"
                yield Unplaced(part=blank.part, piece=blank.piece, why=why)


def _area(batch: Batch) -> Fraction:
    return sum((blank.length.mm * blank.across.mm for blank in batch.blanks), Fraction(0))


def _with_kerf(build: Build, blank: Blank) -> Fraction:
    kerf = build.shop.kerf.mm
    return (blank.length.mm + kerf) * (blank.across.mm + kerf)


def _fullest(sections: Sequence[Batch], room: Length, kerf: Length) -> list[Batch]:
    """Sections that fit the room one after the other: the fullest for their length first, then what still fits."""
    left, chosen = room, []
    for section in sorted(sections, key=lambda each: -_area(each) / (each.length.mm + kerf.mm)):
        if section.length <= left:
            chosen.append(section)
            left = left - section.length - kerf
    return chosen
