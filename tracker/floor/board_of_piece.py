"""Which board a piece is to be cut from, by the plan that is followed."""

from __future__ import annotations

from tracker.floor.boards import titled
from tracker.floor.floor import Floor
from tracker.measure.length import of_grid
from tracker.work.facts import PlannedBoard, PlannedCut
from tracker.work.run import Item


def planned_place(floor: Floor, item: Item) -> tuple[PlannedBoard, PlannedCut] | None:
    """The board of a piece that is still to be cut, and where on it; None without a plan that has wood for it."""
    if not item.step("cut") or floor.state.is_done(floor.run, item, "cut") or _lost(floor, item):
        return None
    for board in floor.state.boards(floor.run):
        for cut in board.pieces:
            if cut.item == item.key:
                return board, cut
    return None


def from_words(floor: Floor, item: Item) -> str:
    """`from cedar board 2, 12″ from its end A`; nothing without a plan."""
    if _lost(floor, item):
        return "its wood is gone: see Boards for a new plan"
    place = planned_place(floor, item)
    if place is None:
        return ""
    board, cut = place
    where = f"{floor.read(of_grid(cut.at)).text} from its end A" if cut.at else "at its end A"
    return f"from {titled(board.key, board.wood)}, {where}"


def _lost(floor: Floor, item: Item) -> bool:
    """The piece was spoiled, and the plan that is followed still has it where it was cut."""
    if not floor.state.spoils(floor.run, item) or not floor.state.boards(floor.run):
        return False
    from tracker.floor.replanning import again, lost_pieces  # loads the planner, which few first cards need

    return (item.id, item.number) in lost_pieces(again(floor))
