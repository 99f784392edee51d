"""What is left of the boards in hand: the ones that were bought and partly cut, the rack, the offcuts put there.

A place on a board is always measured from end A of the whole board, as it was when it was bought or named, however
much of it has been cut off since: so the plan, the log and the board's drawing speak of the same places.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, EndCut, RackBoard, Wood
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan.boards.plan import SQUARE, BoardPlan, CutBoard, PieceId, PlacedPiece
from tracker.plan.stretches import Stretch, clear_stretches

Source = Literal["dealer", "rack", "in hand"]


class Place(Struct, frozen=True, kw_only=True):
    """Where a piece lies, or lay: its board by key, and what it takes of it from `at` on.

    How it lies is as in `plan.PlacedPiece`.
    """

    board: str
    at: Length
    length: Length
    across: Length = ZERO
    width: Length | None = None
    turned: bool = False
    over: bool = False
    left: EndCut = SQUARE
    right: EndCut = SQUARE

    @classmethod
    def of(cls, board: str, piece: PlacedPiece) -> Place:
        """The place of a piece on the board with this key."""
        return cls(
            board=board, at=piece.at, length=piece.length, across=piece.across, width=piece.width, turned=piece.turned,
            over=piece.over, left=piece.left, right=piece.right,
        )  # fmt: skip

    def placed(self, piece: PieceId) -> PlacedPiece:
        """The piece as it lies here."""
        return PlacedPiece(
            part=piece[0], piece=piece[1], at=self.at, length=self.length, across=self.across, width=self.width,
            turned=self.turned, over=self.over, left=self.left, right=self.right,
        )  # fmt: skip

    @property
    def end(self) -> Length:
        return self.at + self.length


class BoardLeft(Struct, frozen=True, kw_only=True):
    """A board that there is, or a length that the dealer sells, and the clear stretches that can still be cut from it,
    in order from its end A.

    `key` is `rack/A3` or `cedar/2`, empty at the dealer's; `name` is what is chalked on its end, `length` that of the
    whole board, `begins` where its end A is now. `price` is the dealer's, None where none is known and of a board that
    is in hand: it costs nothing more.
    """

    key: str
    wood: str
    source: Source
    name: str
    length: Length
    stretches: tuple[Stretch, ...]
    begins: Length = ZERO
    price: Decimal | None = None
    width: Length = ZERO
    """What can be used of its width; zero: all that its wood has."""
    thickness: Length | None = None
    """Of this board, where it was measured."""
    near: Length = ZERO
    """How far from its near edge that begins: what is ripped off there first is wane or a defect."""

    @property
    def clear(self) -> Length:
        """All that is left, together."""
        return sum((stretch.length for stretch in self.stretches), ZERO)

    def without(self, gone: Iterable[Place], kerf: Length) -> BoardLeft:
        """The same with these places cut out of it, each with a kerf on both sides; places on other boards don't count.

        Pieces, spoiled ones too, and offcuts that have gone to the rack under names of their own.
        """
        stretches, begins = list(self.stretches), self.begins
        for place in sorted((place for place in gone if place.board == self.key), key=lambda place: place.at):
            stretches = [rest for stretch in stretches for rest in _around(stretch, place, kerf)]
            if not any(stretch.start < place.at for stretch in stretches):
                begins = max(begins, min(place.end + kerf, self.length))
        return replace(self, stretches=tuple(stretches), begins=begins)


def _around(stretch: Stretch, place: Place, kerf: Length) -> tuple[Stretch, ...]:
    first, last = place.at - kerf, place.end + kerf
    if last <= stretch.start or stretch.end <= first:
        return (stretch,)
    rests = (Stretch(stretch.start, first), Stretch(last, stretch.end))
    return tuple(rest for rest in rests if rest.end > rest.start)


def bought_board(build: Build, wood: Wood, key: str, length: Length) -> BoardLeft:
    """A whole board of `wood` that has been bought: clear between its end trims."""
    stretches = clear_stretches(length, build.shop.end_trim, (), build.shop.kerf)
    return BoardLeft(key=key, wood=wood.id, source="in hand", name=name_of(key), length=length, stretches=stretches)


def rack_board(build: Build, board: RackBoard) -> BoardLeft:
    """A whole board of the rack: clear between its trims and its defects.

    Of a wood that is ripped, a defect at an edge is ripped off all along the board where that leaves more than cutting
    it away does.
    """
    wood = build.wood(board.wood)
    usual = wood.mill.ends if wood.mill else build.shop.end_trim
    trim = usual if board.end_trim is None else board.end_trim
    wide, kerf = board.width or wood.width, build.shop.kerf
    across = [*board.defects, *((each.start, each.end) for each in board.edge_defects)]
    cut_away = clear_stretches(board.length, trim, across, kerf)
    if not (board.edge_defects and wood.ripped):
        return _of_rack(board, cut_away, wide, ZERO)
    near, far = (
        max((each.deep + kerf for each in board.edge_defects if each.edge == edge), default=ZERO)
        for edge in ("near", "far")
    )
    ripped_off = clear_stretches(board.length, trim, board.defects, kerf)
    left = wide - near - far
    if left > ZERO and _area(ripped_off, left) > _area(cut_away, wide):
        return _of_rack(board, ripped_off, left, near)
    return _of_rack(board, cut_away, wide, ZERO)


def _of_rack(board: RackBoard, stretches: tuple[Stretch, ...], width: Length, near: Length) -> BoardLeft:
    return BoardLeft(
        key=f"rack/{board.name}", wood=board.wood, source="rack", name=board.name, length=board.length,
        stretches=stretches, width=width, near=near, thickness=board.thickness,
    )  # fmt: skip


def _area(stretches: Iterable[Stretch], width: Length) -> Fraction:
    return sum((stretch.length.mm for stretch in stretches), Fraction(0)) * width.mm


def racked_offcut(wood: Wood, name: str, length: Length) -> BoardLeft:
    """An offcut that went to the rack: both its ends are fresh from the saw, so all of it is clear."""
    whole = Stretch(ZERO, length)
    return BoardLeft(key=f"rack/{name}", wood=wood.id, source="rack", name=name, length=length, stretches=(whole,))


def as_left(board: CutBoard) -> BoardLeft:
    """A planned board once it is in hand, nothing cut from it yet."""
    return BoardLeft(
        key=board.key, wood=board.wood, source="rack" if board.source == "rack" else "in hand", name=board.name,
        length=board.length, stretches=board.stretches, begins=board.begins, width=board.width,
    )  # fmt: skip


def places(plan: BoardPlan) -> Mapping[PieceId, Place]:
    """Where every piece of a plan lies."""
    return {
        piece.id: Place.of(board.key, piece) for wood in plan.woods for board in wood.boards for piece in board.pieces
    }


def name_of(key: str) -> str:
    """What is chalked on the end of the board with this key: `A3`, `cedar 2`."""
    first, _, last = key.partition("/")
    return last if first == "rack" else f"{first} {last}"
