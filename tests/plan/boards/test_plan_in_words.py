"""What a plan of boards says about itself: its figures, how good it is, and why a piece has no board; by hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace
from test_plan_boards import OAK, bench, only, part, patient

from tracker.design.model import EndCut
from tracker.measure import inches
from tracker.measure.length import ZERO
from tracker.plan.boards import BoardPlan, Lane, PlacedPiece, Proof, WoodPlan, cuts_of, lanes_of, plan_boards
from tracker.plan.boards.by_grade import _Chance, _laid
from tracker.plan.boards.crosscuts import ripped_to
from tracker.plan.boards.remaining import BoardLeft
from tracker.plan.boards.solver import Request, Stock, cut
from tracker.plan.clear_board_lengths import Stretch, longest_clear

KERF = inches("1/8")
RAIL = bench(OAK, part("rail", "50", 2, 'wood = "oak"'))
ALL = Proof(True, True, True, True)


def wood(**changes: Any) -> WoodPlan:
    return replace(only(plan_boards(RAIL, keep_going=patient())), **changes)


def test_the_figures_of_two_rails_of_fifty_inches() -> None:
    """Each needs a board of 6 ft at 11.40: 144 in bought, 100 in rails; 72 less 1/2, 50, 1/8 and 1/2 are left over."""
    plan = wood()
    assert (plan.cost, plan.bought, plan.used, plan.in_blanks) == (
        Decimal("22.80"),
        inches(144),
        inches(144),
        inches(100),
    )
    assert (plan.waste, plan.bound, plan.proved, plan.above_bound) == (inches(44), Decimal("22.80"), True, 0)
    assert [board.longest_offcut for board in plan.boards] == [inches("20 7/8")] * 2
    assert [offcut.at for offcut in plan.boards[0].offcuts] == [inches("50 5/8")]
    assert replace(plan.boards[0], offcuts=()).longest_offcut == ZERO


@pytest.mark.parametrize(
    ("changes", "words", "above"),
    [
        ({}, "lowest cost possible (proved)", 0),
        ({"cost": None}, "lowest length bought possible (proved)", 0),
        ({"proof": Proof(), "cost_bound": Decimal("22.70")}, "within 0.5 % of the least possible", Fraction(1, 227)),
        ({"proof": Proof(), "cost_bound": Decimal("19.00")}, "within 20 % of the least possible", Fraction(1, 5)),
        ({"proof": Proof(), "cost_bound": Decimal(0)}, "nothing proved yet", 1),
        (
            {"proof": Proof(), "cost": None, "cost_bound": None, "bought_bound": inches(120)},
            "within 20 % of the least possible",
            Fraction(1, 5),
        ),
        ({"proof": Proof(), "cost": None, "cost_bound": None, "bought_bound": ZERO}, "nothing proved yet", 1),
        (
            {"proof": Proof(price=True), "cost": None, "bought_bound": inches(144)},
            "within 0 % of the least possible",
            0,
        ),
        ({"proof": Proof(length=True), "cost_bound": Decimal("22.80")}, "within 0 % of the least possible", 0),
    ],
)
def test_how_good_it_is_in_words(changes: dict[str, Any], words: str, above: object) -> None:
    """22.80 is 0.44 % above 22.70: the tenth is rounded up. Without prices the bought length counts."""
    plan = wood(**changes)
    assert plan.proof_words == words
    assert plan.above_bound == above


def test_a_build_is_settled_when_every_aim_of_every_wood_is_proved_or_everything_was_tried() -> None:
    tried = wood(proof=Proof(), exhausted=True)
    for each in ("price", "length", "boards", "offcut"):
        missing = wood(proof=replace(ALL, **{each: False}), exhausted=False)
        assert not BoardPlan(woods=(missing, tried)).settled
    assert BoardPlan(woods=(wood(proof=ALL), tried)).settled
    both = BoardPlan(woods=(wood(), wood(wood="ash", cost=None)))
    assert (both.cost, both.unpriced) == (Decimal("22.80"), ("ash",))


@pytest.mark.parametrize(
    ("wood_text", "length", "more", "why"),
    [
        (OAK, "95 1/16", "", "needs 95 1/16″ in one clear stretch; the longest of oak is 95″"),
        (
            OAK, "40", 'sequence = "front"\n',
            "the sequence 'front' needs 120 1/4″ in one clear stretch; the longest of oak is 95″",
        ),
        (
            '[woods.oak]\nspecies = "white oak"\nsection = "1x6"\n', "40", "",
            "needs 40″ in one clear stretch, and there is no oak to be had: it has no lengths and none is on the rack",
        ),
        (
            '[woods.oak]\nspecies = "white oak"\nsection = "1x6"\nlengths = ["2 ft"]\n'
            '[[rack]]\nwood = "oak"\nlength = "50"\nname = "A"\n', "40", "",
            "needs 40″ in one clear stretch, and the rack has not enough of those; the dealer's lengths are shorter",
        ),
    ],
)  # fmt: skip
def test_why_a_piece_has_no_board(wood_text: str, length: str, more: str, why: str) -> None:
    plan = plan_boards(bench(wood_text, part("rail", length, 3, 'wood = "oak"\n' + more)), keep_going=patient())
    said = {each.why.replace("\u2044", "/").replace("\u2009", " ") for each in plan.unplaced}
    assert said == {why.replace("\u2044", "/")}


def test_the_random_numbers_are_those_of_the_standard() -> None:
    """minstd_rand: from seed 1 the ten-thousandth is 399268537 (ISO/IEC 14882, [rand.predef])."""
    chance, last = _Chance(1), 0.0
    for _ in range(10_000):
        last = chance.between(0, 0x7FFFFFFF)
    assert last == 399268537
    assert _Chance(1).between(10, 20) == pytest.approx(10 + 10 * 48271 / 0x7FFFFFFF)


@pytest.mark.parametrize(
    ("sizes", "room", "wide", "left"),
    [
        ([(500, 100)] * 3, 1003, 100, 1),  # 500 + 3 + 500
        ([(500, 100)] * 3, 1002, 100, 2),
        ([(500, 100)] * 3, 500, 203, 1),  # 100 + 3 + 100
        ([(500, 100)] * 3, 500, 202, 2),
        ([(500, 100), (240, 90), (240, 90), (257, 100)], 500, 203, 1),  # 240 + 3 + 240 in the second lane; 257 isn't
        ([(500, 100), (240, 90), (240, 90), (243, 100)], 500, 203, 1),
        ([(501, 100)], 500, 203, 1),
        ([(500, 204)], 500, 203, 1),
    ],
)
def test_pieces_on_a_clear_length_in_sections_and_lanes(
    sizes: list[tuple[float, float]], room: float, wide: float, left: int
) -> None:
    """A kerf of 3."""
    assert len(_laid(sorted(sizes, reverse=True), room, wide, 3.0)) == left


def piece(at: str, length: str, across: str = "0", width: str | None = None, miter: float = 0.0) -> PlacedPiece:
    return PlacedPiece(
        part="p", piece=1, at=inches(at), length=inches(length), across=inches(across),
        width=None if width is None else inches(width), left=EndCut(), right=EndCut(miter=miter),
    )  # fmt: skip


def test_lanes_from_the_near_edge_with_their_marks() -> None:
    lanes = lanes_of([piece("10", "20", "3", "2"), piece("30 1/8", "5", "3", "1 1/2"), piece("10", "24", "0", "2 7/8")])
    first, second = piece("10", "24", "0", "2 7/8"), piece("10", "20", "3", "2")
    assert lanes == (
        Lane(number=1, across=ZERO, width=inches("2 7/8"), pieces=(first,), at=(inches(24),)),
        Lane(
            number=2, across=inches(3), width=inches(2), pieces=(second, piece("30 1/8", "5", "3", "1 1/2")),
            at=(inches(20), inches("25 1/8")),
        ),
    )  # fmt: skip


def test_what_is_ripped_after_the_crosscut() -> None:
    (board, _) = wood().boards
    cuts = cuts_of(board, KERF)
    wide = replace(board, width=inches("5 1/2"))

    def to(width: str | None, miter: float = 0.0) -> object:
        return ripped_to(wide, replace(cuts[-1], piece=piece("1/2", "50", "0", width, miter)))

    assert to("3") == inches(3)
    assert to("5 1/2") is None
    assert to(None) is None
    assert to("3", 45.0) is None, "its ends share cuts"
    assert ripped_to(wide, replace(cuts[-1], piece=None)) is None


def test_a_piece_has_room_within_one_clear_stretch() -> None:
    left = BoardLeft(
        key="rack/A", wood="oak", source="rack", name="A", length=inches(40),
        stretches=(Stretch(inches(1), inches(20)), Stretch(inches(22), inches(39), inches(1), inches(3))),
    )  # fmt: skip
    assert left.clear == inches(36)
    assert longest_clear(left.stretches) == inches(19)
    assert longest_clear(()) == ZERO
    for lying, room in (
        (piece("1", "19"), True), (piece("15/16", "19"), False), (piece("1", "19 1/16"), False),
        (piece("19", "4"), False), (piece("22", "17", "1", "3"), True), (piece("22", "17", "15/16", "3"), False),
        (piece("22", "17", "1", "3 1/16"), False), (piece("22", "17 1/16", "1", "3"), False),
    ):  # fmt: skip
        assert left.has_room(lying) is room


def test_sums_over_no_boards_and_no_blanks() -> None:
    found = cut(Request(runs=(), kerf=3, stocks=(Stock(stretches=(100,), price=5, length=100),)), lambda: True)
    assert (found.price, found.length, found.boards, found.unplaced) == (0, 0, (), ())
    lost = cut(Request(runs=(101,), kerf=3, stocks=(Stock(stretches=(100,), price=5, length=100),)), lambda: True)
    assert (lost.price, lost.boards, lost.unplaced) == (0, (), (0,))
    just = cut(Request(runs=(50, 47), kerf=3, stocks=(Stock(stretches=(100,), price=5, length=100),)), lambda: True)
    assert (just.price, just.length, len(just.boards)) == (5, 100, 1)
    over = cut(Request(runs=(50, 48), kerf=3, stocks=(Stock(stretches=(100,), price=5, length=100),)), lambda: True)
    assert (over.price, over.length, len(over.boards)) == (10, 200, 2)
