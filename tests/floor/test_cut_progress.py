"""How far a board is cut, worked out by hand on one board of 1000 mm; a kerf is 4 mm, and 10 mm come off each end.

Positions are from its end A: side 1 lies from 10 to 210, side 2 from 214 to 414, the shelf from 418 to 718, and 722 to
990 is left over.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from msgspec.structs import replace

from tests.cards.board_shop import Saw
from tracker.floor.boards import (
    blanks_of,
    followed,
    in_blanks,
    key_of,
    laid_out,
    offcuts_of,
    over_net,
    planned,
    snapped,
)
from tracker.floor.cut_progress import (
    AtTheSaw,
    CutBlank,
    all_at_the_saw,
    at_the_saw,
    boards_at_hand,
    cut_from,
    cut_step,
    sawn,
    to_rack,
)
from tracker.floor.rack import entered, with_racked
from tracker.floor.replanning import ReplanRequest, lost_pieces, needed, replan_request, started, to_follow
from tracker.measure import Length
from tracker.plan.boards import BoardPlan, CutBoard, PlacedPiece, Unplaced
from tracker.plan.boards.remaining import BoardLeft, Place
from tracker.plan.boards.replanning import Replan
from tracker.plan.clear_board_lengths import Stretch
from tracker.work.decide.intents import GiveBack, KeepBoards, Rack
from tracker.work.facts import Defect, Done, Fact, PlannedBoard, PlannedCut, Spoiled

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


@pytest.fixture
def saw() -> Saw:
    saw = Saw(BUILD)
    saw.must(KeepBoards((PLAN,)))
    return saw


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
    assert [(each.item, float(each.place.at), float(each.place.length)) for each in found.spoiled] == [
        ("side:1", 700, 200)
    ]
    assert stretches(found) == [(10, 696), (904, 990)]
    assert lost_pieces(replan_request(saw.floor)) == (("shelf", 1),), "its place reaches to 718"


def test_a_piece_that_the_plan_has_on_another_board_or_nowhere_is_gone_from_this_one(saw: Saw) -> None:
    found = now(saw, cut("side:3", at=722))
    assert (found.cut, waiting(found)) == (frozenset(), ALL)
    assert (stretches(found), left_over(found)) == ([(10, 718), (926, 990)], [(926, 990)])
    assert [each.item for each in found.spoiled] == ["side:3"]
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
    assert not needed(saw.floor)
    assert replan_request(saw.floor).done == {("side", 1)}


def test_a_hair_is_no_distance(saw: Saw) -> None:
    """A hair is 1/40 mm, eight of the log's steps."""
    (near,) = (now(saw, cut("side:1", at=10 + 7 / 320)),)
    assert (near.spoiled, stretches(near)) == ((), [(214, 990)])
    other = Saw(BUILD)
    other.must(KeepBoards((PLAN,)))
    far = now(other, cut("side:1", at=10 + 8 / 320))
    assert [each.item for each in far.spoiled] == ["side:1"]


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


# -- boards ------------------------------------------------------------------------------------------------------------


def placed(at: str, length: str, **more: object) -> PlacedPiece:
    return PlacedPiece(part="side", piece=2, at=Length.of(at, "mm"), length=Length.of(length, "mm"), **more)  # type: ignore[arg-type]


def cut_board(pieces: Sequence[PlacedPiece], source: str = "in hand", length: str = "1000") -> CutBoard:
    long = Length.of(length, "mm")
    return CutBoard(key="ash/1", wood="ash", source=source, name="1", length=long, price=None, stretches=(),  # type: ignore[arg-type]
                    pieces=tuple(pieces), offcuts=(), width=Length.of("100", "mm"))  # fmt: skip


def test_the_log_has_a_blank_rounded_up_and_its_place_rounded_down() -> None:
    third = "1/3"  # of a millimetre: 106 2/3 steps
    piece = placed(third, third, across=Length.of(third, "mm"), width=Length.of(third, "mm"), turned=True)
    (found,) = planned([cut_board([piece, placed("5", "7", over=True)], length="3001/3")])
    assert (found.key, found.wood, found.source, found.length) == ("ash/1", "ash", "dealer", 320_107)
    assert found.pieces == (
        PlannedCut("side:2", 106, 107, across=106, width=107, turned=True, over=False),
        PlannedCut("side:2", 1600, 2240, across=0, width=0, turned=False, over=True),
    )
    assert [each.source for each in planned([cut_board([], "rack"), cut_board([], "dealer")])] == ["rack", "dealer"]


def test_a_plan_that_is_kept_lies_at_its_exact_places() -> None:
    saw = Saw(BUILD.replace("length = 200", "length = 200.001"))
    saw.take_plan()
    kept = {piece.id: piece for board in followed(saw.run, saw.state) for piece in board.pieces}
    assert kept == {piece.id: piece for board in laid_out(saw.plan()) for piece in board.pieces}
    assert kept["side", 1].length == Length.of("200.001", "mm")
    assert blanks_of(saw.run.build, saw.run.build.part("side"), 1) == (Length.of("200.001", "mm"),)


def test_how_much_more_than_the_net_wood_is_used() -> None:
    assert over_net([]) == 0
    assert over_net([cut_board([])]) == 0
    half = cut_board([placed("0", "500")])
    assert float(in_blanks([half, half])) == 1000
    assert over_net([half]) == 100
    assert over_net([cut_board([placed("0", "800")])]) == 25
    assert over_net([cut_board([placed("0", "999")])]) == 1, "rounded up"
    assert over_net([cut_board([placed("0", "1000")])]) == 0


def test_what_is_left_of_each_stretch_begins_after_the_last_kerf() -> None:
    first, second = (Stretch(start=start, end=end) for start, end in (mm(10, 400), mm(500, 900)))
    kerf = Length.of("4", "mm")
    found = offcuts_of((first, second), (placed("10", "100"), placed("500", "396")), kerf)
    assert [(float(each.at), float(each.length)) for each in found] == [(114, 286)], "the second one is used up"
    assert [float(each.at) for each in offcuts_of((first, second), (placed("500", "395"),), kerf)] == [10, 899]
    assert [float(each.at) for each in offcuts_of((second,), (placed("900", "1"),), kerf)] == [500]


def test_a_board_on_the_rack_is_as_it_was_entered(saw: Saw) -> None:
    saw.must(Rack("K1", "ash", grid(300), "ash/1"))
    saw.must(Rack("K2", "oak", grid(900), width=grid(90), thickness=grid(19), rough_ends=True,
                  defects=(Defect(grid(5), grid(9)), Defect(grid(20), grid(30), "far", grid(12)))))  # fmt: skip
    known = entered(saw.run, saw.state)
    assert list(known) == ["rack/K1", "rack/K2"]
    plain, rough = known.values()
    assert (plain.name, plain.wood, float(plain.length), plain.end_trim) == ("K1", "ash", 300, Length.of("0", "mm"))
    assert (plain.width, plain.thickness, plain.defects, plain.edge_defects) == (None, None, (), ())
    assert (rough.end_trim, rough.width, rough.thickness) == (None, *mm(90, 19))
    assert rough.defects == (mm(5, 9),)
    (edge,) = rough.edge_defects
    assert (edge.start, edge.end, edge.edge, edge.deep) == (*mm(20, 30), "far", *mm(12))
    run = with_racked(saw.run, saw.state)
    assert set(run.boards) == {"rack/R1", "rack/K1", "rack/K2"}
    assert set(run.codes) == {*saw.run.codes, "rack/K1", "rack/K2"}
    fewer = Saw(BUILD[: BUILD.index("[woods.oak]")] + BUILD[BUILD.index("[[parts]]") :])
    fewer.take_in(saw.entries)
    assert list(entered(fewer.run, fewer.state)) == ["rack/K1"], "a wood that the build no longer has"
    empty = Saw(BUILD)
    assert with_racked(empty.run, empty.state) is empty.run


def test_the_step_that_takes_a_blank_off_its_board(saw: Saw) -> None:
    assert cut_step(saw.run.items["side:1"]) == "cut"
    planing = Saw(BUILD.replace("length = 300", 'length = 300\nroute = ["plane", "drill"]'))
    assert cut_step(planing.run.items["shelf:1"]) == "plane"


def test_a_piece_that_begins_within_a_hair_of_a_kerf_begins_there() -> None:
    """A hair is 1/40 mm: the log's whole steps are up to 1/320 mm off."""
    start, end, kerf = mm(10, 990, 4)
    for at, snapped_to in (
        ("10.024", "10"),
        ("10.025", "10.025"),
        ("9.976", "10"),
        ("9.975", "9.975"),
        ("214.02", "214"),
    ):
        pieces = [placed("10", "200"), placed(at, "50")] if at.startswith("214") else [placed(at, "50")]
        found = list(snapped(pieces, (Stretch(start=start, end=end),), kerf))
        assert found[-1].at == Length.of(snapped_to, "mm"), at


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
