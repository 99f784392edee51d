"""The cuts of one board at the saw, in the order of work.

The board is cut from its end A, the shortest piece of a stretch first (the plan lays them so). This order leaves the
longest possible board in the hand at every cut: what is held after n cuts is the board less n pieces, and the shortest
n take the least. At each cut the longer side of the blade is held and the shorter one falls off. Where even the longer
side is shorter than a foot it is clamped, not held (common practice, no source: hands stay 6 in, 150 mm, from the
blade, and a hand needs as much again). The saw's manual takes precedence over this rule.
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
from tracker.plan.trig import cosine, tangent, times

SHORTEST_HELD = inches(12)
"""A piece shorter than this is clamped at the saw, never held by hand."""

ROUNDING = millimetres(Fraction(1, 100))
"""How far a slanted end may be off its mark, because its position is computed with a tangent."""

Off = Literal["end", "defect", "piece", "section"]


class Crosscut(Struct, frozen=True, kw_only=True):
    """One cut across the board.

    The mark is `at` from end A of the board as it is at that moment. The blade cuts on the mark's `blade` side, so that
    the kept edge is on the mark. `place` is the same mark from end A of the whole board, for the drawing. `off` comes
    off toward end A, `off_length` long: the board's rough end, a defect (with anything between), or `piece`. `stays` is
    the length of board beyond the cut, including its rough end. `hold` says which side is held; `clamp` means that it
    is too short to hold by hand.

    From a board that is ripped a `section` comes off, with the pieces listed by `lanes_of`.

    A cut at a `miter` makes an end of a piece that shares cuts: the mark is its tip, on the board's `edge`, and `at` is
    measured along that edge. Toward the other edge the cut runs across the piece: toward end A if the blade is on the
    mark's B side, and otherwise toward end B.
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
    miter: Angle
    edge: EdgeName | None = None
    section: tuple[PlacedPiece, ...] = ()


class Lane(Struct, frozen=True, kw_only=True):
    """A strip of a section: the fence of the table saw is set to `width`, and then the pieces are cut to length.

    `at` holds each piece's mark, from the section's end A; the blade cuts on the mark's B side. A piece that ends where
    the section ends needs no cut, and a piece narrower than its lane is ripped once more.
    """

    number: int
    across: Length
    width: Length
    pieces: tuple[PlacedPiece, ...]
    at: tuple[Length, ...]


def ripped_to(board: CutBoard, cut: Crosscut) -> Length | None:
    """The width to which a piece that comes off by itself is ripped; None where it has the board's whole width."""
    piece = cut.piece
    if piece is None or piece.width is None or not (piece.left.square and piece.right.square):
        return None
    return piece.width if piece.width < board.width else None


def edge_off(board: CutBoard, piece: PlacedPiece, kerf: Length) -> Length | None:
    """How much of the near edge is ripped off beside this piece before anything else: a defect. A defect at the far
    edge stays on the offcut."""
    near = next((each.near for each in board.stretches if each.start <= piece.at < each.end), ZERO)
    return near - kerf if near else None


def lanes_of(section: Sequence[PlacedPiece]) -> tuple[Lane, ...]:
    """The lanes of a section, starting at the near edge."""
    begins = min(piece.at for piece in section)
    lanes: list[Lane] = []
    for across in sorted({piece.across for piece in section}):
        mine = sorted((piece for piece in section if piece.across == across), key=lambda piece: piece.at)
        width = max(piece.width or ZERO for piece in mine)
        marks = tuple(piece.end - begins for piece in mine)
        lanes.append(Lane(number=len(lanes) + 1, across=across, width=width, pieces=tuple(mine), at=marks))
    return tuple(lanes)


def _sections(pieces: Sequence[PlacedPiece], kerf: Length) -> list[PlacedPiece]:
    """Group pieces that lie side by side into sections: one crosscut frees them all."""
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
    """The cuts in order. A piece that ends where the board ends needs none: it is what remains after the last cut."""
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
    """Add to a cut the pieces that it frees, in the board's order. `along` are the board's numbered pieces sorted by
    `starts`: a board may hold a thousand."""
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
    """How far the short edge of a mitred end is set back from the tip."""
    return times(piece.width, tangent(miter)) if piece.width and miter else ZERO


def _after(piece: PlacedPiece, kerf: Length) -> _Ends:
    """Where the board begins after this piece has been cut off."""
    along = times(kerf, 1 / cosine(piece.right.miter))
    long, short = piece.end + along, piece.end - _back(piece, piece.right.miter) + along
    return _Ends(short, long) if piece.right.long == "far" else _Ends(long, short)


def _to_be_squared(piece: PlacedPiece, ends: _Ends) -> bool:
    """Whether the end of the board still has to be cut to become the left end of this piece."""
    if piece.left.square:
        return not ends.square or piece.at > ends.near
    short = ends.far if piece.left.long == "near" else ends.near
    wanted = piece.at + _back(piece, piece.left.miter)
    return abs(ends.on(piece.left.long) - piece.at) > ROUNDING or abs(short - wanted) > ROUNDING


def _beginning(board: CutBoard, piece: PlacedPiece, ends: _Ends, number: int, kerf: Length) -> Crosscut:
    """The cut that removes the board's end or a defect: the mark is where the piece begins, the blade on its A side."""
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
    """The length that is held, cut by cut."""
    for cut in cuts:
        yield cut.stays if cut.hold == "board" else cut.off_length
