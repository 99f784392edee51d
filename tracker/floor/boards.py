"""Boards with their pieces: converting between the plan's boards and those stored in the log."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from math import ceil

from msgspec.structs import replace

from tracker.design.model import Build, Part, Wood
from tracker.design.one_blank import joined_length, one_blank
from tracker.floor.board_words import titled
from tracker.floor.rack import entered
from tracker.measure import Length
from tracker.measure.length import ZERO, of_grid
from tracker.plan import geometry
from tracker.plan.boards import BoardPlan, CutBoard, Offcut, PlacedPiece, Stretch, nesting
from tracker.plan.boards.remaining import HAIR, BoardLeft, bought_board, name_of, rack_board, racked_offcut
from tracker.work.facts import PlannedBoard, PlannedCut
from tracker.work.run import Run, item_key
from tracker.work.state.state import State


def laid_out(plan: BoardPlan) -> tuple[CutBoard, ...]:
    """All boards of a plan, in its order."""
    return tuple(board for wood in plan.woods for board in wood.boards)


def planned(boards: Iterable[CutBoard]) -> tuple[PlannedBoard, ...]:
    """Boards as the log stores them. A blank is rounded up, never down."""
    return tuple(
        PlannedBoard(
            key=board.key,
            wood=board.wood,
            source="rack" if board.source == "rack" else "dealer",
            length=board.length.grid_up(),
            pieces=tuple(
                PlannedCut(
                    item=key_of(piece),
                    at=piece.at.grid_down(),
                    length=piece.length.grid_up(),
                    across=piece.across.grid_down(),
                    width=piece.width.grid_up() if piece.width else 0,
                    turned=piece.turned,
                    over=piece.over,
                )
                for piece in board.pieces
            ),
        )
        for board in boards
    )


def key_of(piece: PlacedPiece) -> str:
    """The key of the item that a blank becomes."""
    return item_key(piece.part, piece.piece)


def followed(run: Run, state: State) -> tuple[CutBoard, ...]:
    """The boards of the current plan, whole, each with everything that is or was to be cut from it.

    A wood or a piece that a revised build file no longer has is left out.
    """
    woods = {wood.id for wood in run.build.woods}
    return tuple(_followed(run, state, board) for board in state.boards(run) if board.wood in woods)


def _followed(run: Run, state: State, board: PlannedBoard) -> CutBoard:
    build = run.build
    wood = build.wood(board.wood)
    whole = whole_board(run, state, board.key, wood, of_grid(board.length))
    known = tuple(cut for cut in board.pieces if cut.item in run.items)
    whole = whole.as_laid(_laid_again(build, (), known))
    pieces = tuple(_laid_again(build, whole.stretches, known))
    if build.shop.nest_miters and not wood.ripped:
        pieces = nesting.laid_again(build, pieces)
    return CutBoard(
        key=board.key,
        wood=board.wood,
        source=board.source,
        name=whole.name,
        length=whole.length,
        price=price_of(wood, whole.length) if board.source == "dealer" else None,
        stretches=whole.stretches,
        pieces=pieces,
        offcuts=tuple(offcuts_of(whole.stretches, pieces, build.shop.kerf)),
        width=whole.width or wood.width,
    )


def _laid_again(build: Build, stretches: tuple[Stretch, ...], cuts: Iterable[PlannedCut]) -> Iterator[PlacedPiece]:
    """The pieces at the plan's exact positions: the log's whole numbers are up to 1/320 mm off."""

    def placed(cut: PlannedCut) -> PlacedPiece:
        part_id, _, number = cut.item.rpartition(":")
        length = of_grid(cut.length)
        exact = (blank for blank in blanks_of(build, build.part(part_id), int(number)) if abs(blank - length) < HAIR)
        return PlacedPiece(
            part=part_id,
            piece=int(number),
            at=of_grid(cut.at),
            length=next(exact, length),
            across=of_grid(cut.across),
            width=of_grid(cut.width) if cut.width else None,
            turned=cut.turned,
            over=cut.over,
        )

    return snapped(map(placed, cuts), stretches, build.shop.kerf)


def snapped(pieces: Iterable[PlacedPiece], stretches: Iterable[Stretch], kerf: Length) -> Iterator[PlacedPiece]:
    """Snap pieces that begin within a hair of the start of a stretch, or of the kerf after the piece before."""
    follows = [stretch.start for stretch in stretches]
    for piece in pieces:
        at = min((place for place in follows if abs(place - piece.at) < HAIR), default=piece.at)
        follows.append(at + piece.length + kerf)
        yield replace(piece, at=at)


def blank_of(part: Part, number: int) -> Length:
    """The length of board that a piece takes: with the grain across, this is its width."""
    return geometry.solid(part, part.hand(number)).along_board


def blanks_of(build: Build, part: Part, number: int) -> tuple[Length, ...]:
    """The same where the piece may be one blank with others, the longest first: with all of them, down to the piece
    alone."""
    wood, along = build.wood(part.wood), blank_of(part, number)
    many = len(one_blank(part, wood, number))
    lengths = (joined_length(part, wood, build.shop.kerf, along, each) for each in range(many, 0, -1))
    return tuple(dict.fromkeys(lengths))


def whole_board(run: Run, state: State, key: str, wood: Wood, length: Length) -> BoardLeft:
    """A board as it was before the first cut: from the rack, an offcut that went there, or bought."""
    build = run.build
    known = run.boards.get(key) or entered(run, state).get(key)
    if known is not None:
        return rack_board(build, known)
    if key.startswith("rack/"):
        return racked_offcut(wood, name_of(key), length)
    return bought_board(build, wood, key, length)


def offcuts_of(stretches: Iterable[Stretch], pieces: tuple[PlacedPiece, ...], kerf: Length) -> Iterator[Offcut]:
    """What is left of each clear stretch beyond its last piece and that cut's kerf."""
    for stretch in stretches:
        ends = [piece.end + kerf for piece in pieces if stretch.start <= piece.at < stretch.end]
        at = max(ends, default=stretch.start)
        if at < stretch.end:
            yield Offcut(at=at, length=stretch.end - at)


def price_of(wood: Wood, length: Length) -> Decimal | None:
    """The dealer's price of a board; None where no price is known."""
    return dict(zip(wood.lengths, wood.prices, strict=True)).get(length) if wood.prices else None


def title_of(board: CutBoard) -> str:
    """A board's name in a sentence: see `titled`."""
    return titled(board.key, board.wood)


def in_blanks(boards: Iterable[CutBoard]) -> Length:
    """The length that goes into blanks; on a ripped board, in proportion to their width."""
    return sum((board.in_blanks for board in boards), ZERO)


def over_net(boards: Iterable[CutBoard]) -> int:
    """How much more than the net wood is used, in percent, rounded up; 0 where nothing is cut."""
    boards = tuple(boards)
    net, used = in_blanks(boards), sum((board.length for board in boards), ZERO)
    return ceil(100 * (used.mm / net.mm - 1)) if net else 0
