"""The result of board planning: frozen values with exact lengths, ready for cards, paper and JSON."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Literal

from msgspec import Struct

from tracker.design.model import EndCut
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan.boards.solver import Proof
from tracker.plan.clear_board_lengths import Stretch
from tracker.words import say

SQUARE = EndCut()
PieceId = tuple[str, int]
"""A piece as its part's id and its number."""


class PlacedPiece(Struct, frozen=True, kw_only=True):
    """A blank on a board: it begins `at` from the board's end A and is `length` long.

    Where a board is ripped the blank lies `across` from the board's near edge and is `width` wide; where `width` is
    None it has the whole width. Where it shares cuts it may be `turned` (end B to the left, its far edge near) or
    `over` (bottom face up, its far edge near); both together put end B to the left and keep its far edge far. `left`
    and `right` are the ends of the blank as it lies on the board: square unless it shares cuts.
    """

    part: str
    piece: int
    at: Length
    length: Length
    across: Length = ZERO
    width: Length | None = None
    turned: bool = False
    over: bool = False
    left: EndCut = SQUARE
    right: EndCut = SQUARE

    @property
    def id(self) -> PieceId:
        return self.part, self.piece

    @property
    def end(self) -> Length:
        """The position of its end, from the board's end A."""
        return self.at + self.length


class Offcut(Struct, frozen=True, kw_only=True):
    """Clear wood left over, after its last kerf; `at` is measured from the board's end A."""

    at: Length
    length: Length


Where = tuple[str, Fraction, Fraction]


def _place(piece: PlacedPiece) -> Where:
    return piece.part, piece.at.mm, piece.across.mm


class CutBoard(Struct, frozen=True, kw_only=True, dict=True):
    """One board that is cut. `name` is chalked on its end; `price` is None for a rack board and where no price is
    known.

    `key` is `rack/A3`, or `cedar/2` for the second board of cedar bought. A board `in hand` was bought before (see
    `replan`), so it costs nothing now. Positions are measured from end A of the whole board, however much has been cut
    off; `stretches` are its clear parts, and `begins` is where its end A is now.
    """

    key: str
    wood: str
    source: Literal["dealer", "rack", "in hand"]
    name: str
    length: Length
    price: Decimal | None
    stretches: tuple[Stretch, ...]
    pieces: tuple[PlacedPiece, ...]
    offcuts: tuple[Offcut, ...]
    begins: Length = ZERO
    width: Length = ZERO
    """The width of this board, where boards of one wood differ."""

    @property
    def blanks(self) -> tuple[PlacedPiece, ...]:
        """The blanks cut from it. Of pieces that are still one blank only the first is listed; the others have the same
        position."""
        return tuple({(piece.at.mm, piece.across.mm): piece for piece in reversed(self.pieces)}.values())[::-1]

    def same_blank(self, piece: PlacedPiece) -> tuple[int, ...]:
        """The numbers of the pieces that are one blank with this one, including it."""
        return tuple(self._at_one_place[_place(piece)])

    @cached_property
    def _at_one_place(self) -> dict[Where, list[int]]:
        """Cached: a board may hold a thousand pieces, and each is looked up."""
        found: dict[Where, list[int]] = {}
        for piece in self.pieces:
            found.setdefault(_place(piece), []).append(piece.piece)
        return found

    @property
    def in_blanks(self) -> Length:
        """The length that goes into blanks. On a ripped board each counts in proportion to its width."""
        total, end = ZERO, ZERO
        for piece in self.blanks:
            if piece.width and self.width and piece.left.square and piece.right.square:
                total = total + piece.length * (piece.width.mm / self.width.mm)
            else:  # where two share a cut, count their overlap once
                total = total + piece.end - max(piece.at, end)
                end = piece.end
        return total

    @property
    def longest_offcut(self) -> Length:
        """Zero when nothing is left over."""
        return max((offcut.length for offcut in self.offcuts), default=ZERO)


class Unplaced(Struct, frozen=True, kw_only=True):
    """A piece that no available board can hold, and the reason in words."""

    part: str
    piece: int
    why: str


class WoodPlan(Struct, frozen=True, kw_only=True):
    """The boards of one wood.

    `cost` is None when boards are bought and their prices aren't known; then the aim is the least bought length, and
    `bound`, which is proved, is a length. Otherwise `bound` is money. `proof` says how far down the list of aims the
    plan is proved to be best: cost, bought length, number of boards, longest single offcut.
    """

    wood: str
    boards: tuple[CutBoard, ...]
    unplaced: tuple[Unplaced, ...]
    cost: Decimal | None
    cost_bound: Decimal | None
    bought: Length
    bought_bound: Length
    proof: Proof
    notes: tuple[str, ...] = ()
    exhausted: bool = False
    """There is nothing more to try, though something may remain unproved."""

    @property
    def bound(self) -> Decimal | Length:
        """A proved lower bound of the cost of any plan or, when no prices are known, of the length bought."""
        return self.bought_bound if self.cost_bound is None else self.cost_bound

    @property
    def proved(self) -> bool:
        """No plan costs less (or, without prices, buys less)."""
        return self.proof.length if self.cost is None else self.proof.price

    @property
    def used(self) -> Length:
        """The total length of the boards that are cut, including rack boards."""
        return sum((board.length for board in self.boards), ZERO)

    @property
    def in_blanks(self) -> Length:
        """The length that goes into blanks."""
        return sum((board.in_blanks for board in self.boards), ZERO)

    @property
    def waste(self) -> Length:
        """The part of `used` that doesn't go into blanks: trim, kerfs, defects and offcuts."""
        return self.used - self.in_blanks

    @property
    def above_bound(self) -> Fraction:
        """How far the plan may be above the least possible, as a fraction of the bound; zero when proved."""
        if self.proved:
            return Fraction(0)
        if self.cost is None or self.cost_bound is None:
            have, least = self.bought.mm, self.bought_bound.mm
        else:
            have, least = Fraction(self.cost), Fraction(self.cost_bound)
        return have / least - 1 if least else Fraction(1)

    @property
    def proof_words(self) -> str:
        """What is proved, in words: `lowest cost possible (proved)` or `within 0.6 % of the least possible`."""
        if self.proved:
            return (
                say("lowest length bought possible (proved)")
                if self.cost is None
                else say("lowest cost possible (proved)")
            )
        if not (self.bought_bound if self.cost_bound is None else self.cost_bound):
            return say("nothing proved yet")
        tenths = -(-self.above_bound * 1000 // 1)
        return say("within {tenths:g} % of the least possible", tenths=float(tenths / 10))


class BoardPlan(Struct, frozen=True, kw_only=True):
    """The boards of a whole build. `cost` is that of the woods with known prices; `unpriced` names the others."""

    woods: tuple[WoodPlan, ...]

    @property
    def cost(self) -> Decimal:
        return sum((wood.cost for wood in self.woods if wood.cost is not None), Decimal(0))

    @property
    def unpriced(self) -> tuple[str, ...]:
        return tuple(wood.wood for wood in self.woods if wood.cost is None)

    @property
    def proved(self) -> bool:
        return all(wood.proved for wood in self.woods)

    @property
    def settled(self) -> bool:
        """Every aim of every wood is proved, or everything was tried: searching longer changes nothing."""
        return all(wood.exhausted or wood.proof == Proof(True, True, True, True) for wood in self.woods)

    @property
    def unplaced(self) -> tuple[Unplaced, ...]:
        return tuple(piece for wood in self.woods for piece in wood.unplaced)
