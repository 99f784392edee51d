"""The cuts of a board in order, computed by hand, and the part that is held at each."""

from __future__ import annotations

import itertools
import random
from math import cos, radians, tan

import pytest
from board_polygons import outline
from shapely import Polygon
from test_nesting import frames, mitred
from test_plan_boards import OAK, bench, only, part, patient

from tracker.design.model import Build
from tracker.measure import inches
from tracker.measure.length import ZERO
from tracker.plan.boards import SHORTEST_HELD, Crosscut, CutBoard, as_left, cuts_of, places, plan_boards, replan
from tracker.plan.boards.crosscuts import held

KERF = inches("1/8")


def test_cut_by_cut_from_end_a_the_shortest_first() -> None:
    """8 ft, trims of 1/2: the end is squared, then 12, 20 and 30 in; every measure is from the fresh end."""
    build = bench(
        OAK.replace('"6 ft", ', "").replace("11.40, ", ""),
        *(part(name, length, 1, 'wood = "oak"') for name, length in (("c", "30"), ("a", "12"), ("b", "20"))),
    )
    (board,) = only(plan_boards(build, keep_going=patient())).boards
    cuts = cuts_of(board, KERF)
    assert [(cut.off, cut.piece and cut.piece.part) for cut in cuts] == [
        ("end", None), ("piece", "a"), ("piece", "b"), ("piece", "c"),
    ]  # fmt: skip
    assert [cut.at for cut in cuts] == [inches("1/2"), inches(12), inches(20), inches(30)]
    assert [cut.place for cut in cuts] == [inches("1/2"), inches("12 1/2"), inches("32 5/8"), inches("62 3/4")]
    assert [cut.blade for cut in cuts] == ["A", "B", "B", "B"]
    assert cuts[0].off_length == inches("3/8")  # the kerf takes the rest of the trim
    assert [cut.stays for cut in cuts] == [inches("95 1/2"), inches("83 3/8"), inches("63 1/4"), inches("33 1/8")]
    assert [cut.hold for cut in cuts] == ["board"] * 4
    assert not any(cut.clamp for cut in cuts)


def test_the_last_piece_is_held_where_less_than_it_stays() -> None:
    build = bench(OAK, part("rail", "50", 1, 'wood = "oak"'))
    (board,) = only(plan_boards(build, keep_going=patient())).boards
    last = cuts_of(board, KERF)[-1]
    assert (last.hold, last.stays) == ("piece", inches(72) - inches("50 1/2") - KERF)


def test_what_is_shorter_than_a_foot_is_clamped() -> None:
    rack = '[[rack]]\nwood = "oak"\nlength = "14"\nname = "A"\nend_trim = 0\n'
    build = bench(OAK, rack, part("plug", "3", 2, 'wood = "oak"'))
    (board,) = only(plan_boards(build, keep_going=patient())).boards
    cuts = cuts_of(board, KERF)
    assert [cut.stays for cut in cuts] == [inches("10 7/8"), inches("7 3/4")]
    assert [cut.clamp for cut in cuts] == [True, True]
    assert inches(12) == SHORTEST_HELD


def test_a_defect_is_cut_away_in_its_turn_and_a_board_without_trim_needs_no_squaring() -> None:
    rack = (
        '[[rack]]\nwood = "oak"\nlength = "52 1/4"\nname = "A3"\ndefects = [["10", "12 1/2"]]\nend_trim = 0\n'
        + part("a", "9", 1, 'wood = "oak"')
        + part("b", "35", 1, 'wood = "oak"')
    )
    (board,) = only(plan_boards(bench(OAK, rack), keep_going=patient())).boards
    cuts = cuts_of(board, KERF)
    # 9 in off; the rest of the stretch and the defect up to 12 1/2; 35 in off
    assert [(cut.off, cut.at) for cut in cuts] == [
        ("piece", inches(9)), ("defect", inches("12 1/2") - inches("9 1/8")), ("piece", inches(35)),
    ]  # fmt: skip


def test_a_piece_that_is_all_that_stays_needs_no_cut() -> None:
    rack = '[[rack]]\nwood = "oak"\nlength = "20"\nname = "A"\nend_trim = 0\n'
    (board,) = only(plan_boards(bench(OAK, rack, part("rail", "20", 1, 'wood = "oak"')), keep_going=patient())).boards
    assert cuts_of(board, KERF) == ()


def test_after_a_replan_the_marks_are_measured_from_the_end_as_it_is_then() -> None:
    build = bench(OAK, part("rail", "20", 3, 'wood = "oak"'))
    plan = plan_boards(build, keep_going=patient())
    (board,) = only(plan).boards
    lies = dict(places(plan))
    left = [as_left(board).without([lies["rail", 1]], KERF)]
    again = replan(build, left=left, done={("rail", 1)}, previous=lies, keep_going=patient())
    (rest,) = only(again.plan).boards
    assert [(cut.off, cut.at) for cut in cuts_of(rest, KERF)] == [("piece", inches(20)), ("piece", inches(20))]


@pytest.mark.parametrize("seed", range(12))
def test_no_other_order_leaves_a_longer_board_in_the_hand_at_any_cut(seed: int) -> None:
    """Against every order of the pieces of one stretch."""
    chance = random.Random(seed)
    lengths = [chance.randint(4, 14) for _ in range(5)]
    build = bench(OAK, *(part(f"p{n}", str(length), 1, 'wood = "oak"') for n, length in enumerate(lengths)))
    (board,) = only(plan_boards(build, keep_going=patient())).boards
    stays = [cut.stays for cut in cuts_of(board, KERF) if cut.off == "piece"]
    for order in itertools.permutations(lengths):
        at = board.stretches[0].start
        for n, length in enumerate(order):
            at = at + inches(length) + KERF
            assert board.length - at <= stays[n]
    for here, cut in zip(held(cuts_of(board, KERF)), cuts_of(board, KERF), strict=True):
        assert here >= min(cut.stays, cut.off_length) > ZERO or cut.off == "end"


@pytest.mark.parametrize(("a", "b"), [(45, 45), (-30, 30), (0, 45), (30, 0), (22.5, 22.5)])
def test_sawing_along_the_marks_sets_every_shared_piece_free(a: float, b: float) -> None:
    """The board is sawn as a polygon, cut by cut as on the card; each part that comes off is the outline in the
    plan."""
    build = frames(mitred("side", "18", 4, a, b))
    (board,) = only(plan_boards(build, keep_going=patient())).boards
    saw(build, board)


def test_sawing_rows_of_several_mitres_takes_nothing_from_their_neighbours() -> None:
    """The cut that ends a row is wider along the board than a square one, and the next piece begins after it."""
    build = frames(mitred("a", "14 3/4", 4, 22.5, -45), mitred("b", "22 1/2", 3, -45, 45), mitred("c", "9", 1, 0, 0))
    for board in only(plan_boards(build, keep_going=patient())).boards:
        saw(build, board)


def saw(build: Build, board: CutBoard) -> None:
    """Saw the board as polygons, cut by cut; single blanks of parts with mitres are cut square and aren't checked."""
    width = float(build.woods[0].width)
    rest = Polygon([(0, 0), (float(board.length), 0), (float(board.length), width), (0, width)])
    for cut in cuts_of(board, KERF):
        toward_b = 1 if cut.blade == "B" else -1
        mark = _line(cut, width, 0.0)
        kerf = _line(cut, width, toward_b * float(KERF) / cos(radians(cut.miter)))
        first, last = (mark, kerf) if toward_b == 1 else (kerf, mark)
        assert cut.at >= ZERO
        if cut.piece is not None and not (cut.piece.left.square and cut.piece.right.square):
            off = rest.intersection(_before(first, width))
            assert off.symmetric_difference(outline(build, cut.piece)).area == pytest.approx(0, abs=1.0)  # mm²
        rest = rest.difference(_before(last, width))


def _line(cut: Crosscut, width: float, shift: float) -> tuple[float, float]:
    """The x of a cut on the near and the far edge."""
    back = width * tan(radians(cut.miter)) * (-1 if cut.blade == "B" else 1)
    at = float(cut.place) + shift
    return (at + back, at) if cut.edge == "far" else (at, at + back)


def _before(line: tuple[float, float], width: float) -> Polygon:
    """Everything on end A's side of the line."""
    return Polygon([(-1e4, 0), (line[0], 0), (line[1], width), (-1e4, width)])
