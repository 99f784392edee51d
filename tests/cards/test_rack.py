"""Offcuts that go to the rack and are stock from then on."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.cards.board_shop import Saw, cut_all_of
from tracker.cards.labels.labels_of_run import label_keys, labels_for
from tracker.cards.scan.code_meaning import AboutBoard, scan_answer
from tracker.floor.boards import followed
from tracker.floor.floor import Floor
from tracker.floor.rack import with_racked
from tracker.floor.replanning import replan_request
from tracker.measure import Length, inches
from tracker.measure.length import of_grid
from tracker.plan.boards.remaining import BoardLeft
from tracker.work.decide.intents import Label


def wood_in_hand(saw: Saw) -> tuple[BoardLeft, ...]:
    return replan_request(saw.floor).left


def test_an_offcut_worth_keeping_goes_to_the_rack_with_a_name_a_code_and_a_label(taken: Saw) -> None:
    board = next(b for b in followed(taken.run, taken.state) if b.longest_offcut >= inches(12))
    cut_all_of(taken, board.key)
    assert taken.tap(board.key).startswith("Rack offcut: as A1, ")
    kept = taken.state.racked(taken.run)["A1"]
    assert float(of_grid(kept.fact.length)) == pytest.approx(float(board.longest_offcut), abs=0.01)
    run = with_racked(taken.run, taken.state)
    assert "rack/A1" in label_keys(run)
    (label,) = labels_for(run, ["rack/A1"])
    assert label.title == "Board A1"
    answer = scan_answer(label.code, Floor(run, taken.state, taken.now))
    assert isinstance(answer, AboutBoard)
    assert answer.message.startswith("Board A1 on the rack: ")
    assert taken.do(Label(("rack/A1",))) is None
    assert taken.card(board.key).board.action.go_to != board.key  # type: ignore[union-attr]


def test_a_racked_offcut_is_wood_in_hand_once_and_not_twice(taken: Saw) -> None:
    board = next(b for b in followed(taken.run, taken.state) if b.longest_offcut >= inches(12))
    cut_all_of(taken, board.key)
    before = sum((left.clear for left in wood_in_hand(taken)), Length(Fraction(0)))
    taken.tap(board.key)
    after = sum((left.clear for left in wood_in_hand(taken)), Length(Fraction(0)))
    assert abs(float(after - before)) < 0.01
    assert any(left.key == "rack/A1" for left in wood_in_hand(taken))


def test_racking_is_undone_from_where_it_was_done(taken: Saw) -> None:
    board = next(b for b in followed(taken.run, taken.state) if b.longest_offcut >= inches(12))
    cut_all_of(taken, board.key)
    taken.tap(board.key)
    undo = taken.card(board.key).board.undo  # type: ignore[union-attr]
    assert undo is not None
    assert undo.text == "A1 on the rack"
    assert taken.do(undo.intent) is None
    assert not taken.state.racked(taken.run)
