"""A board from above as a drawing for screen and paper: everything along it, in millimetres of wood."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from itertools import pairwise
from math import radians, tan
from typing import Literal

from msgspec import Struct

from tracker.design.model import EndCut
from tracker.floor.boards import key_of
from tracker.measure import Length, Units
from tracker.measure.length import ZERO
from tracker.plan.boards import CutBoard, Offcut, PlacedPiece
from tracker.words import say

SpanKind = Literal["piece", "offcut", "waste", "spoiled"]
SpanState = Literal["there", "next", "gone"]


class BarSpan(Struct, frozen=True, kw_only=True):
    """One stretch along the board, from `start` to `end` (mm from end A).

    `waste` is cut away: the end trims and the defects. `spoiled` was cut and is scrap. `words` are the texts to write
    in it if there is room, the most informative first; `number` is for where there is none: the piece's number with its
    hand.
    """

    kind: SpanKind
    start: float
    end: float
    state: SpanState = "there"
    number: str = ""
    words: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 1.0
    """Its range across the board: 0 is the near edge, 1 the far one."""
    left: tuple[float, float] = (0.0, 0.0)
    right: tuple[float, float] = (0.0, 0.0)
    """How far its near and its far corner are set back from `start` and from `end`, where it is cut at a mitre."""

    @property
    def outline(self) -> tuple[tuple[float, float], ...]:
        """Corners as (along in mm, across from 0 to 1): near left, near right, far right, far left."""
        return (
            (self.start + self.left[0], self.low),
            (self.end - self.right[0], self.low),
            (self.end - self.right[1], self.high),
            (self.start + self.left[1], self.high),
        )


class BoardBar(Struct, frozen=True, kw_only=True):
    """The board as it was before the first cut, end A on the left. `cut` is the position of the next cut, from end
    A."""

    length: float
    width: float
    spans: tuple[BarSpan, ...]
    cut: float | None = None
    cut_from: float = 0.0
    """Where the tape is hooked for the next cut."""
    cut_words: str = ""
    kerf: float = 0.0
    """The kerf beyond the cut, away from end A."""
    units: Units = "in"
    """The marks of the tape that is laid along it."""


def bar_of(
    board: CutBoard,
    width: Length,
    name_of: Callable[[str], str],
    read: Callable[[Length], str],
    *,
    gone: Collection[str] = (),
    coming: str = "",
    hand_of: Callable[[str], str | None] = lambda key: None,
) -> BoardBar:
    """The drawing of a board. `gone` are the items already cut from it, `coming` is the one that is cut off next;
    `hand_of` returns the hand of a piece by its key."""
    pieces = list(_pieces(board, width, name_of, read, gone, coming, hand_of))
    offcuts = [offcut_span(offcut, (say("offcut"), read(offcut.length))) for offcut in board.offcuts]
    return BoardBar(
        length=float(board.length),
        width=float(width),
        spans=tuple(sorted([*pieces, *offcuts, *_waste(board)], key=_at)),
    )


def offcut_span(offcut: Offcut, words: tuple[str, ...], state: SpanState = "there") -> BarSpan:
    """A span for what is left of a board."""
    start, end = float(offcut.at), float(offcut.at + offcut.length)
    return BarSpan(kind="offcut", start=start, end=end, state=state, words=words)


def _at(span: BarSpan) -> float:
    return span.start


def _pieces(
    board: CutBoard,
    width: Length,
    name_of: Callable[[str], str],
    read: Callable[[Length], str],
    gone: Collection[str],
    coming: str,
    hand_of: Callable[[str], str | None],
) -> Iterator[BarSpan]:
    for piece in board.blanks:
        more = board.same_blank(piece)[1:]
        hand = hand_of(key_of(piece)) or ""
        yield BarSpan(
            kind="piece",
            start=float(piece.at),
            end=float(piece.end),
            state="gone" if key_of(piece) in gone else "next" if key_of(piece) == coming else "there",
            number=f"{'+'.join(map(str, (piece.piece, *more)))}{hand[:1].upper()}",
            words=(
                " + ".join((name_of(key_of(piece)), *map(str, more))),
                read(piece.length),
                *((say("left hand") if hand == "left" else say("right hand"),) if hand and not more else ()),
            ),
            low=float(piece.across.mm / width.mm),
            high=min(1.0, float((piece.across.mm + (piece.width or width).mm) / width.mm)),
            left=_back(piece, piece.left, width),
            right=_back(piece, piece.right, width),
        )


def _back(piece: PlacedPiece, cut: EndCut, width: Length) -> tuple[float, float]:
    """How far the near and the far corner of an end are set back from its tip."""
    short = float(piece.width or width) * tan(radians(cut.miter))
    return (short, 0.0) if cut.long == "far" else (0.0, short)


def _waste(board: CutBoard) -> Iterator[BarSpan]:
    """The trims at both ends, and what lies between two clear stretches."""
    if not board.stretches:
        yield BarSpan(kind="waste", start=0.0, end=float(board.length))
        return
    for stretch in board.stretches:
        wide = board.width.mm or 1
        low, high = stretch.near.mm / wide, (stretch.near + (stretch.width or board.width)).mm / wide
        along = float(stretch.start), float(stretch.end)
        if stretch.near:
            yield BarSpan(kind="waste", start=along[0], end=along[1], high=float(low))
        if stretch.width and high < 1:
            yield BarSpan(kind="waste", start=along[0], end=along[1], low=float(high))
    edges = [(ZERO, board.stretches[0].start), (board.stretches[-1].end, board.length)]
    edges += [(one.end, other.start) for one, other in pairwise(board.stretches)]
    for start, end in edges:
        if end > start:
            what = say("defect") if start > ZERO and end < board.length else say("trim")
            yield BarSpan(kind="waste", start=float(start), end=float(end), words=(what,))
