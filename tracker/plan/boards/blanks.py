"""From the cut list to runs: how much of its board each piece takes, what must stay together, and what can't be cut."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import lru_cache

from msgspec import Struct

from tracker.design.copies import sequence_of
from tracker.design.model import Build, EndCut, Hand, Part, Wood
from tracker.design.one_blank import joined_length, needs_thickness, one_blank
from tracker.measure import Length, read_length
from tracker.measure.length import ZERO
from tracker.plan.boards.plan import SQUARE, PieceId, Unplaced
from tracker.plan.geometry import solid
from tracker.words import say


class Blank(Struct, frozen=True):
    """One piece of a part, and the length and width of board it takes; `others` are pieces that are still one blank
    with it."""

    part: str
    piece: int
    length: Length
    across: Length = ZERO
    others: tuple[int, ...] = ()

    @property
    def id(self) -> PieceId:
        return self.part, self.piece


class Laid(Struct, frozen=True):
    """A blank within its run: its distance from the run's beginning. For the other fields see `plan.PlacedPiece`."""

    blank: Blank
    at: Length
    across: Length = ZERO
    width: Length | None = None
    length: Length | None = None  # along the board, where it isn't the blank's length: on a sheet without grain
    turned: bool = False
    over: bool = False
    left: EndCut = SQUARE
    right: EndCut = SQUARE


class Batch(Struct, frozen=True):
    """Blanks that lie together in one clear stretch, `length` long in all; `sequence` is the name of their sequence, if
    any."""

    laid: tuple[Laid, ...]
    length: Length
    sequence: str = ""

    @classmethod
    def of(cls, blanks: Sequence[Blank], kerf: Length, sequence: str = "") -> Batch:
        """Blanks side by side in this order, a kerf between neighbours."""
        laid, at = [], ZERO
        for blank in blanks:
            laid.append(Laid(blank, at))
            at = at + blank.length + kerf
        return cls(tuple(laid), at - kerf, sequence)

    @property
    def blanks(self) -> tuple[Blank, ...]:
        return tuple(each.blank for each in self.laid)


class Demand(Struct, frozen=True):
    """What one wood has to supply: runs in the order of the file, pieces that can't be cut from it, and notes in
    words."""

    runs: tuple[Batch, ...]
    unplaced: tuple[Unplaced, ...]
    notes: tuple[str, ...]


def demand_of(build: Build, wood: Wood, done: Collection[PieceId] = ()) -> Demand:
    """The runs of one wood except the blanks that are `done`: sequences first, then single blanks, in the order of the
    file."""
    single: list[Batch] = []
    together: dict[str, list[Blank]] = {}
    unplaced: list[Unplaced] = []
    notes: list[str] = []
    for part in build.parts:
        if part.wood != wood.id:
            continue
        for piece in range(1, part.quantity + 1):
            whole = [each for each in one_blank(part, wood, piece) if (part.id, each) not in done]
            if not whole or whole[0] != piece:
                continue
            takes = _takes(part, part.hand(piece), wood.width)
            why = takes if isinstance(takes, str) else _too_big(build, wood, part, takes)
            if isinstance(takes, str) or why:
                unplaced += [Unplaced(part=part.id, piece=each, why=why) for each in whole]
                continue
            along = joined_length(part, wood, build.shop.kerf, takes.along, len(whole))
            blank = Blank(part.id, piece, along, takes.across + _off_edges(wood), tuple(whole[1:]))
            if part.sequence:
                together.setdefault(sequence_of(part, piece), []).append(blank)
            else:
                single.append(Batch.of((blank,), build.shop.kerf))
            if piece == 1 and takes.across < wood.width and not wood.ripped:
                notes.append(_narrower(build, wood, part, takes.across))
    runs = [*(Batch.of(blanks, build.shop.kerf, name) for name, blanks in together.items()), *single]
    return Demand(tuple(runs), tuple(unplaced), tuple(notes))


class _Takes(Struct, frozen=True):
    along: Length
    across: Length


@lru_cache(maxsize=2048)
def _takes(part: Part, hand: Hand | None, width: Length) -> _Takes | str:
    """How much the piece takes of a board of this width, or why it has no size. Cached, because its solid is slow to
    compute.

    A piece whose length lies across the board gets as much of its allowance there as the board has room for.
    """
    try:
        shape = solid(part, hand)
    except ValueError as wrong:
        return str(wrong)
    across = shape.across_board
    if part.grain == "across" and shape.edges.overall <= width:
        across = min(across, width)
    return _Takes(shape.along_board, across)


def _too_big(build: Build, wood: Wood, part: Part, takes: _Takes) -> str:
    """Why the piece can't be cut from this wood; empty if it can."""
    if takes.across + _off_edges(wood) > wood.width:
        what = say("long, its grain across the board") if part.grain == "across" else say("wide")
        return say(
            "{width} {what}, and {wood} is {wood_width} wide",
            width=as_read(build, takes.across),
            what=what,
            wood=wood.id,
            wood_width=as_read(build, wood.width),
        )
    thick = needs_thickness(part)
    if thick > wood.thickness:
        return say(
            "{thickness} thick, and {wood} is {wood_thickness} thick",
            thickness=as_read(build, thick),
            wood=wood.id,
            wood_thickness=as_read(build, wood.thickness),
        )
    return ""


def _off_edges(wood: Wood) -> Length:
    """What jointing and ripping to width take off the edges of a piece of rough wood."""
    return wood.mill.edge if wood.mill else ZERO


def _narrower(build: Build, wood: Wood, part: Part, across: Length) -> str:
    return say(
        (
            "{part}: {width} of a board {board_width} wide; the plan counts the whole width, so the strip beside "
            "it is yours"
        ),
        part=part.name,
        width=as_read(build, across),
        board_width=as_read(build, wood.width),
    )


def as_read(build: Build, length: Length) -> str:
    """A length as this shop's tape shows it."""
    return read_length(length, build.shop.mark).text
