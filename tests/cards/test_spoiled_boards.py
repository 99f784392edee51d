"""How a spoiled piece and a revised file change the boards."""

from __future__ import annotations

from pathlib import Path

from tests.cards.board_shop import SHELF, Saw, board_of, cut_all_of
from tracker.cards.boards.replanning import changes
from tracker.design.load import load_build
from tracker.floor.board_words import from_words, place_to_cut
from tracker.floor.boards import followed, key_of
from tracker.floor.cut_progress import at_the_saw
from tracker.floor.replanning import BoardProposal, is_cheaper, lost_pieces, needed, new_plans, replan_request
from tracker.work.decide.intents import Do, UndoEntry, UndoLast
from tracker.work.run import start_run


def test_a_spoiled_piece_needs_a_new_plan_and_nothing_else_does(taken: Saw) -> None:
    assert not needed(taken.floor)
    taken.tap("cedar/1")
    assert not needed(taken.floor)
    first = key_of(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces[0])
    assert taken.spoil(first) is None
    part, _, number = first.rpartition(":")
    assert lost_pieces(replan_request(taken.floor)) == ((part, int(number)),)
    taken.take_new_plan()
    assert not needed(taken.floor)


SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"


def test_a_spoiled_pieces_own_card_doesnt_send_one_to_wood_that_is_gone(taken: Saw) -> None:
    taken.tap("cedar/1")
    first = key_of(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces[0])
    taken.spoil(first)
    item = taken.run.items[first]
    assert place_to_cut(taken.floor, item) is None
    assert from_words(taken.floor, item) == "its wood is gone: see Boards for a new plan"
    taken.do(Do(first, "cut"))
    assert taken.state.of(taken.run, item)[-1].done.board == "", "cut all the same, nobody knows from where"
    taken.do(UndoLast(first))
    taken.take_new_plan()
    assert place_to_cut(taken.floor, item) is not None
    assert from_words(taken.floor, item).startswith("from cedar board ")


def test_a_small_spoiled_piece_comes_from_what_is_left_and_the_others_stay(taken: Saw) -> None:
    # The 6 ft board has 18 in to spare for another cleat of 6.
    key = board_of(taken, "cleat:1")
    while not taken.state.is_done(taken.run, taken.run.items["cleat:1"], "cut"):
        taken.tap(key)
    taken.spoil("cleat:1")
    answer = taken.plan_again()
    assert answer.plan.cost == 0, "nothing is bought"
    (told,) = changes(taken.floor, answer)
    assert told.startswith("Cleat 1 now from ")
    card = taken.card(answer=BoardProposal(least_change=answer, least_cost=None))
    assert told in card.said
    assert card.board is not None
    assert card.board.action.text == "Use this plan"


def test_where_nothing_is_long_enough_a_new_board_is_said_with_its_cost(taken: Saw) -> None:
    cut_all_of(taken, "cedar/1")
    cut_all_of(taken, "cedar/2")
    taken.spoil("side:1")
    answer = taken.plan_again()
    assert answer.plan.cost == 8, "the cheaper length will do for 30 in"
    assert changes(taken.floor, answer) == ("Side 1 now from a new cedar board 3, to be bought: 6′",)
    assert "$8 more" in taken.card(answer=BoardProposal(least_change=None, least_cost=answer)).said


def test_what_was_cut_stays_cut_on_its_board_when_a_new_plan_is_taken(taken: Saw) -> None:
    taken.tap("cedar/1")
    taken.tap("cedar/1")
    before = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1")
    first, second = (key_of(piece) for piece in before.pieces[:2])
    taken.spoil(second)
    taken.take_new_plan()
    board = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1")
    saw = at_the_saw(taken.floor, board)
    assert saw.cut == {first}
    assert [away.place.length for away in saw.spoiled] == [before.pieces[1].length]
    kinds = {span.kind for span in taken.card("cedar/1").board.bar.spans}  # type: ignore[union-attr]
    assert "spoiled" in kinds


def test_a_piece_that_is_good_after_all_is_taken_back_and_no_new_plan_is_asked(taken: Saw) -> None:
    taken.tap("cedar/1")
    first = key_of(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces[0])
    taken.spoil(first)
    undo = taken.card(answer=BoardProposal(least_change=taken.plan_again(), least_cost=None)).board.undo  # type: ignore[union-attr]
    assert undo is not None
    assert isinstance(undo.intent, UndoEntry)
    assert taken.do(undo.intent) is None
    assert not needed(taken.floor)


def test_of_two_new_plans_one_changes_nothing_else_and_the_other_costs_less() -> None:
    saw = Saw((SAMPLES / "hall_bench.toml").read_text())
    saw.take_plan()
    saw.tap("strips/1")
    saw.spoil("strip-1:1")
    least_change, least_cost = saw.plan_again(only_the_lost=True), saw.plan_again()
    (told,) = changes(saw.floor, least_change)
    assert told.startswith("Strip A 1 now from ")
    assert is_cheaper(least_cost, least_change) == (least_cost.plan.cost < least_change.plan.cost)
    proposal = BoardProposal(least_change=least_change, least_cost=least_cost)
    first, other = saw.card(answer=proposal), saw.card(answer=proposal, cheaper=True)
    assert (first.other, other.other) == ("cheaper", "fewer changes")
    assert told in first.said
    assert first.said != other.said
    waiting = {piece.id for board in followed(saw.run, saw.state) for piece in board.pieces}
    saw.take_new_plan(only_the_lost=True)
    assert {piece.id for board in followed(saw.run, saw.state) for piece in board.pieces} == waiting


def test_what_moves_nothing_else_is_offered_first_and_only_where_a_piece_was_lost(taken: Saw) -> None:
    build = taken.run.build
    unasked = list(new_plans(build, replan_request(taken.floor), keep_going=lambda: True))
    assert all(proposal.least_change is None for proposal in unasked), (
        "nothing is lost: there is nothing to keep in its place"
    )
    taken.tap("cedar/1")
    first = key_of(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces[0])
    assert taken.spoil(first) is None
    offered = next(iter(new_plans(build, replan_request(taken.floor), keep_going=lambda: True)))
    assert offered.least_change is not None
    assert offered.least_cost is None
    moved = [words for words in changes(taken.floor, offered.least_change) if " now " in words]
    assert len(moved) <= 1, "at most the lost piece itself"


def test_a_piece_for_which_there_is_no_board_is_said_before_and_after() -> None:
    long = '[[parts]]\nid = "rail"\nname = "Rail"\nquantity = 2\nwood = "cedar"\nlength = 100\n'
    saw = Saw(SHELF + long)
    said = saw.card(answer=saw.plan()).said
    assert said.startswith("No board for Rail 1, 2: needs 100″ in one clear stretch; the longest of cedar is 95″.")
    saw.take_plan()
    last = saw.card().groups[-1]
    assert (last.title, last.said) == ("No board yet", "Rail 1, 2: plan again")


def test_a_revised_build_file_is_planned_anew_where_it_changed_and_forgets_what_it_lost(taken: Saw) -> None:
    first = board_of(taken, "cleat:1")
    while not taken.state.is_done(taken.run, taken.run.items["cleat:1"], "cut"):
        taken.tap(first)
    longer = SHELF.replace("length = 20", "length = 21").replace("quantity = 4", "quantity = 3")
    loaded = load_build(longer.encode())
    assert loaded.build is not None
    taken.run = start_run(loaded.build)
    assert {part for part, _ in lost_pieces(replan_request(taken.floor))} == {"shelf"}
    taken.take_new_plan(only_the_lost=True)
    assert not needed(taken.floor)
    shelves = [p for b in followed(taken.run, taken.state) for p in b.pieces if p.part == "shelf"]
    assert {float(piece.length) for piece in shelves} == {21 * 25.4}
    assert "cleat:4" not in {key_of(piece) for b in followed(taken.run, taken.state) for piece in b.pieces}


def test_a_piece_whose_route_names_no_cut_is_off_its_board_with_its_first_step() -> None:
    saw = Saw(SHELF.replace('name = "Cleat"', 'name = "Cleat"\nroute = ["drill", "sand 120"]'))
    saw.take_plan()
    while any(not at_the_saw(saw.floor, board).finished for board in followed(saw.run, saw.state)):
        saw.tap()
    assert saw.state.is_done(saw.run, saw.run.items["cleat:4"], "drill")
