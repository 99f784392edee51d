"""The drawing of a board, measured: pieces with their mitres, trims, a defect, wane along an edge, an offcut."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from tracker.cards.boards.bar import BarSpan, bar_of, offcut_span
from tracker.design.model import EndCut
from tracker.measure import Length, millimetres
from tracker.plan.boards import CutBoard, Offcut, PlacedPiece
from tracker.plan.clear_board_lengths import Stretch


def mm(number: float) -> Length:
    return millimetres(number)


def piece(number: int, at: float, long: float, **lies: object) -> PlacedPiece:
    return PlacedPiece(part="rail", piece=number, at=mm(at), length=mm(long), **lies)  # type: ignore[arg-type]


LEFT, RIGHT = EndCut(miter=45, long="near"), EndCut(miter=45, long="far")
BOARD = CutBoard(
    key="ash/1", name="1", wood="ash", source="dealer", length=mm(2000), width=mm(100), price=None,
    stretches=(
        Stretch(mm(20), mm(800)),
        Stretch(mm(840), mm(1500), mm(15), mm(70)),
        Stretch(mm(1500), mm(1980)),
    ),
    pieces=(
        piece(1, 20, 300, left=LEFT, right=RIGHT),
        piece(2, 323, 400),
        piece(3, 840, 200, across=mm(15), width=mm(40)),
        piece(4, 840, 200, across=mm(58), width=mm(27)),
        piece(5, 1043, 250),
    ),
    offcuts=(Offcut(at=mm(1500), length=mm(480)),),
)  # fmt: skip
HANDS = {"rail:1": "left", "rail:2": "right"}


def spans(kind: str = "", **more: object) -> list[BarSpan]:
    bar = bar_of(
        BOARD, mm(100), lambda key: key.replace(":", " ").capitalize(), lambda length: f"{float(length):g} mm", **more  # type: ignore[arg-type]
    )  # fmt: skip
    assert (bar.length, bar.width, bar.cut, bar.cut_from, bar.cut_words, bar.kerf, bar.units) == (
        2000, 100, None, 0, "", 0, "in",
    )  # fmt: skip
    assert [each.start for each in bar.spans] == sorted(each.start for each in bar.spans)
    return [each for each in bar.spans if not kind or each.kind == kind]


def test_pieces_lie_where_they_are_planned() -> None:
    assert [(each.start, each.end, each.low, each.high) for each in spans("piece")] == [
        (20, 320, 0, 1), (323, 723, 0, 1), (840, 1040, 0.15, 0.55), (840, 1040, 0.58, 0.85), (1043, 1293, 0, 1),
    ]  # fmt: skip


def test_a_mitred_piece_has_its_short_edge_set_back() -> None:
    """45° across 100 mm: 100 mm back, at the left end on the far edge and at the right one on the near edge."""
    mitred, square, *_ = spans("piece")
    assert [each for corner in mitred.outline for each in corner] == pytest.approx([20, 0, 220, 0, 320, 1, 120, 1])
    assert square.outline == ((323, 0), (723, 0), (723, 1), (323, 1))


def test_a_span_is_a_whole_stretch_of_the_board_unless_it_says_otherwise() -> None:
    plain = BarSpan(kind="waste", start=1.0, end=2.0)
    assert plain.outline == ((1.0, 0.0), (2.0, 0.0), (2.0, 1.0), (1.0, 1.0))
    assert (plain.state, plain.number, plain.words) == ("there", "", ())
    rest = offcut_span(Offcut(at=mm(5), length=mm(7)), ("A1",), state="gone")
    assert (rest.kind, rest.start, rest.end, rest.state, rest.words) == ("offcut", 5, 12, "gone", ("A1",))


def test_each_piece_has_its_words_and_its_number() -> None:
    found = spans("piece", hand_of=HANDS.get, gone={"rail:1"}, coming="rail:2")
    assert [(each.number, each.words, each.state) for each in found[:3]] == [
        ("1L", ("Rail 1", "300 mm", "left hand"), "gone"),
        ("2R", ("Rail 2", "400 mm", "right hand"), "next"),
        ("3", ("Rail 3", "200 mm"), "there"),
    ]


def test_what_is_cut_away_and_what_is_left() -> None:
    """Trims of 20 mm, a defect of 40 mm, and along 660 mm the outer 15 mm of both edges."""
    assert [(each.start, each.end, each.low, each.high, each.words) for each in spans("waste")] == [
        (0, 20, 0, 1, ("trim",)), (800, 840, 0, 1, ("defect",)),
        (840, 1500, 0, 0.15, ()), (840, 1500, 0.85, 1, ()), (1980, 2000, 0, 1, ("trim",)),
    ]  # fmt: skip
    (rest,) = spans("offcut")
    assert (rest.start, rest.end, rest.words, rest.state) == (1500, 1980, ("offcut", "480 mm"), "there")


def test_a_board_without_clear_wood_is_all_waste() -> None:
    bar = bar_of(replace(BOARD, stretches=(), pieces=(), offcuts=()), mm(100), str, str)
    assert bar.spans == (BarSpan(kind="waste", start=0.0, end=2000.0),)


@pytest.mark.parametrize(
    ("near", "wide", "waste"), [(15, 85, [(0, 0.15)]), (0, 70, [(0.7, 1)]), (15, 70, [(0, 0.15), (0.85, 1)])]
)
def test_wane_is_drawn_along_the_edges_that_have_it(near: float, wide: float, waste: list[tuple[float, float]]) -> None:
    one = replace(BOARD, stretches=(Stretch(mm(0), mm(2000), mm(near), mm(wide)),), pieces=(), offcuts=())
    assert [(each.low, each.high) for each in bar_of(one, mm(100), str, str).spans] == waste
