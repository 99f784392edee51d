"""The printed sheet for a build's boards: each to scale with its cuts in order, and the shopping list at the end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from tracker.cards.boards.bar import BoardBar, bar_of
from tracker.cards.boards.shopping import ShoppingCard, money, shopping_card, stock_size
from tracker.floor.board_words import names_of
from tracker.floor.boards import title_of
from tracker.measure import Length, read_length
from tracker.measure.tape_reading import read_angle
from tracker.plan.boards import CutBoard, PlacedPiece
from tracker.plan.boards.crosscuts import Crosscut, cuts_of, edge_off, lanes_of, ripped_to
from tracker.words import say
from tracker.words.sides import side
from tracker.work.run import Run, item_key


class SheetCut(Struct, frozen=True, kw_only=True):
    """One cut: the piece's number, the distance from end A as it is at that moment, and what comes off.

    `mark` is the same cut measured on the whole board, for marking out before the first cut.
    """

    number: str
    at: str
    falls: str
    mark: str


class SheetBoard(Struct, frozen=True, kw_only=True):
    """One board. `code` is the code of its label, for a rack board."""

    title: str
    said: str
    bar: BoardBar
    cuts: tuple[SheetCut, ...]
    code: str = ""


class BoardSheet(Struct, frozen=True, kw_only=True):
    """The whole sheet, in finished words. `notes` come before the boards: how the numbers are measured, what a
    plan can't know, and the caution for the saw."""

    title: str
    said: str
    boards: tuple[SheetBoard, ...]
    shopping: ShoppingCard
    notes: tuple[str, ...]


NOTES = (
    say(
        "Each number is measured from end A as it is after the cut before, and the blade cuts beyond the mark. "
        "In brackets: the same mark from end A of the whole board."
    ),
    say(
        "Offcuts and defects are never as planned: look at the board before you cut it. "
        "Guard on; follow the saw's manual; clamp what is too short to hold."
    ),
)


def board_sheet(run: Run, boards: Iterable[CutBoard], said: str) -> BoardSheet:
    """The sheet of these boards; `said` tells what is known about the plan."""
    laid = tuple(boards)
    return BoardSheet(
        title=say("{build}: boards", build=run.build.name),
        said=said,
        boards=tuple(_board(run, board) for board in laid if board.pieces),
        shopping=shopping_card(run.build, laid),
        notes=NOTES,
    )


def shopping_sheet(run: Run, boards: Iterable[CutBoard]) -> BoardSheet:
    """The shopping list on a sheet of its own, to take to the dealer."""
    card = shopping_card(run.build, boards)
    return BoardSheet(title=card.title, said=card.unknown, boards=(), shopping=card, notes=())


def _board(run: Run, board: CutBoard) -> SheetBoard:
    build = run.build
    wood = build.wood(board.wood)
    title = title_of(board)
    rack = board.key.startswith("rack/")
    length = _read(run, board.length) if rack else stock_size(build, wood, board.length)
    price = money(build, board.price) if board.price is not None else ""
    size = f"{_read(run, board.width or wood.width)} × {_read(run, wood.thickness)}"
    about = (f"{wood.species} {wood.section}".strip(), size, price or (say("from the rack") if rack else ""))
    return SheetBoard(
        title=f"{title[:1].upper()}{title[1:]}, {length}",
        said=", ".join(word for word in about if word),
        bar=bar_of(
            board,
            board.width or wood.width,
            lambda key: run.items[key].short,
            lambda length: _read(run, length),
            hand_of=lambda key: run.items[key].hand,
        ),
        cuts=tuple(_cuts(run, board)),
        code=run.codes.get(board.key, ""),
    )


def _cuts(run: Run, board: CutBoard) -> Iterator[SheetCut]:
    cuts = cuts_of(board, run.build.shop.kerf)
    for cut in cuts:
        number = str(cut.piece.piece) if cut.piece else ""
        mark = f"({_read(run, cut.place)})" if cut.at != cut.place else ""
        width = ripped_to(board, cut)
        off = edge_off(board, (cut.piece or cut.section[0]), run.build.shop.kerf) if cut.piece or cut.section else None
        edge = say(", {off} ripped off its near edge", off=_read(run, off)) if off else ""
        falls = (
            say("{falls}{edge}, ripped to {width}", falls=_falls(run, board, cut), edge=edge, width=_read(run, width))
            if width
            else f"{_falls(run, board, cut)}{edge}"
        )
        yield SheetCut(number=number, at=_read(run, cut.at), falls=falls, mark=mark)
        for lane in lanes_of(cut.section) if cut.section else ():
            for piece, at in zip(lane.pieces, lane.at, strict=True):
                again = (
                    say(", then to {width}", width=_read(run, piece.width))
                    if piece.width and piece.width < lane.width
                    else ""
                )
                falls = say(
                    "{name}, lane {number} ripped to {width}{again}",
                    name=_name(run, board, piece),
                    number=lane.number,
                    width=_read(run, lane.width),
                    again=again,
                )
                yield SheetCut(number=str(piece.piece), at=_read(run, at), falls=falls, mark="")
    cut_off = {piece.id for cut in cuts for piece in (cut.piece, *cut.section) if piece}
    for piece in board.blanks:
        if piece.id not in cut_off:
            name = _name(run, board, piece)
            yield SheetCut(
                number=str(piece.piece), at=say("no cut"), falls=say("{name} is what is left", name=name), mark=""
            )


def _name(run: Run, board: CutBoard, piece: PlacedPiece) -> str:
    return names_of(run, (item_key(piece.part, each) for each in board.same_blank(piece)))


def _falls(run: Run, board: CutBoard, cut: Crosscut) -> str:
    if cut.section:
        return say("section, to be ripped")
    at = say(", {miter}° from the {edge} edge", miter=read_angle(cut.miter), edge=side(cut.edge)) if cut.miter else ""
    if cut.piece:
        return (
            say("{name}{at}, clamped", name=_name(run, board, cut.piece), at=at)
            if cut.clamp
            else f"{_name(run, board, cut.piece)}{at}"
        )
    return (
        say("square end A{at}", at=at)
        if cut.off == "end" and (not at)
        else (say("cut end A{at}", at=at) if at else say("cut away the defect{at}", at=at))
    )


def _read(run: Run, length: Length) -> str:
    return read_length(length, run.build.shop.mark).text
