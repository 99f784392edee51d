"""The cuts of one board at the saw, in the order of work.

The board is cut from its end A on, the shortest piece of a stretch first (the plan lays them so). Every cut then leaves
the longest board in the hand that any order leaves: what is held after n cuts is the board less n pieces, and the
shortest n take the least. At each cut the longer side of the blade is held, the shorter falls off; where even the
longer side is shorter than a foot it is clamped, not held (common practice, no source: hands stay 6 in, 150 mm, from
the blade, and a hand needs as much again). The saw's own manual takes precedence over this rule.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import EdgeName
from tracker.measure import Angle, Length, inches, millimetres
from tracker.measure.length import ZERO
from tracker.plan.boards.plan import CutBoard, PlacedPiece
from tracker.plan.joints import times
from tracker.plan.trig import cosine, tangent

SHORTEST_HELD = inches(12)
"""What is shorter than this is clamped at the saw, never held by hand."""

ROUNDING = millimetres(Fraction(1, 100))
"""By which a slanted end may miss its mark: its place is worked out with a tangent."""

Off = Literal["end", "defect", "piece", "section"]


class Crosscut(Struct, frozen=True, kw_only=True):
    """One cut across the board.

    The mark is `at` from end A of the board as it is then; the blade cuts on the mark's `blade` side, so that the kept
    edge lies on the mark. `place` is the same mark from end A of the whole board, for the drawing. Toward end A comes
    away `off`, of length `off_length`: the board's rough end, a defect (with whatever is between), or `piece`; `stays`
    is what there is of the board beyond the cut, rough end and all. `hold` says which side is held, and `clamp` that it
    is too short for a hand.

    Of a board that is ripped a `section` comes away, with the pieces that `lanes_of` it says.

    A cut at a `miter` makes an end of a piece that shares cuts: the mark is its tip, on the board's `edge`, and `at` is
    measured along that edge. To the other edge the cut runs over the piece: toward end A with the blade on the mark's B
    side, else toward end B.
    """

    number: int
    at: Length
    place: Length
    blade: Literal["A", "B"]
    off: Off
    piece: PlacedPiece | None
    off_length: Length
    stays: Length
    hold: Literal["board", "piece"]
    clamp: bool
    miter: Angle = 0.0
    edge: EdgeName | None = None
    section: tuple[PlacedPiece, ...] = ()


class Lane(Struct, frozen=True, kw_only=True):
    """A strip of a section: the fence of the table saw is set to `width`, and then the pieces are cut to length.

    `at` is where each piece's mark is, from the section's end A; the blade cuts on the mark's B side. A piece that ends
    where the section ends needs no cut, and a piece narrower than its lane is ripped once more.
    """

    number: int
    across: Length
    width: Length
    pieces: tuple[PlacedPiece, ...]
    at: tuple[Length, ...]


def ripped_to(board: CutBoard, cut: Crosscut) -> Length | None:
    """To what width a piece that falls off by itself is ripped; None where it has the board's whole width."""
    piece = cut.piece
    if piece is None or piece.width is None or not (piece.left.square and piece.right.square):
        return None
    return piece.width if piece.width < board.width else None


def edge_off(board: CutBoard, piece: PlacedPiece, kerf: Length) -> Length | None:
    """How much of the near edge is ripped off before anything else beside this piece: a defect. One at the far edge
    stays on what is left over."""
    near = next((each.near for each in board.stretches if each.start <= piece.at < each.end), ZERO)
    return near - kerf if near else None


def lanes_of(section: Sequence[PlacedPiece]) -> tuple[Lane, ...]:
    """The lanes of a section, from the near edge on."""
    begins = min(piece.at for piece in section)
    lanes: list[Lane] = []
    for across in sorted({piece.across for piece in section}):
        mine = sorted((piece for piece in section if piece.across == across), key=lambda piece: piece.at)
        width = max(piece.width or ZERO for piece in mine)
        marks = tuple(piece.end - begins for piece in mine)
        lanes.append(Lane(number=len(lanes) + 1, across=across, width=width, pieces=tuple(mine), at=marks))
    return tuple(lanes)


def _sections(pieces: Sequence[PlacedPiece], kerf: Length) -> list[PlacedPiece]:
    """Pieces side by side become one, as long as they are together: one crosscut sets them free."""
    groups: list[list[PlacedPiece]] = []
    end = ZERO
    for piece in sorted(pieces, key=lambda piece: piece.at):
        if groups and piece.at < end + kerf and piece.left.square and groups[-1][-1].right.square:
            groups[-1].append(piece)
        else:
            groups.append([piece])
        end = max(end, piece.end)
    return [
        group[0] if len(group) == 1 else replace(group[0], length=max(piece.end for piece in group) - group[0].at)
        for group in groups
    ]


def cuts_of(board: CutBoard, kerf: Length) -> tuple[Crosscut, ...]:
    """The cuts in order. A piece that ends where the board ends needs none: it is what stays at the last cut."""
    cuts: list[Crosscut] = []
    ends = _Ends(board.begins, board.begins)
    for stretch in board.stretches:
        pieces = [piece for piece in board.blanks if stretch.start <= piece.at < stretch.end]
        for piece in _sections(pieces, kerf):
            if _to_be_squared(piece, ends):
                cuts.append(_beginning(board, piece, ends, len(cuts) + 1, kerf))
            if piece.end < board.length or not piece.right.square:
                cuts.append(_piece(board, piece, ends, len(cuts) + 1, kerf))
            ends = _after(piece, kerf)
    along = sorted(enumerate(board.blanks), key=lambda each: each[1].at)
    starts = [piece.at for _, piece in along]
    return tuple(_with_section(along, starts, cut) for cut in cuts)


def _with_section(along: list[tuple[int, PlacedPiece]], starts: list[Length], cut: Crosscut) -> Crosscut:
    """A cut that sets several pieces free says which, in the board's order. `along` are the board's pieces with their
    numbers, by their `starts`: a board may hold a thousand."""
    first = cut.piece
    if first is None or not first.left.square or not first.right.square:
        return cut
    near = along[bisect_left(starts, first.at) : bisect_right(starts, first.end)]
    inside = tuple(piece for _, piece in sorted(each for each in near if each[1].end <= first.end))
    return cut if len(inside) == 1 else replace(cut, off="section", piece=None, section=inside)


class _Ends(Struct, frozen=True):
    """Where the board begins on its near and on its far edge."""

    near: Length
    far: Length

    def on(self, edge: EdgeName) -> Length:
        return self.near if edge == "near" else self.far

    @property
    def square(self) -> bool:
        return self.near == self.far


def _back(piece: PlacedPiece, miter: Angle) -> Length:
    """How far the short edge of a mitred end stands back."""
    return times(piece.width, tangent(miter)) if piece.width and miter else ZERO


def _after(piece: PlacedPiece, kerf: Length) -> _Ends:
    """Where the board begins once this piece is off."""
    along = times(kerf, 1 / cosine(piece.right.miter))
    long, short = piece.end + along, piece.end - _back(piece, piece.right.miter) + along
    return _Ends(short, long) if piece.right.long == "far" else _Ends(long, short)


def _to_be_squared(piece: PlacedPiece, ends: _Ends) -> bool:
    """Whether the end of the board isn't yet the left end of this piece."""
    if piece.left.square:
        return not ends.square or piece.at > ends.near
    short = ends.far if piece.left.long == "near" else ends.near
    wanted = piece.at + _back(piece, piece.left.miter)
    return abs(ends.on(piece.left.long) - piece.at) > ROUNDING or abs(short - wanted) > ROUNDING


def _beginning(board: CutBoard, piece: PlacedPiece, ends: _Ends, number: int, kerf: Length) -> Crosscut:
    """The board's end, or a defect, is cut away: the mark is where the piece begins, the blade on its A side."""
    longer: EdgeName = "near" if ends.near < ends.far else "far"
    edge = longer if piece.left.square else piece.left.long
    at = piece.at - ends.on(edge)
    stays = board.length - piece.at
    rough = ends == _Ends(ZERO, ZERO) and piece.at < board.stretches[0].end
    return Crosscut(
        number=number, at=at, place=piece.at, blade="A", off="end" if rough else "defect", piece=None,
        off_length=max(at - kerf, ZERO), stays=stays, hold="board", clamp=stays < SHORTEST_HELD,
        miter=piece.left.miter, edge=None if piece.left.square and ends.square else edge,
    )  # fmt: skip


def _piece(board: CutBoard, piece: PlacedPiece, ends: _Ends, number: int, kerf: Length) -> Crosscut:
    edge: EdgeName = piece.right.long
    start = piece.at + (ZERO if piece.left.long == edge else _back(piece, piece.left.miter))
    stays = max(board.length - piece.end - kerf, ZERO)
    longer = max(stays, piece.length)
    return Crosscut(
        number=number, at=piece.end - start, place=piece.end, blade="B", off="piece", piece=piece,
        off_length=piece.length, stays=stays, hold="board" if stays > piece.length else "piece",
        clamp=longer < SHORTEST_HELD, miter=piece.right.miter, edge=None if piece.right.square else edge,
    )  # fmt: skip


def held(cuts: tuple[Crosscut, ...]) -> Iterator[Length]:
    """What is held, cut by cut."""
    for cut in cuts:
        yield cut.stays if cut.hold == "board" else cut.off_length
