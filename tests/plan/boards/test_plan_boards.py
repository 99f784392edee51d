"""A whole build: its woods, rack, defects, sequences and grain, in exact lengths."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from board_checker import faults_of_plan
from msgspec.structs import replace

from tracker.design.load import load_build
from tracker.design.model import Build, Part
from tracker.measure import Length, inches
from tracker.plan.boards import BoardPlan, WoodPlan, board_plans, plan_boards, shopping

HEAD = """
[build]
name = "Bench"
units = "in"
[shop]
kerf = "1/8"
end_trim = "1/2"
"""
OAK = """
[woods.oak]
species = "white oak"
section = "1x6"
lengths = ["6 ft", "8 ft"]
prices = [11.40, 15.20]
"""


def part(name: str, length: str, quantity: int = 1, more: str = "") -> str:
    return f'[[parts]]\nid = "{name}"\nname = "{name.title()}"\nquantity = {quantity}\nlength = "{length}"\n{more}\n'


def bench(*sections: str) -> Build:
    loaded = load_build(HEAD + "\n".join(sections))
    assert loaded.build is not None, loaded.problems
    return loaded.build


def patient(times: int = 20_000) -> Callable[[], bool]:
    left = iter(range(times))
    return lambda: next(left, None) is not None


def overall(part: Part, piece: int) -> Length:
    """Of square ends: the length of the file and the allowance."""
    assert part.length is not None
    return part.length + part.allowance


def planned(build: Build) -> BoardPlan:
    plan = plan_boards(build, keep_going=patient())
    blanks = {}
    for each in build.parts:
        assert each.length is not None
        along = each.width if each.grain == "across" else each.length + each.allowance
        for n in range(1, each.quantity + 1):
            blanks[each.id, n] = along.mm
    assert faults_of_plan(build, plan, blanks) == []
    return plan


def only(plan: BoardPlan) -> WoodPlan:
    (wood,) = plan.woods
    return wood


def test_what_to_buy_and_what_it_costs() -> None:
    """Nine of 23 1/2 in with 1/4 in allowance: a clear 95 in holds 4 x 23 3/4 = 95 in less no kerf, so only three."""
    build = bench(OAK, part("rail", "23 1/2", 9, 'wood = "oak"\nallowance = "1/4"'))
    wood = only(planned(build))
    # 6 ft: clear 71 in, two and a bit; 8 ft: clear 95 in, three. 9 pieces: three of 8 ft, 45.60
    assert (wood.cost, wood.bound, wood.proved) == (Decimal("45.60"), Decimal("45.60"), True)
    assert wood.bought == inches(3 * 96)
    assert wood.proof_words == "lowest cost possible (proved)"
    (buy,) = shopping(build, planned(build))
    assert [(line.count, line.length, line.cost) for line in buy.lines] == [(3, inches(96), Decimal("45.60"))]
    assert buy.board_feet == 12  # a 1x6 8 ft long is 4 board feet


def test_pieces_stand_where_the_saw_finds_them() -> None:
    build = bench(OAK, part("rail", "20", 3, 'wood = "oak"'))
    (board,) = only(planned(build)).boards
    assert [piece.at for piece in board.pieces] == [inches("1/2"), inches("20 5/8"), inches("40 3/4")]
    (offcut,) = board.offcuts
    assert (offcut.at, offcut.length) == (inches("60 7/8"), inches("71 1/2") - inches("60 7/8"))
    assert board.longest_offcut == offcut.length
    wood = only(planned(build))
    assert wood.waste == inches(72 - 60)


def test_the_rack_is_free_and_its_defects_are_cut_around() -> None:
    rack = '[[rack]]\nwood = "oak"\nlength = "52 1/4"\nname = "A3"\ndefects = [["10", "12 1/2"], ["30", "30"]]\n'
    build = bench(OAK, rack, part("rail", "17 1/2", 1, 'wood = "oak"'), part("stile", "21 1/2", 1, 'wood = "oak"'))
    wood = only(planned(build))
    (board,) = wood.boards
    assert (board.source, board.name, board.price) == ("rack", "A3", None)
    assert wood.cost == 0
    # clear: 1/2 to 10, 12 1/2 to 30, 30 1/8 to 51 3/4; the check at 30 in is as wide as the kerf
    assert {piece.part: piece.at for piece in board.pieces} == {"rail": inches("12 1/2"), "stile": inches("30 1/8")}


def test_a_rack_board_may_have_its_own_end_trim() -> None:
    rack = '[[rack]]\nwood = "oak"\nlength = "20"\nname = "A"\nend_trim = 0\n'
    build = bench(OAK, rack, part("rail", "20", 1, 'wood = "oak"'))
    (board,) = only(planned(build)).boards
    assert (board.source, board.offcuts) == ("rack", ())


def test_a_sequence_stays_on_one_board_in_the_order_of_the_file() -> None:
    more = 'wood = "oak"\nsequence = "front"'
    build = bench(
        OAK, part("left", "20", 2, more), part("shelf", "30", 4, 'wood = "oak"'), part("right", "31 1/2", 1, more)
    )
    wood = only(planned(build))
    row = next(board.pieces for board in wood.boards if any(p.part == "left" for p in board.pieces))
    together = [(p.part, p.piece) for p in row if p.part != "shelf"]
    assert together == [("left", 1), ("left", 2), ("right", 1)]


def test_a_sequence_too_long_for_any_board_says_so() -> None:
    build = bench(OAK, part("front", "40", 3, 'wood = "oak"\nsequence = "front"'))
    wood = only(planned(build))
    assert [piece.piece for piece in wood.unplaced] == [1, 2, 3]
    why = "the sequence 'front' needs 120\u20091⁄4″ in one clear stretch; the longest of oak is 95″"
    assert wood.unplaced[0].why == why


def test_grain_across_takes_the_width_along_the_board() -> None:
    more = 'wood = "oak"\nwidth = "4"\ngrain = "across"\nallowance = "1/2"'
    build = bench(OAK, part("cleat", "5 1/2", 2, more))
    (board,) = only(planned(build)).boards
    assert [piece.length for piece in board.pieces] == [inches("4")] * 2, "the allowance is on the length"


def changed(build: Build, part_id: str, **fields: object) -> Build:
    """With one part changed to what a build file may not say; a build made otherwise still gets a plan and words."""
    parts = tuple(replace(each, **fields) if each.id == part_id else each for each in build.parts)  # type: ignore[arg-type]
    return replace(build, parts=parts)


def test_grain_across_and_too_long_for_the_width() -> None:
    build = bench(OAK, part("cleat", "5", 1, 'wood = "oak"\nwidth = "4"\ngrain = "across"'))
    (lost,) = only(planned(changed(build, "cleat", length=inches(6)))).unplaced
    assert lost.why == "6″ long, its grain across the board, and oak is 5\u20091⁄2″ wide"


def test_a_part_wider_or_thicker_than_its_wood_is_said_and_the_rest_is_planned() -> None:
    build = bench(OAK, *(part(name, "20", 1, 'wood = "oak"') for name in ("top", "foot", "rail")))
    build = changed(changed(build, "top", width=inches(12)), "foot", thickness=inches(2))
    wood = only(planned(build))
    assert [(lost.part, lost.why) for lost in wood.unplaced] == [
        ("top", "12″ wide, and oak is 5\u20091⁄2″ wide"),
        ("foot", "2″ thick, and oak is 3⁄4″ thick"),
    ]
    assert len(wood.boards) == 1


def test_a_narrow_part_takes_the_whole_width_and_the_plan_says_so() -> None:
    build = bench(OAK, part("slat", "20", 3, 'wood = "oak"\nwidth = "2"'))
    (note,) = only(planned(build)).notes
    assert note.startswith("Slat: 2″ of a board 5\u20091⁄2″ wide")


def test_without_prices_the_least_length_is_bought() -> None:
    unpriced = OAK.replace("prices = [11.40, 15.20]\n", "")
    wood = only(planned(bench(unpriced, part("rail", "31", 4, 'wood = "oak"'))))
    # two to a 6 ft board (62 1/8 in of 71) and three to an 8 ft (93 1/4 of 95): 2 x 6 ft are 144 in, 8 + 6 are 168
    assert wood.cost is None
    assert (wood.bought, wood.bound, wood.proved) == (inches(144), inches(144), True)
    assert wood.proof_words == "lowest length bought possible (proved)"


def test_every_wood_has_its_plan_and_the_costs_add_up() -> None:
    pine = OAK.replace("oak", "pine").replace("white pine", "eastern white pine").replace("11.40, 15.20", "3.10, 4.05")
    build = bench(OAK, pine, part("rail", "30", 5, 'wood = "oak"'), part("back", "16", 6, 'wood = "pine"'))
    plan = planned(build)
    assert [wood.wood for wood in plan.woods] == ["oak", "pine"]
    assert plan.cost == sum(wood.cost or 0 for wood in plan.woods)
    assert plan.settled


def test_plans_come_at_once_and_get_no_worse() -> None:
    parts = [part(f"p{n}", f"{11 + n * 3}", 2 + n % 4, 'wood = "oak"') for n in range(12)]
    build = bench(OAK, *parts)
    plans = list(board_plans(build, keep_going=patient()))
    costs = [plan.cost for plan in plans]
    assert costs == sorted(costs, reverse=True)
    assert plans[-1].proved
    assert next(board_plans(build, keep_going=lambda: False)).cost >= costs[-1]


@pytest.mark.parametrize(("length", "boards"), [("97 3/8", 1), ("97 23/64", 2)])
def test_kerf_edge_in_a_build(length: str, boards: int) -> None:
    """Four of 24 in at a kerf of 1/8 need a clear 96 3/8 in (n blanks, n - 1 kerfs); the trims take 1 in."""
    wood = OAK.replace('["6 ft", "8 ft"]', f'["{length}"]').replace("[11.40, 15.20]", "[15]")
    assert len(only(planned(bench(wood, part("rail", "24", 4, 'wood = "oak"')))).boards) == boards
