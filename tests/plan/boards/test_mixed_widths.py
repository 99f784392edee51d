"""Plans for boards that differ in width: every piece lies on its board, clear of the others by a kerf.

The plan's lower bound is at most a sum by hand. The large count is `python -m tests.bench.mixed_boards`.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.bench.mixed_boards import HEAD, KERF, judged, planned, request
from tracker.design.load import load_build
from tracker.design.model import EdgeDefect, RackBoard
from tracker.measure import millimetres
from tracker.plan.boards import cuts_of, edge_off, plan_boards
from tracker.plan.boards.blanks import demand_of
from tracker.plan.boards.by_volume import volume_to_buy
from tracker.plan.boards.remaining import rack_board
from tracker.plan.boards.rip.mixed import MixedOrder


@pytest.mark.parametrize("seed", range(12))
def test_seeded_racks_are_cut_as_a_saw_can(seed: int) -> None:
    """`planned` checks every board and every piece."""
    asked = request(seed)
    found = planned(asked, 0.2)
    whole = sum(long * wide for long, wide in asked.pieces)
    assert found.left <= whole
    biggest = max((long, wide) for long, wide in asked.pieces)
    fits = any(biggest[0] <= long and biggest[1] <= wide for long, wide in asked.boards)
    assert found.left < whole or not fits


ONE = (
    HEAD
    + """
[[rack]]
wood = "oak"
name = "R0"
length = 1043
width = 206
[[rack]]
wood = "oak"
name = "R1"
length = 2000
width = 300
[[parts]]
id = "rail"
quantity = 4
wood = "oak"
length = 500
width = 96
"""
)


def test_four_rails_fill_the_small_board_to_the_last_kerf() -> None:
    """1043 - 2 x 20 = 1003 = 500 + 3 + 500; 206 >= 101 + 3 + 101 with 5 for jointing: the large board stays whole."""
    build = load_build(ONE).build
    assert build is not None
    plan = plan_boards(build, keep_going=lambda: True)
    assert [board.name for board in plan.woods[0].boards] == ["R0"]
    assert len(plan.woods[0].boards[0].pieces) == 4
    assert any("no plan begins less of these boards" in note for note in plan.woods[0].notes)
    tighter = load_build(ONE.replace("width = 206", "width = 204")).build
    assert tighter is not None
    assert [b.name for b in plan_boards(tighter, keep_going=lambda: True).woods[0].boards] == ["R1"]


def test_what_no_board_holds_is_bought_by_volume() -> None:
    """Two of the four fit a lone small board: 2 x 500 x 101 x 27 mm³ are missing, and 30 % over."""
    text = ONE.replace('name = "R1"\nlength = 2000', 'name = "R1"\nlength = 400').replace("width = 206", "width = 110")
    build = load_build(text).build
    assert build is not None
    (wood,) = plan_boards(build, keep_going=lambda: True).woods
    assert len(wood.unplaced) == 2
    assert wood.cost is None
    found = volume_to_buy(build, build.wood("oak"), {piece.id for board in wood.boards for piece in board.pieces})
    assert found is not None
    assert (found.pieces, found.net, found.over) == (2, 2 * 500 * 101 * 27, 30)
    assert found.board_feet == pytest.approx(float(2 * 500 * 101 * 27 * 1.3) / 2_359_737.216)


def test_wane_is_ripped_off_where_that_leaves_more() -> None:
    """12 mm of wane over half the board: 15 of 200 mm with the kerf, or half of the length."""
    build = load_build(ONE).build
    assert build is not None
    wane = EdgeDefect(start=millimetres(100), end=millimetres(1000), edge="near", deep=millimetres(12))
    board = RackBoard(wood="oak", length=millimetres(2000), name="W", width=millimetres(200), edge_defects=(wane,))
    left = rack_board(build, board)
    assert [(each.width, each.near) for each in left.stretches] == [(millimetres(185), millimetres(15))]
    assert [stretch.length for stretch in left.stretches] == [millimetres(1960)]
    knot = EdgeDefect(start=millimetres(900), end=millimetres(950), edge="far", deep=millimetres(90))
    cut = rack_board(build, RackBoard(wood="oak", length=millimetres(2000), name="K", width=millimetres(200),
                                      edge_defects=(knot,)))  # fmt: skip
    assert cut.width == millimetres(200)
    assert [stretch.length for stretch in cut.stretches] == [millimetres(880), millimetres(1030)]


@pytest.mark.parametrize("seed", [3, 40, 58, 77])
def test_a_small_request_is_settled_and_a_general_solver_begins_no_less(seed: int) -> None:
    """CP-SAT lays pieces anywhere, by no guillotine: what it finds is no more than any plan for a saw."""
    asked = request(seed)
    mine, its = planned(asked, 2.0), judged(asked, 0.5)
    assert mine.proved
    assert (mine.left, mine.begun) <= (its.left, its.begun)


AROUND = (
    HEAD
    + """
[[rack]]
wood = "oak"
name = "R0"
length = 1300
width = 200
defects = [[20, 420, "near", 60]]
[[parts]]
id = "rail"
wood = "oak"
length = 390
width = 115
[[parts]]
id = "top"
wood = "oak"
length = 850
width = 190
"""
)


def test_pieces_are_laid_around_a_defect_at_an_edge() -> None:
    """Ripped off all along, 200 - 60 - 3 = 137 is too narrow for the top of 195; cut away, 1280 - 420 = 860 is all that
    is left, and the rail of 120 has no board. Around it: 137 x 400 beside the defect, 200 x 857 after it.
    """
    build = load_build(AROUND).build
    assert build is not None
    (wood,) = plan_boards(build, keep_going=lambda: True).woods
    assert not wood.unplaced
    (board,) = wood.boards
    lying = {piece.part: piece for piece in board.pieces}
    rail, top = lying["rail"], lying["top"]
    assert rail.width is not None
    assert top.width is not None
    assert rail.across >= millimetres(63)
    assert rail.across + rail.width <= millimetres(200)
    assert millimetres(20) <= rail.at
    assert rail.end <= millimetres(420)
    assert top.at >= rail.end + millimetres(KERF)
    assert top.at >= millimetres(420)
    assert top.end <= millimetres(1280)
    assert edge_off(board, rail, millimetres(KERF)) == millimetres(60)
    assert edge_off(board, top, millimetres(KERF)) is None
    assert sum(stretch.length.mm for stretch in board.stretches) == 400 + 857
    assert rack_board(build, build.rack[0]).as_laid(board.pieces).stretches == board.stretches
    cuts = cuts_of(board, millimetres(KERF))
    assert [cut.piece.part for cut in cuts if cut.piece] == ["rail", "top"]


def test_a_narrower_board_of_a_wood_of_one_width_is_left_alone() -> None:
    """A piece as wide as its wood doesn't fit on it."""
    text = ONE[: ONE.index("[[rack]]")].replace("widths = [60, 320]", "width = 300")
    text += '[[rack]]\nwood = "oak"\nname = "R0"\nlength = 1500\nwidth = 200\n'
    text += '[[parts]]\nid = "a"\nwood = "oak"\nlength = 900\n'
    build = load_build(text).build
    assert build is not None
    assert rack_board(build, build.rack[0]).stretches == ()


@pytest.mark.parametrize("thick", [None, 27, 26])
def test_a_board_thinner_than_planing_needs_is_left_alone(thick: int | None) -> None:
    """22 mm and 5 mm for planing are 27; a board that nobody measured is as thick as the wood."""
    given = "" if thick is None else f"thickness = {thick}\n"
    text = ONE.replace("width = 206\n", f"width = 206\n{given}").replace("width = 96\n", "width = 96\nthickness = 22\n")
    build = load_build(text).build
    assert build is not None
    (wood,) = plan_boards(build, keep_going=lambda: True).woods
    assert [board.name for board in wood.boards] == (["R1"] if thick == 26 else ["R0"])
    notes = [note for note in wood.notes if "thinner" in note]
    assert notes == (["R0: thinner than the 27 mm that planing needs"] if thick == 26 else [])


@pytest.mark.parametrize(("boards", "whole"), [(12, True), (13, False)])
def test_of_many_boards_the_bound_is_a_share_of_their_area(boards: int, whole: bool) -> None:
    """Four rails of 500 × 101 take (500 + 3) × (101 + 3) each, of (1003 + 3) × (206 + 3) on a board of 1043 × 206."""
    rack = "".join(f'[[rack]]\nwood = "oak"\nname = "R{n}"\nlength = 1043\nwidth = 206\n' for n in range(boards))
    build = load_build(HEAD + rack + ONE[ONE.index("[[parts]]") :]).build
    assert build is not None
    wood = build.wood("oak")
    have = [rack_board(build, board) for board in build.rack]
    order = MixedOrder.of(build, wood, demand_of(build, wood, ()), have)
    share = Fraction(4 * 503 * 104, 1006 * 209)
    assert order.bounds.least() == (0, 1043 * 206 * (1 if whole else share))
