"""How far a board is cut, worked out by hand on one board of 1000 mm; a kerf is 4 mm, and 10 mm come off each end.

Positions are from its end A: side 1 lies from 10 to 210, side 2 from 214 to 414, the shelf from 418 to 718, and 722 to
990 is left over.
"""

from __future__ import annotations

import pytest

from tests.cards.board_shop import Saw
from tests.floor.one_board import (
    ALL,
    BUILD,
    PLAN,
    board,
    cut,
    grid,
    left_over,
    now,
    spoiled,
    stretches,
    waiting,
)
from tracker.floor.boards import (
    followed,
    key_of,
)
from tracker.floor.cut_progress import (
    all_at_the_saw,
    boards_at_hand,
    cut_from,
    sawn,
    to_rack,
)
from tracker.floor.replanning import ReplanRequest, lost_pieces, needed, replan_request, started
from tracker.measure import Length
from tracker.work.decide.intents import GiveBack, KeepBoards, Rack


def test_before_the_first_cut(saw: Saw) -> None:
    found = now(saw)
    assert (found.cut, found.spoiled, found.racked, found.kerf) == (frozenset(), (), (), Length.of("4", "mm"))
    assert (stretches(found), waiting(found), left_over(found)) == ([(10, 990)], ALL, [(722, 990)])
    assert (float(found.left.begins), found.finished, found.shared, found.board.price) == (0, False, False, 7.5)
    assert found.coming is not None
    assert key_of(found.coming) == "side:1"
    squared, freed = found.cuts
    assert (squared.piece, found.first) == (None, (squared,))
    assert (found.next, freed.piece) == (freed, found.coming)
    assert (found.section, found.lane, found.lane_mark, found.section_is_off) == ((), None, None, False)
    assert not started(saw.floor)
    assert not needed(saw.floor)


@pytest.mark.parametrize("where", ["ash/1", ""])
def test_after_the_first_cut_also_where_nobody_said_from_which_board(saw: Saw, where: str) -> None:
    found = now(saw, cut("side:1", where, 10 if where else 0))
    assert (found.cut, found.spoiled) == ({"side:1"}, ())
    assert (stretches(found), waiting(found)) == ([(214, 990)], ALL[1:])
    assert float(found.left.begins) == 214
    assert cut_from(saw.floor, "side:1") == where
    assert [cut.piece for cut in found.cuts] == [found.coming], "its end is square already"
    assert found.first == ()
    assert started(saw.floor)


def test_a_piece_from_the_middle_leaves_both_sides(saw: Saw) -> None:
    found = now(saw, cut("side:2", at=214))
    assert (stretches(found), waiting(found)) == ([(10, 210), (418, 990)], [ALL[0], ALL[2]])
    assert (left_over(found), float(found.left.begins)) == ([(722, 990)], 0)


def test_a_blank_that_was_cut_elsewhere_on_the_board_is_gone_there(saw: Saw) -> None:
    found = now(saw, cut("side:1", at=700))
    assert found.cut == {"side:1"}
    assert found.spoiled == (), "it is a good piece"
    assert [(each.item, float(each.place.at), float(each.place.length)) for each in found.elsewhere] == [
        ("side:1", 700, 200)
    ]
    assert [key_of(piece) for piece in found.as_planned] == ["side:2", "shelf:1"]
    assert stretches(found) == [(10, 696), (904, 990)]
    assert lost_pieces(replan_request(saw.floor)) == (("shelf", 1),), "its place reaches to 718"


def test_a_piece_that_the_plan_has_on_another_board_or_nowhere_is_gone_from_this_one(saw: Saw) -> None:
    found = now(saw, cut("side:3", at=722))
    assert (found.cut, waiting(found)) == (frozenset(), ALL)
    assert (stretches(found), left_over(found)) == ([(10, 718), (926, 990)], [(926, 990)])
    assert ([each.item for each in found.elsewhere], found.spoiled, found.begun) == (["side:3"], (), True)
    assert not needed(saw.floor)


def test_a_piece_cut_from_another_board_leaves_its_place_free(saw: Saw) -> None:
    found = now(saw, cut("side:1", "rack/R1", 10))
    assert (found.cut, found.spoiled, stretches(found), waiting(found)) == (frozenset(), (), [(10, 990)], ALL[1:])
    assert left_over(found) == [(722, 990)]


def test_a_spoiled_piece_is_lost_where_it_was_and_is_still_to_be_cut(saw: Saw) -> None:
    found = now(saw, cut("side:1", at=10), spoiled("side:1"))
    assert found.cut == frozenset()
    assert [(each.item, float(each.place.at)) for each in found.spoiled] == [("side:1", 10)]
    assert (stretches(found), waiting(found)) == ([(214, 990)], ALL)
    asked = replan_request(saw.floor)
    assert (asked.done, asked.resized, asked.shared) == (frozenset(), frozenset(), frozenset())
    assert lost_pieces(asked) == (("side", 1),)
    assert needed(saw.floor)
    assert started(saw.floor)
    assert cut_from(saw.floor, "side:1") is None
    again = now(saw, cut("side:1", at=722))
    assert (again.cut, stretches(again), waiting(again)) == ({"side:1"}, [(214, 718), (926, 990)], ALL[1:])
    assert [float(each.place.at) for each in again.spoiled] == [10], "the new one is good, the first is still spoiled"
    assert [float(each.place.at) for each in again.elsewhere] == [722]
    assert not needed(saw.floor)
    assert replan_request(saw.floor).done == {("side", 1)}


def test_a_hair_is_no_distance(saw: Saw) -> None:
    """A hair is 1/40 mm, eight of the log's steps."""
    (near,) = (now(saw, cut("side:1", at=10 + 7 / 320)),)
    assert (near.elsewhere, stretches(near)) == ((), [(214, 990)])
    other = Saw(BUILD)
    other.must(KeepBoards((PLAN,)))
    far = now(other, cut("side:1", at=10 + 8 / 320))
    assert [each.item for each in far.elsewhere] == ["side:1"]


def test_a_board_that_is_all_cut_has_its_offcuts_for_the_rack(saw: Saw) -> None:
    last = now(saw, cut("side:1", at=10), cut("side:2", at=214))
    assert to_rack(saw.floor, last) == ()
    found = now(saw, cut("shelf:1", at=418))
    assert (found.finished, found.coming, found.cuts, found.next) == (True, None, (), None)
    (offcut,) = to_rack(saw.floor, found)
    assert (offcut.wood, offcut.board, float(offcut.at), float(offcut.length)) == ("ash", "ash/1", 722, 268)
    saw.must(Rack(offcut.name, "ash", grid(268), "ash/1"))
    racked = now(saw)
    assert (racked.racked, stretches(racked)) == ((offcut,), [])
    assert to_rack(saw.floor, racked) == ()
    assert cut_from(saw.floor, "none:1") is None


def test_what_is_in_hand_is_what_is_left_of_every_board(saw: Saw) -> None:
    def left() -> dict[str, list[tuple[float, float]]]:
        saws = all_at_the_saw(saw.floor, followed(saw.run, saw.state))
        return {
            each.key: [(float(s.start), float(s.end)) for s in each.stretches]
            for each in boards_at_hand(saw.floor, saws)
        }

    assert left() == {"ash/1": [(10, 990)], "rack/R1": [(10, 490)]}
    saw.write(cut("side:3", "rack/R1", 10))
    assert left() == {"ash/1": [(10, 990)], "rack/R1": [(214, 490)]}
    saw.must(Rack("K1", "ash", grid(300), "ash/9"))
    assert left() == {"ash/1": [(10, 990)], "rack/R1": [(214, 490)], "rack/K1": [(0, 300)]}
    saw.must(Rack("K2", "ash", grid(276), "rack/R1"))
    assert left()["rack/R1"] == []
    assert left()["rack/K2"] == [(0, 276)]
    saw.must(GiveBack("K2"))
    assert left()["rack/R1"] == [(214, 490)]
    saw.must(KeepBoards((PLAN, board("rack/K1", 300, side_3=(0, 200)))))
    assert left() == {"ash/1": [(10, 990)], "rack/K1": [(0, 300)], "rack/R1": [(214, 490)]}


def test_what_was_cut_is_listed_by_board(saw: Saw) -> None:
    now(
        saw,
        cut("side:1", at=10),
        cut("side:2", ""),
        cut("side:3", "rack/R1", 20),
        cut("shelf:1", at=418),
        spoiled("shelf:1"),
    )
    found = sawn(saw.floor)
    assert found.board_of == {"side:1": "ash/1", "side:2": "", "side:3": "rack/R1"}
    where = {key: [(item.key, float(at)) for item, at in cuts] for key, cuts in found.places.items()}
    assert where == {"ash/1": [("side:1", 10), ("shelf:1", 418)], "rack/R1": [("side:3", 20)]}


def test_a_piece_of_another_size_than_planned_is_lost(saw: Saw) -> None:
    now(saw)
    other = Saw(BUILD.replace("length = 300", "length = 301"))
    other.take_in(saw.entries)
    asked: ReplanRequest = replan_request(other.floor)
    assert asked.resized == {("shelf", 1)}
    assert lost_pieces(asked) == (("shelf", 1),)
