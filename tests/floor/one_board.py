"""One board of ash of 1000 mm with three pieces, for the tests of the floor; see `test_cut_progress`."""

from __future__ import annotations

from collections.abc import Sequence

from tests.cards.board_shop import Saw
from tracker.floor.boards import (
    followed,
    key_of,
)
from tracker.floor.cut_progress import (
    AtTheSaw,
    all_at_the_saw,
    at_the_saw,
)
from tracker.measure import Length
from tracker.plan.boards import CutBoard, PlacedPiece
from tracker.work.facts import Done, Fact, PlannedBoard, PlannedCut, Spoiled

BUILD = """
[build]
name = "Shelf"
units = "mm"
[shop]
kerf = 4
end_trim = 10
least_offcut = 100
[woods.ash]
species = "white ash"
thickness = 20
width = 100
lengths = [1000, 2000]
prices = [7.5, 12]
[woods.oak]
species = "white oak"
thickness = 20
width = 100
lengths = [1000]
[[parts]]
id = "side"
name = "Side"
quantity = 3
wood = "ash"
length = 200
[[parts]]
id = "shelf"
name = "Shelf"
wood = "ash"
length = 300
[[rack]]
name = "R1"
wood = "ash"
length = 500
"""


def mm(*numbers: float) -> tuple[Length, ...]:
    return tuple(Length.of(str(number), "mm") for number in numbers)


def grid(number: float) -> int:
    """As the log stores it."""
    return round(number * 320)


def board(key: str = "ash/1", length: float = 1000, **pieces: tuple[float, float]) -> PlannedBoard:
    cuts = (PlannedCut(key.replace("_", ":"), grid(at), grid(long)) for key, (at, long) in pieces.items())
    return PlannedBoard(key, "ash", "dealer", grid(length), tuple(cuts))


PLAN = board(side_1=(10, 200), side_2=(214, 200), shelf_1=(418, 300))


def cut(key: str, board: str = "ash/1", at: float = 0) -> Fact:
    return Done("Shelf#1", key, "cut", board=board, at=grid(at))


def spoiled(key: str) -> Fact:
    return Spoiled("Shelf#1", key, "split")


def now(saw: Saw, *facts: Fact, key: str = "ash/1") -> AtTheSaw:
    for fact in facts:
        saw.write(fact)
    (found,) = (each for each in all_at_the_saw(saw.floor, followed(saw.run, saw.state)) if each.board.key == key)
    assert found == at_the_saw(saw.floor, found.board)
    return found


def stretches(saw: AtTheSaw) -> list[tuple[float, float]]:
    assert saw.left.stretches == saw.rest.stretches
    return [(float(each.start), float(each.end)) for each in saw.rest.stretches]


def waiting(saw: AtTheSaw) -> list[tuple[str, float]]:
    return [(key_of(piece), float(piece.at)) for piece in saw.left.pieces]


def left_over(saw: AtTheSaw) -> list[tuple[float, float]]:
    return [(float(each.at), float(each.at + each.length)) for each in saw.left.offcuts]


ALL = [("side:1", 10), ("side:2", 214), ("shelf:1", 418)]


def placed(at: str, length: str, **more: object) -> PlacedPiece:
    return PlacedPiece(part="side", piece=2, at=Length.of(at, "mm"), length=Length.of(length, "mm"), **more)  # type: ignore[arg-type]


def cut_board(pieces: Sequence[PlacedPiece], source: str = "in hand", length: str = "1000") -> CutBoard:
    long = Length.of(length, "mm")
    return CutBoard(key="ash/1", wood="ash", source=source, name="1", length=long, price=None, stretches=(),  # type: ignore[arg-type]
                    pieces=tuple(pieces), offcuts=(), width=Length.of("100", "mm"))  # fmt: skip
