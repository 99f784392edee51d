"""Which pieces are lost and planned again, on the board of `test_cut_progress`. A hair is 1/40 mm."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from tests.cards.board_shop import Saw
from tests.floor.one_board import (
    ALL,
    cut,
    mm,
    now,
    placed,
)
from tracker.floor.boards import (
    followed,
    key_of,
)
from tracker.floor.cut_progress import (
    CutBlank,
)
from tracker.floor.replanning import ReplanRequest, lost_pieces, to_follow
from tracker.measure import Length
from tracker.plan.boards import BoardPlan, CutBoard, Unplaced
from tracker.plan.boards.remaining import BoardLeft, Place
from tracker.plan.boards.replanning import Replan
from tracker.plan.clear_board_lengths import Stretch


def test_a_new_plan_keeps_what_was_cut_and_what_it_doesnt_touch(saw: Saw) -> None:
    now(saw, cut("side:1", at=10))
    moved = placed("722", "200")  # side 2
    wood = saw.plan().woods[0]
    board_again = replace(followed(saw.run, saw.state)[0], pieces=(moved,))
    bought = replace(board_again, key="ash/2", pieces=(replace(moved, piece=3),))
    lost = Unplaced(part="shelf", piece=1, why="nothing is long enough")

    def after(*boards: CutBoard, unplaced: tuple[Unplaced, ...] = ()) -> list[tuple[str, list[tuple[str, float]]]]:
        plan = BoardPlan(woods=(replace(wood, boards=boards, unplaced=unplaced),))
        found = to_follow(saw.floor, Replan(plan=plan, moved=(), fewest=0))
        return [(each.key, [(key_of(piece), float(piece.at)) for piece in each.pieces]) for each in found]

    assert after() == [("ash/1", ALL)]
    assert after(board_again) == [("ash/1", [ALL[0], ALL[2], ("side:2", 722)])]
    assert after(board_again, bought, unplaced=(lost,)) == [
        ("ash/1", [ALL[0], ("side:2", 722)]), ("ash/2", [("side:3", 722)]),
    ]  # fmt: skip


def request(at: str, long: str = "200", **more: Any) -> ReplanRequest:
    """Side 1 planned at a place of a board that is clear from 10 to 990."""
    start, end = mm(10, 990)
    left = BoardLeft(key="ash/1", wood="ash", source="in hand", name="1", length=Length.of("1000", "mm"),
                     stretches=(Stretch(start=start, end=end),))  # fmt: skip
    place = Place(board="ash/1", at=Length.of(at, "mm"), length=Length.of(long, "mm"))
    return ReplanRequest(left=(left,), done=frozenset(), previous={("side", 1): place}, **more)


@pytest.mark.parametrize(
    ("at", "long", "lost"),
    [("10", "200", False), ("9.976", "200", False), ("9.975", "200", True), ("790", "200", False),
     ("790", "200.024", False), ("790", "200.025", True), ("10", "980", False), ("500", "700", True)],
)  # fmt: skip
def test_a_piece_is_lost_where_it_no_longer_lies_in_clear_wood_within_a_hair(at: str, long: str, lost: bool) -> None:
    assert bool(lost_pieces(request(at, long))) is lost


def test_on_a_board_with_shared_cuts_only_its_own_place_is_lost() -> None:
    def spoiled_at(board: str, at: str, item: str = "side:1") -> bool:
        place = Place(board=board, at=Length.of(at, "mm"), length=Length.of("200", "mm"))
        away = (CutBlank(item, place),)
        return bool(lost_pieces(request("500", "700", shared=frozenset({"ash/1"}), spoiled=away)))

    assert spoiled_at("ash/1", "500")
    assert spoiled_at("ash/1", "500.024")
    assert not spoiled_at("ash/1", "500.025")
    assert not spoiled_at("ash/2", "500")
    assert not spoiled_at("ash/1", "500", "side:2")
    assert lost_pieces(request("10", resized=frozenset({("side", 1)}))) == (("side", 1),)
    assert lost_pieces(replace(request("10"), left=())) == (("side", 1),), "its board is gone"
