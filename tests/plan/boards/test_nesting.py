"""Mitred blanks that share cuts: by hand, on polygons (shapely), and in whole plans."""

from __future__ import annotations

import random
from fractions import Fraction
from math import cos, radians, tan

import pytest
from board_polygons import overlaps, pieces_apart
from board_shop import EIGHT_INCH
from test_plan_boards import bench, only, part, patient

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.measure import inches
from tracker.plan.boards import as_left, places, plan_boards, replan
from tracker.plan.boards.nesting import facing_gap, laid_again, saved_by_sharing


def mitred(name: str, length: str, quantity: int, a: float, b: float, more: str = "") -> str:
    """`a` and `b` long at the far edge; negative: at the near one."""
    cuts = "".join(
        f'end_{end} = {{ miter = {abs(angle)}, long = "{"far" if angle > 0 else "near"}" }}\n'
        for end, angle in (("a", a), ("b", b))
        if angle
    )
    return part(name, length, quantity, f'wood = "oak"\nmeasured = "overall"\n{cuts}{more}')


def frames(*parts: str, text: str = EIGHT_INCH) -> Build:
    loaded = load_build(text + "\n".join(parts))
    assert loaded.build is not None, loaded.problems
    return loaded.build


def test_a_shared_cut_at_45_in_a_board_of_7_1_4_saves_7_1982_in() -> None:
    """By hand: w tan 45 = 7.25; the kerf along the board 1/8 / cos 45 = 0.17678, a square one 0.125: 7.25 - 0.05178."""
    saved = saved_by_sharing(inches("1/8"), inches("7 1/4"), 45)
    assert float(saved) / 25.4 == pytest.approx(7.1982, abs=5e-5)
    by_hand = 7.25 * tan(radians(45)) - (0.125 / cos(radians(45)) - 0.125)
    assert float(saved) / 25.4 == pytest.approx(by_hand, abs=1e-9)


def test_the_same_measured_on_polygons() -> None:
    """Two trapezoids, one turned, as near as they can lie with a kerf of 1/8 square to the cut between them."""
    near = pieces_apart(24, 7.25, (45, 45), 0.125)
    square = 24 + 0.125
    assert square - near == pytest.approx(7.1982, abs=5e-5)


@pytest.mark.parametrize(("a", "b"), [(30, 30), (45, 30), (22.5, 45), (0, 45), (45, 0), (15, 15)])
def test_facing_ends_by_the_formula(a: float, b: float) -> None:
    """g = max(k / cos a, k / cos b) - w min(tan a, tan b), and k if either is square."""
    gap = facing_gap(inches("1/8"), inches(5), a, b)
    k, w = 0.125, 5.0
    by_hand = k
    if a and b:
        by_hand = max(k / cos(radians(a)), k / cos(radians(b))) - w * min(tan(radians(a)), tan(radians(b)))
    assert float(gap) / 25.4 == pytest.approx(by_hand, abs=1e-9)


def test_four_sides_of_a_frame_from_one_board() -> None:
    """Tip to tip 27 in: four take 4 x 27 + 3/8 - 3 x 7.1982 = 86.78 in of a clear 95; sharing nothing, 108 3/8."""
    build = frames(mitred("side", "27", 4, 45, 45))
    plan = plan_boards(build, keep_going=patient())
    (board,) = only(plan).boards
    assert [piece.turned for piece in board.pieces] == [False, True, False, True]
    taken = float(board.pieces[-1].end - board.pieces[0].at) / 25.4
    assert taken == pytest.approx(4 * 27 + 3 * 0.125 - 3 * 7.1982, abs=2e-4)
    assert only(plan).proof_words == "lowest cost possible (proved)"
    assert overlaps(build, plan) == []
    plain = frames(mitred("side", "27", 4, 45, 45), text=EIGHT_INCH.replace("nest_miters = true\n", ""))
    assert len(only(plan_boards(plain, keep_going=patient())).boards) == 2


def test_blanks_cut_oversize_share_nothing() -> None:
    build = frames(mitred("side", "27", 4, 45, 45, 'allowance = "1/4"'))
    assert len(only(plan_boards(build, keep_going=patient())).boards) == 2


def test_parallelograms_need_not_be_turned() -> None:
    build = frames(mitred("slat", "20", 5, -30, 30))
    plan = plan_boards(build, keep_going=patient())
    (board,) = only(plan).boards
    assert not any(piece.turned or piece.over for piece in board.pieces)
    assert overlaps(build, plan) == []


def test_one_mitred_end_makes_pairs() -> None:
    build = frames(mitred("apron", "27", 4, 0, 45))
    plan = plan_boards(build, keep_going=patient())
    # a pair takes 2 x 27 + 1/8 - 7.1982 = 46.93 in; two pairs and a kerf take 93.98 of 95
    (board,) = only(plan).boards
    assert [piece.turned for piece in board.pieces] == [False, True, False, True]
    assert overlaps(build, plan) == []


@pytest.mark.parametrize("seed", range(30))
def test_random_frames_never_overlap_and_are_no_dearer_than_without(seed: int) -> None:
    chance = random.Random(f"nest {seed}")
    parts = []
    for n in range(chance.randint(1, 4)):
        a, b = (chance.choice((0, 15, 30, 45)) * chance.choice((1, -1)) for _ in "ab")
        if chance.random() < 0.6:
            b = a if chance.random() < 0.5 else -a
        hands = chance.random() < 0.3
        length = f"{chance.randint(16, 40)} {chance.randint(0, 7)}/8"
        text = mitred(f"p{n}", length, chance.randint(1, 5), a, b)
        parts.append(text.replace("quantity = ", "right = 1\nleft = ") if hands else text)
    build = frames(*parts)
    plan = plan_boards(build, keep_going=patient(400))
    assert overlaps(build, plan) == []
    plain = frames(*parts, text=EIGHT_INCH.replace("nest_miters = true\n", ""))
    assert plan.cost <= plan_boards(plain, keep_going=patient(400)).cost
    placed = {piece.id for wood in plan.woods for board in wood.boards for piece in board.pieces}
    assert placed == {(each.id, n) for each in build.parts for n in range(1, each.quantity + 1)}
    for board in only(plan).boards:
        assert overlaps(build, plan, laid_again(build, board.pieces)) == []


def test_a_row_that_is_begun_is_cut_where_it_lies() -> None:
    build = frames(mitred("side", "21", 5, 45, 45))
    plan = plan_boards(build, keep_going=patient())
    (board,) = only(plan).boards
    lies = dict(places(plan))
    first, second, *others = [piece.id for piece in board.pieces]
    gone = [lies[first], lies.pop(second)]
    left = [as_left(board).without(gone, build.shop.kerf)]
    again = replan(build, left=left, done={first}, previous=lies, keep_going=patient())
    on = {piece.id: (each.key, piece) for each in again.plan.woods[0].boards for piece in each.pieces}
    for piece in others:
        assert on[piece][0] == board.key
        assert on[piece][1] == next(each for each in board.pieces if each.id == piece)
    assert on[second][0] == "oak/2"
    assert again.moved == ()


def test_without_the_key_nothing_changes() -> None:
    """What a board yields by default: n blanks and n - 1 kerfs, whatever their ends."""
    build = bench(
        '[woods.oak]\nspecies = "white oak"\nsection = "1x8"\nlengths = ["8 ft"]\n', mitred("side", "23", 4, 45, 45)
    )
    (board,) = only(plan_boards(build, keep_going=patient())).boards
    assert [piece.at - board.pieces[0].at for piece in board.pieces] == [inches(Fraction(185, 8) * n) for n in range(4)]
