"""In words: which board a piece still to be cut comes from. Doesn't import the planner, because the first card needs
it."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.floor.floor import Floor
from tracker.measure.length import of_grid
from tracker.words import say
from tracker.work.board_of_piece import planned_place, wood_is_gone
from tracker.work.facts import PlannedBoard, PlannedCut
from tracker.work.run import Item, Run


def titled(key: str, wood: str) -> str:
    """A board's name in a sentence, from its key and wood: `board F2`, `cedar board 1`."""
    if key.startswith("rack/"):
        return say("board {key}", key=key.removeprefix("rack/"))
    return (
        f"{wood} {key.rpartition('/')[2]}"
        if "board" in wood.casefold()
        else say("{wood} board {number}", wood=wood, number=key.rpartition("/")[2])
    )


def place_to_cut(floor: Floor, item: Item) -> tuple[PlannedBoard, PlannedCut] | None:
    """The board of a piece still to be cut, and the position on it; None without a plan that has wood for it."""
    if not item.step("cut") or floor.state.is_done(floor.run, item, "cut"):
        return None
    return planned_place(floor.run, floor.state, item)


def from_words(floor: Floor, item: Item) -> str:
    """`from cedar board 2, 12″ from its end A`; empty without a plan."""
    place = place_to_cut(floor, item)
    if place is None:
        gone = not floor.state.is_done(floor.run, item, "cut") and wood_is_gone(floor.run, floor.state, item)
        return say("its wood is gone: see Boards for a new plan") if gone else ""
    board, cut = place
    where = say("{at} from its end A", at=floor.read(of_grid(cut.at)).text) if cut.at else say("at its end A")
    return say("from {board}, {where}", board=titled(board.key, board.wood), where=where)


def names_of(run: Run, keys: Iterable[str]) -> str:
    """`Leg 1 to 3, Rail 1`."""
    found: dict[str, list[int]] = {}
    for key in keys:
        item = run.items[key]
        found.setdefault(item.name, []).extend([item.number] if item.of > 1 else [])
    return ", ".join(f"{name} {_numbers(sorted(numbers))}".strip() for name, numbers in found.items())


def _numbers(counted: list[int]) -> str:
    """`1 to 6`, `1, 2, 5 to 7`."""
    rows: list[list[int]] = []
    for number in counted:
        if rows and number == rows[-1][-1] + 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    return ", ".join(
        say("{first} to {last}", first=row[0], last=row[-1]) if len(row) > 2 else ", ".join(map(str, row))
        for row in rows
    )
