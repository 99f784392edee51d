"""The rack as a list, and one of its boards with everything that can be changed."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.boards.shopping import money
from tracker.cards.keypad.moisture import moisture_said
from tracker.cards.marks import Sign, Tone
from tracker.cards.piece.piece_options import to_grid
from tracker.cards.words import capital
from tracker.design.model import RackBoard, Wood
from tracker.floor.floor import Floor
from tracker.floor.rack import entered
from tracker.measure import Length
from tracker.measure.length import of_grid
from tracker.plan.boards.offcuts import free_names
from tracker.words import english, say, say_many
from tracker.words.sides import side
from tracker.work.board_of_piece import what_was_cut_from
from tracker.work.decide.intents import GiveBack, Rack
from tracker.work.facts import Defect

Size = Literal["length", "width", "thickness"]
SIZES: tuple[Size, ...] = (english("length"), english("width"), english("thickness"))


class RackRow(Struct, frozen=True, kw_only=True):
    """One board: its name and sizes, and its problems or notes."""

    key: str
    title: str
    said: str
    tone: Tone


class RackCard(Struct, frozen=True, kw_only=True):
    """Every board on hand, the latest entry first."""

    rows: tuple[RackRow, ...]
    woods: tuple[tuple[str, str], ...]
    """The id and name of each wood for which a board can be entered."""
    empty: str = say("No boards on the rack. Measure one in: length, width, thickness, and what is wrong with it.")


class BoardOption(Struct, frozen=True, kw_only=True):
    """One thing that can be changed about a board; `why` says why not."""

    key: str
    text: str
    said: str
    tone: Sign = ""
    """Caution for what can't easily be undone; the rest has no mark."""
    why: str = ""


class BoardPhoto(Struct, frozen=True, kw_only=True):
    """A photo of a board: the name of a file in the tablet's folder of pictures."""

    file: str


class RackBoardCard(Struct, frozen=True, kw_only=True):
    """One board with everything that can be done with it."""

    key: str
    title: str
    said: str
    options: tuple[BoardOption, ...]


def rack_card(floor: Floor) -> RackCard:
    """The rack of this build."""
    boards = {**floor.run.boards, **entered(floor.run, floor.state)}
    woods = tuple((wood.id, f"{wood.id}: {wood.species}") for wood in floor.run.build.woods if not wood.sheet)
    return RackCard(rows=tuple(_row(floor, key, board) for key, board in reversed(boards.items())), woods=woods)


def _row(floor: Floor, key: str, board: RackBoard) -> RackRow:
    defects = len(board.defects) + len(board.edge_defects)
    said = (
        board.wood,
        say_many("{count} defect", "{count} defects", defects) if defects else "",
        moisture_said(floor, key).partition(",")[0],
        say("labelled") if key in floor.state.labelled(floor.run) else say("no label yet"),
    )
    cut = what_was_cut_from(floor.run, floor.state, key)
    words = " · ".join(word for word in (*said, say("in use") if cut else "") if word)
    return RackRow(
        key=key, title=f"{board.name}: {size_words(floor, board)}", said=words, tone="done" if cut else "ready"
    )


def size_words(floor: Floor, board: RackBoard) -> str:
    """`96″ × 7 1⁄2″ × 1″`."""
    wood = floor.run.build.wood(board.wood)
    sizes = (board.length, board.width or wood.width, board.thickness or wood.rough or wood.thickness)
    return " × ".join(floor.read(size).text for size in sizes)


def board_card(floor: Floor, key: str) -> RackBoardCard:
    """One board. What the build file says about a board is changed in the file."""
    board = entered(floor.run, floor.state).get(key)
    moisture = BoardOption(
        key="moisture", text=say("Moisture"), said=moisture_said(floor, key) or say("read the meter")
    )
    if board is None:
        board = floor.run.boards[key]
        return RackBoardCard(
            key=key,
            title=say("Board {board}", board=board.name),
            said=say("{size}. Change it in the build file.", size=size_words(floor, board)),
            options=(moisture,),
        )
    cut = what_was_cut_from(floor.run, floor.state, key)
    why = say("{cut} was cut from it.", cut=cut) if cut else ""
    fact = floor.state.racked(floor.run)[board.name].fact
    price = money(floor.run.build, Decimal(fact.price)) if fact.price else say("not known")
    return RackBoardCard(
        key=key,
        title=say("Board {board}", board=board.name),
        said="; ".join((size_words(floor, board), *defect_words(floor, fact.defects))),
        options=(
            BoardOption(key="size", text=say("Size"), said=size_words(floor, board), why=why),
            BoardOption(
                key="defect",
                text=say("Add a defect"),
                said=say("{count} so far", count=len(fact.defects) or say("none")),
                why=why,
            ),
            moisture,
            BoardOption(key="price", text=say("Price"), said=price),
            BoardOption(key="photo", text=say("Photo"), said=fact.picture or say("none yet")),
            BoardOption(
                key="give back",
                text=say("Remove board"),
                said=why or say("no longer on the rack"),
                tone="caution",
                why=why,
            ),
        ),
    )


def size_options(floor: Floor, key: str) -> Iterator[BoardOption]:
    """The sizes of the board that can be measured again."""
    board = entered(floor.run, floor.state)[key]
    wood = floor.run.build.wood(board.wood)
    now = (board.length, board.width or wood.width, board.thickness or wood.rough or wood.thickness)
    for what, size in zip(SIZES, now, strict=True):
        yield BoardOption(key=what, text=capital(say(what)), said=floor.read(size).text)


def defect_words(floor: Floor, defects: tuple[Defect, ...]) -> tuple[str, ...]:
    """`defect 20″ to 22″`, `3⁄4″ of the near edge, 60″ to 90″`."""

    def words(each: Defect) -> str:
        along = say(
            "{start} to {end}", start=floor.read(of_grid(each.start)).text, end=floor.read(of_grid(each.end)).text
        )
        return (
            say(
                "{deep} of the {edge} edge, {along}",
                deep=floor.read(of_grid(each.deep)).text,
                edge=side(each.edge),
                along=along,
            )
            if each.deep
            else say("defect {along}", along=along)
        )

    return tuple(words(each) for each in defects)


def next_name(floor: Floor) -> str:
    """The name of the next board, after every name on the rack."""
    boards = {**floor.run.boards, **entered(floor.run, floor.state)}
    return next(free_names(floor.run.build, tuple(board.name for board in boards.values())))


def usual_sizes(floor: Floor, wood_id: str) -> tuple[Length, Length, Length]:
    """The likely sizes of a board of this wood; empty for random ones."""
    wood: Wood = floor.run.build.wood(wood_id)
    nothing = Length.of(0, "mm")
    wide = nothing if wood.by_volume else wood.width
    return nothing, wide, wood.rough or wood.thickness


def enter_board(floor: Floor, wood_id: str, sizes: tuple[Length, Length, Length]) -> Rack:
    """The intent to enter a board as it was measured; its ends are rough."""
    length, width, thickness = map(to_grid, sizes)
    return Rack(
        next_name(floor), wood_id, length, width=width, thickness=thickness, rough_ends=True, run=floor.run.name
    )  # fmt: skip


def changed(floor: Floor, key: str) -> Rack:
    """The present board as an intent, to be sent again with changes."""
    fact = floor.state.racked(floor.run)[key.partition("/")[2]].fact
    return Rack(
        fact.name, fact.wood, fact.length, fact.board, width=fact.width, thickness=fact.thickness,
        defects=fact.defects, price=fact.price, rough_ends=fact.rough_ends, again=True, picture=fact.picture,
        run=floor.run.name,
    )  # fmt: skip


def with_size(floor: Floor, key: str, what: Size, size: Length) -> Rack:
    """One of its sizes was measured again."""
    grid, known = to_grid(size), changed(floor, key)
    if what == "length":
        return replace(known, length=grid)
    return replace(known, width=grid) if what == "width" else replace(known, thickness=grid)


def with_defect(floor: Floor, key: str, start: Length, end: Length, edge: str, deep: Length | None) -> Rack:
    """Add a defect: across the whole board, or `deep` from an edge. Which end of it was measured first doesn't
    matter."""
    known = changed(floor, key)
    first, last = sorted((to_grid(start), to_grid(end)))
    found = Defect(first, last, "far" if edge == "far" else "near", to_grid(deep) if deep else 0)
    return replace(known, defects=(*known.defects, found))


def with_price(floor: Floor, key: str, price: float) -> Rack:
    """The price paid for it."""
    return replace(changed(floor, key), price=f"{price:.2f}")


def with_photo(floor: Floor, key: str, file: str) -> Rack:
    """A photo of it, by its name in the folder of pictures."""
    return replace(changed(floor, key), picture=file)


def photo_of(floor: Floor, key: str) -> BoardPhoto | None:
    """The photo of a board that was entered here, if it has one."""
    kept = floor.state.racked(floor.run).get(key.partition("/")[2])
    return BoardPhoto(file=kept.fact.picture) if kept and kept.fact.picture else None


def give_back(floor: Floor, key: str) -> GiveBack:
    """The board is no longer here."""
    return GiveBack(key.partition("/")[2], run=floor.run.name)
