"""The cuts of one board at the saw, in the order of work.

The board is cut from its end A on, the shortest piece of a stretch first (the plan lays them so). Every cut then leaves
the longest board in the hand that any order leaves: what is held after n cuts is the board less n pieces, and the
shortest n take the least. At each cut the longer side of the blade is held, the shorter falls off; where even the
longer side is shorter than a foot it is clamped, not held (common practice, no source: hands stay 6 in, 150 mm, from
the blade, and a hand needs as much again). The saw's own manual goes before this rule.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from tracker.measure import Length, inches
from tracker.measure.length import ZERO
from tracker.plan.boards.plan import CutBoard, PlacedPiece
from tracker.plan.boards.stretches import Stretch

SHORTEST_HELD = inches(12)
"""What is shorter than this is clamped at the saw, never held by hand."""

Off = Literal["end", "defect", "piece", "rest"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Crosscut:
    """One cut across the board.

    The mark is `at` from end A of the board as it is then; the blade cuts on the mark's `blade` side, so that the kept
    edge lies on the mark. `place` is the same mark from end A of the whole board, for the drawing. Toward end A comes
    away `off`, of length `off_length`: the board's rough end, a defect (with whatever is between), or `piece`; `stays`
    is what there is of the board beyond the cut, rough end and all. `hold` says which side is held, and `clamp` that it
    is too short for a hand.
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


def cuts_of(board: CutBoard, kerf: Length) -> tuple[Crosscut, ...]:
    """The cuts in order. A piece that ends where the board ends needs none: it is what stays at the last cut."""
    cuts: list[Crosscut] = []
    end_a = board.begins
    for stretch in board.stretches:
        pieces = [piece for piece in board.pieces if stretch.start <= piece.at < stretch.end]
        if not pieces:
            continue
        if stretch.start > end_a:
            cuts.append(_squared(board, stretch, end_a, len(cuts) + 1, kerf))
            end_a = stretch.start
        for piece in pieces:
            if piece.end < board.length:
                cuts.append(_piece(board, piece, end_a, len(cuts) + 1, kerf))
            end_a = piece.end + kerf
    return tuple(cuts)


def _squared(board: CutBoard, stretch: Stretch, end_a: Length, number: int, kerf: Length) -> Crosscut:
    """The board's end, or a defect, is cut away: the mark is where clear wood begins, the blade on its A side."""
    off = max(stretch.start - end_a - kerf, ZERO)
    stays = board.length - stretch.start
    return Crosscut(
        number=number, at=stretch.start - end_a, place=stretch.start, blade="A",
        off="end" if end_a == ZERO and stretch == board.stretches[0] else "defect",
        piece=None, off_length=off, stays=stays, hold="board", clamp=stays < SHORTEST_HELD,
    )  # fmt: skip


def _piece(board: CutBoard, piece: PlacedPiece, end_a: Length, number: int, kerf: Length) -> Crosscut:
    stays = max(board.length - piece.end - kerf, ZERO)
    longer = max(stays, piece.length)
    return Crosscut(
        number=number, at=piece.end - end_a, place=piece.end, blade="B", off="piece", piece=piece,
        off_length=piece.length, stays=stays, hold="board" if stays > piece.length else "piece",
        clamp=longer < SHORTEST_HELD,
    )  # fmt: skip


def held(cuts: tuple[Crosscut, ...]) -> Iterator[Length]:
    """What is held, cut by cut."""
    for cut in cuts:
        yield cut.stays if cut.hold == "board" else cut.off_length
