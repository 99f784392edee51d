"""The rest of a board, by hand; and the repair of packings."""

from __future__ import annotations

import random

import pytest
from test_plan_boards import OAK, bench, part

from tracker.measure import Length, inches
from tracker.measure.length import ZERO
from tracker.plan.boards import BoardLeft, Place, Stretch, bought_board, places, plan_boards, rack_board, racked_offcut
from tracker.plan.boards.remaining import name_of
from tracker.plan.boards.solver.local_search import Repair

KERF = inches("1/8")
BUILD = bench(
    OAK,
    '[[rack]]\nwood = "oak"\nlength = "52 1/4"\nname = "A3"\ndefects = [["10", "12 1/2"]]\n',
    part("rail", "20", 2, 'wood = "oak"'),
)


def place(at: str, length: str, board: str = "oak/1") -> Place:
    return Place(board=board, at=inches(at), length=inches(length))


def ends(board: BoardLeft) -> list[tuple[Length, Length]]:
    return [(stretch.start, stretch.end) for stretch in board.stretches]


def test_cut_from_end_a_the_board_begins_a_kerf_further() -> None:
    whole = bought_board(BUILD, BUILD.wood("oak"), "oak/1", inches(96))
    assert (ends(whole), whole.begins, whole.name) == ([(inches("1/2"), inches("95 1/2"))], ZERO, "oak 1")
    left = whole.without([place("1/2", "20"), place("20 5/8", "20")], KERF)
    assert (ends(left), left.begins) == ([(inches("40 3/4"), inches("95 1/2"))], inches("40 3/4"))
    assert left.clear == inches("54 3/4")


def test_a_piece_from_the_middle_leaves_both_sides_and_end_a_is_where_it_was() -> None:
    whole = bought_board(BUILD, BUILD.wood("oak"), "oak/1", inches(96))
    left = whole.without([place("30", "20")], KERF)
    assert ends(left) == [(inches("1/2"), inches("29 7/8")), (inches("50 1/8"), inches("95 1/2"))]
    assert left.begins == ZERO


def test_places_on_other_boards_and_in_the_trim_change_nothing_here() -> None:
    whole = bought_board(BUILD, BUILD.wood("oak"), "oak/1", inches(96))
    assert whole.without([place("1/2", "20", "oak/2")], KERF) == whole
    assert whole.without([place("1/2", "95")], KERF).stretches == ()


def test_a_rack_board_has_its_defects_and_an_offcut_is_clear_from_end_to_end() -> None:
    rack = rack_board(BUILD, BUILD.rack[0])
    assert (rack.key, ends(rack)) == (
        "rack/A3", [(inches("1/2"), inches(10)), (inches("12 1/2"), inches("51 3/4"))],
    )  # fmt: skip
    offcut = racked_offcut(BUILD.wood("oak"), "B1", inches(20))
    assert (offcut.key, offcut.stretches) == ("rack/B1", (Stretch(ZERO, inches(20)),))


def test_a_place_gives_the_piece_back_as_it_lay() -> None:
    plan = plan_boards(BUILD, keep_going=lambda: False)
    for board in plan.woods[0].boards:
        for piece in board.pieces:
            assert places(plan)[piece.id].placed(piece.id) == piece
            assert places(plan)[piece.id].board == board.key
    assert (name_of("rack/A3"), name_of("oak/12")) == ("A3", "oak 12")


@pytest.mark.parametrize("seed", range(10))
def test_mending_finds_packings_without_any_slack(seed: int) -> None:
    """Eight stretches of 1000, each cut into three to five: all parts fit back in, and nothing is left over."""
    chance = random.Random(f"mend {seed}")
    pieces: list[int] = []
    for _ in range(8):
        cuts = sorted(chance.sample(range(60, 940), chance.randint(2, 4)))
        pieces += [b - a for a, b in zip([0, *cuts], [*cuts, 1000], strict=True)]
    sizes = sorted(set(pieces), reverse=True)
    demand = [pieces.count(size) for size in sizes]
    held = Repair.of(sizes, [1000] * 8, demand).run(20_000, lambda: True)
    assert held is not None
    assert [sum(pattern.get(i, 0) for pattern in held) for i in range(len(sizes))] == demand
    assert all(sum(sizes[i] * n for i, n in pattern.items()) <= 1000 for pattern in held)


def test_mending_gives_up_when_it_is_told_to_and_when_there_is_too_much() -> None:
    assert Repair.of([600], [1000], [2]).run(50, lambda: True) is None
    assert Repair.of([600], [1000], [2]).run(50, lambda: False) is None


@pytest.mark.parametrize(("depth", "ripped"), [("1 1/2", False), ("1/2", True)])
def test_a_defect_at_an_edge_is_ripped_off_where_that_leaves_more(depth: str, ripped: bool) -> None:
    """By hand, of 52 1/4 × 5 1/2 in with trims of 1/2 in and a kerf of 1/8 in. Cut away from 40 to 48 1/4 in are left
    39 3/8 + 3 3/8 in of 5 1/2: 235 in². Ripped off all along, 51 1/4 in are left of 5 1/2 less depth and kerf: 199 in²
    at a depth of 1 1/2 in, 250 in² at 1/2."""
    oak = '[woods.oak]\nspecies = "white oak"\nrough = 1\nmill = { face = "1/4", ends = "1/2" }\nwidths = [4, 10]\n'
    defect = f'defects = [["40", "48 1/4", "near", "{depth}"]]\n'
    rack = f'[[rack]]\nwood = "oak"\nlength = "52 1/4"\nwidth = "5 1/2"\n{defect}'
    build = bench(oak, rack, part("rail", "20", 2, 'wood = "oak"'))
    left = rack_board(build, build.rack[0])
    wide = [stretch.width for stretch in left.stretches]
    assert wide == ([inches("5 1/2") - inches(depth) - KERF] if ripped else [None, None])
