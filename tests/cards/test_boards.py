"""Boards at the saw: the plan, the next cut, and the measurement to it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.cards.board_shop import Saw
from tracker.cards.boards.boards import boards_card
from tracker.floor.boards import followed, key_of, laid_out
from tracker.floor.cut_progress import at_the_saw
from tracker.measure import inches
from tracker.measure.length import of_grid
from tracker.plan.boards import BoardPlan, Proof
from tracker.work.decide.intents import Do, UndoLast
from tracker.work.run import item_key

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"


def test_before_a_plan_is_taken_its_card_says_what_it_costs_and_what_is_proved(saw: Saw) -> None:
    card = saw.card(answer=saw.plan())
    assert not card.is_followed
    # By hand: 8 + 10 USD; of 168 in, 144 go into pieces: 14.3 % don't.
    assert card.said == "$18, lowest cost possible (proved). 14 % waste."
    assert card.board is not None
    assert card.board.reading is None
    assert card.board.action.text == "Use this plan"


def test_while_better_plans_are_looked_for_the_card_says_how_far_off_it_may_be(saw: Saw) -> None:
    plan = saw.plan()
    wood = replace(plan.woods[0], cost=Decimal(20), proof=Proof())
    card = boards_card(saw.floor, BoardPlan(woods=(wood,)), True, "")
    assert card.said.startswith("$20, within 11.2 % of the least possible; still looking for better.")
    assert card.board is not None
    assert card.board.action.said == "as good as it is now"
    assert card.board.action.ready, "it can be taken at once"


def test_a_plan_that_is_kept_lies_just_where_it_was_planned(saw: Saw) -> None:
    plan = saw.plan()
    saw.take_plan()
    kept = {board.key: board for board in followed(saw.run, saw.state)}
    for board in laid_out(plan):
        assert kept[board.key].pieces == board.pieces, "exact, though the log keeps whole numbers"
        assert kept[board.key].stretches == board.stretches
        assert kept[board.key].offcuts == board.offcuts
        assert kept[board.key].price == board.price


@pytest.mark.parametrize("name", ["planter", "stool", "hall_bench"])
def test_the_sample_plans_too_are_kept_exactly(name: str) -> None:
    saw = Saw((SAMPLES / f"{name}.toml").read_text())
    plan = saw.plan()
    saw.take_plan()
    assert [b.pieces for b in followed(saw.run, saw.state)] == [b.pieces for b in laid_out(plan)]


def test_the_first_cut_squares_the_end_and_the_number_is_measured_from_there(taken: Saw) -> None:
    board = taken.card("cedar/1").board
    assert board is not None
    assert board.first == "First square end A (takes 1⁄2″)."
    assert "manual" in board.caution
    assert board.reading is not None
    assert board.reading.plain in ('6"', '20"', '30"')
    assert board.measured == "from the squared end A"


def test_a_tick_goes_on_to_the_next_piece_and_keeps_the_board_and_the_place(taken: Saw) -> None:
    pieces = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces
    taken.tap("cedar/1")
    tick = taken.state.tick(taken.run, taken.run.items[key_of(pieces[0])], "cut")
    assert tick is not None
    assert tick.done.board == "cedar/1"
    assert abs(of_grid(tick.done.at) - pieces[0].at) < of_grid(2)
    board = taken.card("cedar/1").board
    assert board is not None
    assert board.falls == f"Cut off {taken.run.items[key_of(pieces[1])].short}"
    assert not board.first
    assert board.bar.cut == pytest.approx(float(pieces[1].end))
    assert board.bar.cut_from == pytest.approx(float(pieces[1].at)), "the tape is hooked at the fresh end"


def test_each_number_is_the_blank_and_the_marks_add_up_with_the_kerfs(taken: Saw) -> None:
    board = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1")
    at = inches("1/2")
    for piece in board.pieces:
        card = taken.card("cedar/1").board
        assert card is not None
        assert card.reading is not None
        assert inches(Fraction(card.reading.whole)) == piece.length
        assert card.bar.cut == pytest.approx(float(at + piece.length))
        at = at + piece.length + inches("1/8")
        taken.tap("cedar/1")


def test_what_is_held_only_gets_shorter_and_a_short_one_is_clamped(taken: Saw) -> None:
    words, first = [], []
    for _ in next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces:
        card = taken.card("cedar/1").board
        assert card is not None
        words.append(card.words)
        first.append(card.first)
        taken.tap("cedar/1")
    assert first[0].startswith("First square")
    assert not any(first[1:])
    assert all("Hold the" in each or "clamp the board" in each for each in words)


def test_a_blank_cut_at_the_station_is_gone_from_its_board(taken: Saw) -> None:
    board = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1")
    first = key_of(board.pieces[0])
    assert taken.do(Do(first, "cut")) is None
    saw = at_the_saw(taken.floor, board)
    assert saw.cut == {first}
    assert saw.left.begins == board.pieces[0].end + inches("1/8")


def test_an_undo_takes_back_the_last_cut_of_the_board_and_before_any_cut_the_plan(taken: Saw) -> None:
    undo = taken.card("cedar/1").board.undo  # type: ignore[union-attr]
    assert undo is not None
    assert undo.text == "this plan"
    taken.tap("cedar/1")
    taken.tap("cedar/1")
    last = key_of(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces[1])
    undo = taken.card("cedar/1").board.undo  # type: ignore[union-attr]
    assert undo is not None
    assert undo.intent == UndoLast(last, run=undo.intent.run)
    assert taken.do(undo.intent) is None
    assert not taken.state.is_done(taken.run, taken.run.items[last], "cut")


def test_the_list_counts_what_is_cut(taken: Saw) -> None:
    count = len(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces)
    for done in range(1, count + 1):
        taken.tap("cedar/1")
        row = next(row for group in taken.card().groups for row in group.rows if row.key == "cedar/1")
        assert row.said.endswith("all cut" if done == count else f"{done} of {count} cut")
        assert row.tone == ("done" if done == count else "ready")


def test_keys_of_boards_and_pieces_are_those_of_the_run(taken: Saw) -> None:
    keys = {key_of(piece) for board in followed(taken.run, taken.state) for piece in board.pieces}
    assert keys == {item_key(part.id, n) for part in taken.run.build.parts for n in range(1, part.quantity + 1)}
