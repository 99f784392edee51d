"""Offcuts that are worth keeping, each with its own name."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import count
from string import ascii_uppercase

from msgspec import Struct

from tracker.design.model import Build
from tracker.measure import Length
from tracker.plan.boards.plan import BoardPlan, CutBoard

TO_A_LETTER = 99


class NamedOffcut(Struct, frozen=True, kw_only=True):
    """An offcut for the rack: `at` is measured from end A of its board; all of `length` is clear."""

    name: str
    wood: str
    board: str
    at: Length
    length: Length

    @property
    def key(self) -> str:
        """Its key once it is on the rack."""
        return f"rack/{self.name}"


def kept_offcuts(build: Build, plan: BoardPlan, taken: Collection[str] = ()) -> tuple[NamedOffcut, ...]:
    """The offcuts of a plan that go to the rack, board by board. Their names differ from those of the rack and from
    `taken`."""
    names = free_names(build, taken)
    boards = (board for wood in plan.woods for board in wood.boards)
    return tuple(offcut for board in boards for offcut in _kept(build, board, names))


def kept_from(build: Build, board: CutBoard, taken: Collection[str] = ()) -> tuple[NamedOffcut, ...]:
    """The offcuts of one board that go to the rack: none is shorter than the shop's least offcut."""
    return tuple(_kept(build, board, free_names(build, taken)))


def free_names(build: Build, taken: Collection[str] = ()) -> Iterator[str]:
    """A1, A2, ... A99, B1, ... without the names that a board on the rack has or had."""
    used = {name.casefold() for name in (*taken, *(board.name for board in build.rack))}
    return (name for name in _names() if name.casefold() not in used)


def _kept(build: Build, board: CutBoard, names: Iterator[str]) -> Iterator[NamedOffcut]:
    for offcut in board.offcuts:
        if offcut.length >= build.shop.least_offcut:
            yield NamedOffcut(name=next(names), wood=board.wood, board=board.key, at=offcut.at, length=offcut.length)


def _names() -> Iterator[str]:
    for round_ in count():
        for letter in ascii_uppercase:
            for number in range(1, TO_A_LETTER + 1):
                yield f"{letter}{number + round_ * TO_A_LETTER}"
