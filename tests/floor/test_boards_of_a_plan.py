"""The boards of a plan as the log has them, and those on the rack, on the board of `test_cut_progress`."""

from __future__ import annotations

from tests.cards.board_shop import Saw
from tests.floor.one_board import (
    BUILD,
    cut_board,
    grid,
    mm,
    placed,
)
from tracker.floor.boards import (
    blanks_of,
    followed,
    in_blanks,
    laid_out,
    offcuts_of,
    over_net,
    planned,
    snapped,
)
from tracker.floor.cut_progress import (
    cut_step,
)
from tracker.floor.rack import entered, with_racked
from tracker.measure import Length
from tracker.plan.clear_board_lengths import Stretch
from tracker.work.decide.intents import Rack
from tracker.work.facts import Defect, PlannedCut


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
