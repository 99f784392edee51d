"""What is left of the boards in hand: those bought and partly cut, the rack, and the offcuts put there.

A position on a board is always measured from end A of the whole board, as it was when it was bought or named, however
much has been cut off since: so the plan, the log and the board's drawing mean the same positions.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, EdgeDefect, EndCut, RackBoard, Wood
from tracker.measure import Length
from tracker.measure.length import ZERO
from tracker.plan.boards.plan import SQUARE, BoardPlan, CutBoard, PieceId, PlacedPiece
from tracker.plan.clear_board_lengths import Stretch, clear_stretches

Source = Literal["dealer", "rack", "in hand"]
HAIR = Length(Fraction(1, 40))
"""Lengths that differ by less are equal: the log stores whole steps of 1/320 mm."""


class Place(Struct, frozen=True, kw_only=True):
    """Where a piece lies or lay: the key of its board, and the length it takes there from `at`.

    The fields for how it lies are those of `plan.PlacedPiece`.
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
        """The piece placed here."""
        return PlacedPiece(
            part=piece[0], piece=piece[1], at=self.at, length=self.length, across=self.across, width=self.width,
            turned=self.turned, over=self.over, left=self.left, right=self.right,
        )  # fmt: skip

    @property
    def end(self) -> Length:
        return self.at + self.length


class BoardLeft(Struct, frozen=True, kw_only=True):
    """A board in hand, or a length that the dealer sells; and the clear stretches that can still be cut from it, in
    order from its end A.

    `key` is `rack/A3` or `cedar/2`; it is empty for a board at the dealer's. `name` is chalked on its end, `length` is
    that of the whole board, and `begins` is where its end A is now. `price` is the dealer's; None where none is known,
    and for a board in hand, which costs nothing more.
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
    """The usable width; zero: the full width of its wood."""
    thickness: Length | None = None
    """The thickness of this board, where it was measured."""
    others: tuple[BoardLeft, ...] = ()
    """The same board cleared of its edge defects in other ways. One way is chosen; this one is preferred."""
    freely: tuple[Stretch, ...] = ()
    """Where there are `others`: the stretches it would have if its edges were clear. No way of cutting it gives
    more."""

    @property
    def clear(self) -> Length:
        """The total clear length left."""
        return sum((stretch.length for stretch in self.stretches), ZERO)

    def without(self, gone: Iterable[Place], kerf: Length) -> BoardLeft:
        """The same board with these places cut out of it, each with a kerf on both sides. Places on other boards are
        ignored.

        The places are those of pieces, including spoiled ones, and of offcuts that went to the rack under their own
        names.
        """
        mine = sorted((place for place in gone if place.board == self.key), key=lambda place: place.at)
        stretches, freely, begins = list(self.stretches), list(self.freely), self.begins
        for place in mine:
            stretches = [rest for stretch in stretches for rest in _around(stretch, place, kerf)]
            freely = [rest for stretch in freely for rest in _around(stretch, place, kerf)]
            if not any(stretch.start < place.at for stretch in stretches):
                begins = max(begins, min(place.end + kerf, self.length))
        others = tuple(other.without(mine, kerf) for other in self.others)
        return replace(self, stretches=tuple(stretches), begins=begins, others=others, freely=tuple(freely))

    def as_laid(self, pieces: Iterable[PlacedPiece]) -> BoardLeft:
        """The board cleared in the way in which these pieces lie on it, if there are any."""
        lying = tuple(pieces)
        if not lying or not self.others:
            return self
        ways = (way for way in (self, *self.others) if all(way.has_room(piece) for piece in lying))
        return replace(next(ways, self), others=(), freely=())

    def has_room(self, piece: PlacedPiece) -> bool:
        """Whether a piece lies within one clear stretch, up to the rounding of the log."""
        far = piece.across + piece.width if piece.width else ZERO
        return any(
            stretch.start <= piece.at + HAIR
            and piece.end <= stretch.end + HAIR
            and stretch.near <= piece.across + HAIR
            and (stretch.width is None or far <= stretch.near + stretch.width + HAIR)
            for stretch in self.stretches
        )


def _around(stretch: Stretch, place: Place, kerf: Length) -> tuple[Stretch, ...]:
    first, last = place.at - kerf, place.end + kerf
    if last <= stretch.start or stretch.end <= first:
        return (stretch,)
    rests = (replace(stretch, end=first), replace(stretch, start=last))
    return tuple(rest for rest in rests if rest.end > rest.start)


def bought_board(build: Build, wood: Wood, key: str, length: Length) -> BoardLeft:
    """A whole bought board of `wood`: clear between its end trims."""
    stretches = clear_stretches(length, build.shop.end_trim, (), build.shop.kerf)
    return BoardLeft(key=key, wood=wood.id, source="in hand", name=name_of(key), length=length, stretches=stretches)


def rack_board(build: Build, board: RackBoard) -> BoardLeft:
    """A whole rack board: clear between its trims and its defects.

    For a wood of random widths a defect at an edge is either cut out across the board or ripped off its whole length,
    whichever leaves more; or, if the planner chooses so, only its own stretch is ripped, with pieces laid beside it.
    For a wood of one width the defect is cut out, and a narrower board has no room for any piece.
    """
    wood, kerf = build.wood(board.wood), build.shop.kerf
    usual = wood.mill.ends if wood.mill else build.shop.end_trim
    trim = usual if board.end_trim is None else board.end_trim
    wide = board.width or wood.width
    across = [*board.defects, *((each.start, each.end) for each in board.edge_defects)]
    clear = clear_stretches(board.length, trim, across, kerf)
    if wood.by_volume is None:
        return _of_rack(board, clear if wide >= wood.width else (), wide)
    freely = clear_stretches(board.length, trim, board.defects, kerf)
    if not board.edge_defects:
        return _of_rack(board, freely, wide)
    ripped = tuple(_beside(stretch, board.edge_defects, wide, kerf) for stretch in freely)
    around = tuple(_around_defects(freely, board.edge_defects, wide, kerf))
    plain = sorted((clear, ripped), key=lambda way: -_area(way, wide))
    best, *others = (_of_rack(board, tuple(s for s in way if s.width != ZERO), wide) for way in (*plain, around))
    return replace(best, others=tuple(others), freely=freely)


def _beside(stretch: Stretch, defects: Iterable[EdgeDefect], wide: Length, kerf: Length) -> Stretch:
    """A stretch with all of these defects ripped off along its whole length, with a kerf beside each."""
    near, far = (
        max((each.deep + kerf for each in defects if each.edge == edge), default=ZERO) for edge in ("near", "far")
    )
    return replace(stretch, near=near, width=max(wide - near - far, ZERO))


def _around_defects(
    stretches: Iterable[Stretch], defects: Sequence[EdgeDefect], wide: Length, kerf: Length
) -> Iterator[Stretch]:
    """Crosscut at both ends of each defect: the stretch beside it is narrow, those before and after it are wide."""
    for stretch in stretches:
        marks = sorted({place for each in defects for place in (each.start, each.end)}, key=float)
        inside = [place for place in marks if stretch.start < place < stretch.end]
        for start, end in pairwise((stretch.start, *inside, stretch.end)):
            begins = start if start == stretch.start else start + kerf
            here = [each for each in defects if each.start < end and each.end > start]
            if begins < end:
                yield _beside(Stretch(begins, end), here, wide, kerf) if here else Stretch(begins, end)


def _of_rack(board: RackBoard, stretches: tuple[Stretch, ...], width: Length) -> BoardLeft:
    return BoardLeft(
        key=f"rack/{board.name}", wood=board.wood, source="rack", name=board.name, length=board.length,
        stretches=stretches, width=width, thickness=board.thickness,
    )  # fmt: skip


def _area(stretches: Iterable[Stretch], width: Length) -> Fraction:
    return sum((stretch.length.mm * (stretch.width or width).mm for stretch in stretches), Fraction(0))


def racked_offcut(wood: Wood, name: str, length: Length) -> BoardLeft:
    """An offcut that went to the rack: both of its ends are fresh from the saw, so all of it is clear."""
    whole = Stretch(ZERO, length)
    return BoardLeft(key=f"rack/{name}", wood=wood.id, source="rack", name=name, length=length, stretches=(whole,))


def as_left(board: CutBoard) -> BoardLeft:
    """A planned board once it is in hand, before anything is cut from it."""
    return BoardLeft(
        key=board.key, wood=board.wood, source="rack" if board.source == "rack" else "in hand", name=board.name,
        length=board.length, stretches=board.stretches, begins=board.begins, width=board.width,
    )  # fmt: skip


def places(plan: BoardPlan) -> Mapping[PieceId, Place]:
    """The place of every piece of a plan."""
    return {
        piece.id: Place.of(board.key, piece) for wood in plan.woods for board in wood.boards for piece in board.pieces
    }


def name_of(key: str) -> str:
    """The name chalked on the end of the board with this key: `A3`, `cedar 2`."""
    first, _, last = key.partition("/")
    return last if first == "rack" else f"{first} {last}"
