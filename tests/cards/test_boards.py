"""Boards at the saw: what is cut next and how it is measured, what a spoiled piece changes, what goes to the rack."""

from __future__ import annotations

import random
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.cards.board_shop import SHELF, Saw
from tracker.cards.boards import boards_card
from tracker.cards.cutting import at_the_saw
from tracker.cards.from_board import from_words, planned_place
from tracker.cards.label_of import label_keys, labels_for
from tracker.cards.laid import blank_of, followed, key_of, laid_out
from tracker.cards.racked import with_racked
from tracker.cards.replanning import Proposal, again, changes, is_cheaper, lost_pieces, needed
from tracker.cards.scanned import scanned
from tracker.design.load import load_build
from tracker.measure import Length, inches
from tracker.measure.length import of_grid
from tracker.plan.boards import BoardPlan, Proof, clear_stretches
from tracker.plan.boards.left import BoardLeft
from tracker.work.facts import Done
from tracker.work.intents import Do, Label, TakeBack, TakeBackFact
from tracker.work.run import item_key, start_run

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"


@pytest.fixture
def saw() -> Saw:
    return Saw()


@pytest.fixture
def taken(saw: Saw) -> Saw:
    saw.take_plan()
    return saw


def board_of(saw: Saw, key: str) -> str:
    """The key of the board that a piece is planned on."""
    found = [b.key for b in followed(saw.run, saw.state) if any(key_of(p) == key for p in b.pieces)]
    assert len(found) == 1
    return found[0]


# -- the plan ----------------------------------------------------------------------------------------------------------


def test_before_a_plan_is_taken_its_card_says_what_it_costs_and_what_is_proved(saw: Saw) -> None:
    card = saw.card(answer=saw.plan())
    assert not card.is_followed
    # By hand: 8 + 10 USD; of 168 in, 144 go into pieces: 14.3 % don't.
    assert card.said == "18.00 USD, least cost, proved. 14 % of the wood goes into trim, kerfs and offcuts."
    assert card.board is not None
    assert card.board.reading is None
    assert card.board.action.text == "Use plan"


def test_while_better_plans_are_looked_for_the_card_says_how_far_off_it_may_be(saw: Saw) -> None:
    plan = saw.plan()
    wood = replace(plan.woods[0], cost=Decimal(20), proof=Proof())
    card = boards_card(saw.floor, BoardPlan(woods=(wood,)), True, "")
    assert card.said.startswith("20.00 USD, within 11.2 % of the least possible; still looking for better.")
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


# -- cut by cut --------------------------------------------------------------------------------------------------------


def test_the_first_cut_squares_the_end_and_the_number_is_measured_from_there(taken: Saw) -> None:
    board = taken.card("cedar/1").board
    assert board is not None
    assert board.words.startswith("First square end A: 1⁄2″ off.")
    assert "manual governs" in board.words
    assert board.reading is not None
    assert board.reading.plain in ('6"', '20"', '30"')
    assert board.measured == "from its new end A"


def test_a_tick_goes_on_to_the_next_piece_and_keeps_the_board_and_the_place(taken: Saw) -> None:
    pieces = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces
    taken.tap("cedar/1")
    tick = taken.state.tick(taken.run, taken.run.items[key_of(pieces[0])], "cut")
    assert tick is not None
    assert tick.done.board == "cedar/1"
    assert abs(of_grid(tick.done.at) - pieces[0].at) < of_grid(2)
    board = taken.card("cedar/1").board
    assert board is not None
    assert board.falls == f"{taken.run.items[key_of(pieces[1])].short} falls off"
    assert "First square" not in board.words
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
    words = []
    for _ in next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces:
        card = taken.card("cedar/1").board
        assert card is not None
        words.append(card.words)
        taken.tap("cedar/1")
    assert words[0].startswith("First square")
    assert all("Hold the" in each or "clamp the board" in each for each in words)


def test_a_blank_cut_at_the_station_is_gone_from_its_board(taken: Saw) -> None:
    board = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1")
    first = key_of(board.pieces[0])
    assert taken.do(Do(first, "cut")) is None
    saw = at_the_saw(taken.floor, board)
    assert saw.gone == {first}
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
    assert undo.intent == TakeBack(last)
    assert taken.do(undo.intent) is None
    assert not taken.state.is_done(taken.run, taken.run.items[last], "cut")


def test_the_list_counts_what_is_cut(taken: Saw) -> None:
    count = len(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces)
    for done in range(1, count + 1):
        taken.tap("cedar/1")
        row = next(row for group in taken.card().groups for row in group.rows if row.key == "cedar/1")
        assert row.said.endswith("all cut" if done == count else f"{done} of {count} cut")
        assert row.tone == ("done" if done == count else "ready")


# -- a spoiled piece ---------------------------------------------------------------------------------------------------


def cut_all_of(saw: Saw, key: str) -> None:
    while (board := saw.card(key).board) and isinstance(board.action.intent, Do):
        saw.tap(key)


def test_a_spoiled_piece_needs_a_new_plan_and_nothing_else_does(taken: Saw) -> None:
    assert not needed(taken.floor)
    taken.tap("cedar/1")
    assert not needed(taken.floor)
    first = key_of(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces[0])
    assert taken.spoil(first) is None
    part, _, number = first.rpartition(":")
    assert lost_pieces(again(taken.floor)) == ((part, int(number)),)
    taken.take_new_plan()
    assert not needed(taken.floor)


def test_a_spoiled_pieces_own_card_doesnt_send_one_to_wood_that_is_gone(taken: Saw) -> None:
    taken.tap("cedar/1")
    first = key_of(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces[0])
    taken.spoil(first)
    item = taken.run.items[first]
    assert planned_place(taken.floor, item) is None
    assert from_words(taken.floor, item) == "its wood is gone: see Boards for a new plan"
    taken.do(Do(first, "cut"))
    assert taken.state.of(taken.run, item)[-1].done.board == "", "cut all the same, nobody knows from where"
    taken.do(TakeBack(first))
    taken.take_new_plan()
    assert planned_place(taken.floor, item) is not None
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
    card = taken.card(answer=Proposal(calm=answer, cheap=None))
    assert told in card.said
    assert card.board is not None
    assert card.board.action.text == "Use plan"


def test_where_nothing_is_long_enough_a_new_board_is_said_with_its_cost(taken: Saw) -> None:
    cut_all_of(taken, "cedar/1")
    cut_all_of(taken, "cedar/2")
    taken.spoil("side:1")
    answer = taken.plan_again()
    assert answer.plan.cost == 8, "the cheaper length will do for 30 in"
    assert changes(taken.floor, answer) == ("Side 1 now from a new cedar board 3, to be bought: 6′",)
    assert "Extra 8.00 USD" in taken.card(answer=Proposal(calm=None, cheap=answer)).said


def test_what_was_cut_stays_cut_on_its_board_when_a_new_plan_is_taken(taken: Saw) -> None:
    taken.tap("cedar/1")
    taken.tap("cedar/1")
    before = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1")
    first, second = (key_of(piece) for piece in before.pieces[:2])
    taken.spoil(second)
    taken.take_new_plan()
    board = next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1")
    saw = at_the_saw(taken.floor, board)
    assert saw.gone == {first}
    assert [away.place.length for away in saw.spoiled] == [before.pieces[1].length]
    kinds = {span.kind for span in taken.card("cedar/1").board.bar.spans}  # type: ignore[union-attr]
    assert "spoiled" in kinds


def test_a_piece_that_is_good_after_all_is_taken_back_and_no_new_plan_is_asked(taken: Saw) -> None:
    taken.tap("cedar/1")
    first = key_of(next(b for b in followed(taken.run, taken.state) if b.key == "cedar/1").pieces[0])
    taken.spoil(first)
    undo = taken.card(answer=Proposal(calm=taken.plan_again(), cheap=None)).board.undo  # type: ignore[union-attr]
    assert undo is not None
    assert isinstance(undo.intent, TakeBackFact)
    assert taken.do(undo.intent) is None
    assert not needed(taken.floor)


def test_of_two_new_plans_one_changes_nothing_else_and_the_other_costs_less() -> None:
    saw = Saw((SAMPLES / "hall_bench.toml").read_text())
    saw.take_plan()
    saw.tap("oak/1")
    saw.spoil("strip-1:1")
    calm, cheap = saw.plan_again(only_the_lost=True), saw.plan_again()
    (told,) = changes(saw.floor, calm)
    assert told.startswith("Strip A 1 now from ")
    assert is_cheaper(cheap, calm) == (cheap.plan.cost < calm.plan.cost)
    proposal = Proposal(calm=calm, cheap=cheap)
    first, other = saw.card(answer=proposal), saw.card(answer=proposal, cheaper=True)
    assert (first.other, other.other) == ("cheaper", "fewer changes")
    assert told in first.said
    assert first.said != other.said
    waiting = {piece.id for board in followed(saw.run, saw.state) for piece in board.pieces}
    saw.take_new_plan(only_the_lost=True)
    assert {piece.id for board in followed(saw.run, saw.state) for piece in board.pieces} == waiting


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
    assert {part for part, _ in lost_pieces(again(taken.floor))} == {"shelf"}
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


def wood_in_hand(saw: Saw) -> tuple[BoardLeft, ...]:
    return again(saw.floor).left


# -- the rack ----------------------------------------------------------------------------------------------------------


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
    assert scanned(run, label.code).board == "rack/A1"
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


# -- shared cuts and lanes ---------------------------------------------------------------------------------------------

FRAME = """
[build]
name = "Frames"
units = "in"
[shop]
nest_miters = true
[woods.oak]
species = "white oak"
section = "1x8"
lengths = ["8 ft"]
prices = [20]
[[parts]]
id = "rail"
name = "Rail"
quantity = 5
wood = "oak"
length = 24
end_a = { miter = 45, long = "far" }
end_b = { miter = 45, long = "far" }
"""
CRATE = """
[build]
name = "Crate"
units = "in"
[woods.pine]
species = "eastern white pine"
section = "1x10"
rip = true
lengths = ["6 ft"]
prices = [12]
[[parts]]
id = "slat"
name = "Slat"
quantity = 6
wood = "pine"
width = "2 1/2"
length = 24
"""


def test_pieces_that_share_mitred_cuts_are_cut_one_after_the_other_along_alternate_edges() -> None:
    saw = Saw(FRAME)
    saw.take_plan()
    edges = []
    for _ in range(5):
        card = saw.card().board
        assert card is not None
        assert card.reading is not None
        assert card.reading.plain == '24"', "the long edge, which is what the tape meets"
        edges.append("near" if "near edge" in card.measured else "far")
        assert "mitre 45°" in card.measured
        saw.tap()
        assert not needed(saw.floor)
    assert edges in (["far", "near"] * 2 + ["far"], ["near", "far"] * 2 + ["near"])
    first, second = [span for span in card.bar.spans if span.kind == "piece"][:2]
    # w tan 45° = 7.25 in: each corner stands back so far, and neighbours are parallel along the shared cut.
    assert max(first.right) == pytest.approx(7.25 * 25.4)
    assert (first.right[0] > 0) == (second.left[1] > 0)


def test_a_ripped_board_is_cut_into_sections_and_these_into_lanes() -> None:
    saw = Saw(CRATE)
    saw.take_plan()
    card = saw.card().board
    assert card is not None
    assert card.falls == "A section falls off"
    assert "Then rip lane 1 to 2\u20091⁄2″ (push stick), cut at 24″." in card.words
    saw.tap()
    card = saw.card().board
    assert card is not None
    assert card.falls.endswith("from its lane")
    assert card.words.startswith("Lane 2, ripped to 2\u20091⁄2″ (push stick).")
    spans = [span for span in card.bar.spans if span.kind == "piece"]
    assert {(round(span.low, 3), round(span.high, 3)) for span in spans} >= {(0.0, round(2.5 / 9.25, 3))}
    first = next(item.key for item in saw.run.pieces if saw.state.is_done(saw.run, item, "cut"))
    saw.spoil(first)
    assert len(lost_pieces(again(saw.floor))) == 1, "its neighbours in the section stay"
    saw.take_new_plan(only_the_lost=True)
    while any(not at_the_saw(saw.floor, board).finished for board in followed(saw.run, saw.state)):
        saw.tap()
    assert all(saw.state.is_done(saw.run, item, "cut") for item in saw.run.pieces)


# -- a whole day -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("text", [SHELF, *((SAMPLES / f"{name}.toml").read_text() for name in ("planter", "stool"))])
def test_after_a_day_of_cuts_and_mishaps_every_piece_is_cut_from_wood_that_was_there(text: str, seed: int) -> None:
    """Checked on the log alone: blanks on a board keep a kerf apart and off its trims and defects."""
    saw, chance = Saw(text), random.Random(seed)
    saw.take_plan()
    mishaps = 4
    for _ in range(200):
        boards = [b for b in followed(saw.run, saw.state) if not at_the_saw(saw.floor, b).finished]
        if not boards:
            break
        if chance.random() < 0.2:  # at the station, in whatever order
            waiting = [key_of(p) for board in boards for p in at_the_saw(saw.floor, board).left.pieces]
            assert saw.do(Do(chance.choice(waiting), "cut")) is None
        else:
            saw.tap(chance.choice(boards).key)
        done = [item.key for item in saw.run.pieces if saw.state.is_done(saw.run, item, "cut")]
        if mishaps and chance.random() < 0.25:
            mishaps -= 1
            assert saw.spoil(chance.choice(done)) is None
        finished = [b for b in followed(saw.run, saw.state) if at_the_saw(saw.floor, b).finished]
        for board in finished:
            card = saw.card(board.key).board
            if card and card.action.text == "Rack offcut" and chance.random() < 0.5:
                saw.tap(board.key)
        if needed(saw.floor):
            saw.take_new_plan(only_the_lost=chance.random() < 0.5)
    assert all(saw.state.is_done(saw.run, item, "cut") for item in saw.run.pieces)
    judge_the_log(saw)


def judge_the_log(saw: Saw) -> None:
    build, kerf, hair = saw.run.build, saw.run.build.shop.kerf, of_grid(4)
    taken: dict[str, list[tuple[Length, Length]]] = {}
    for entry in saw.entries:
        if isinstance(entry.fact, Done) and entry.fact.step == "cut":
            item = saw.run.items[entry.fact.item]
            assert entry.fact.board, "every cut says its board"
            at = of_grid(entry.fact.at)
            taken.setdefault(entry.fact.board, []).append((at, at + blank_of(build.part(item.id), item.number)))
    planned = {board.key: board for board in saw.state.boards(saw.run)}
    racked = saw.state.racked(saw.run)
    rack = {f"rack/{board.name}": board for board in build.rack}
    for key, places in taken.items():
        places.sort()
        for (_, end), (start, _) in pairwise(places):
            assert end + kerf <= start + hair, f"{key}: {float(end)} and {float(start)}"
        if key in rack:
            own = rack[key]
            trim = build.shop.end_trim if own.end_trim is None else own.end_trim
            clear = clear_stretches(own.length, trim, own.defects, kerf)
        elif key.removeprefix("rack/") in racked:
            clear = clear_stretches(of_grid(racked[key.removeprefix("rack/")].fact.length), of_grid(0), (), kerf)
        else:
            clear = clear_stretches(of_grid(planned[key].length), build.shop.end_trim, (), kerf)
        for start, end in places:
            assert any(s.start - hair <= start and end <= s.end + hair for s in clear), f"{key}: {float(start)}"
    for name, kept in racked.items():
        cut = sum((end - start for start, end in taken.get(kept.fact.board, [])), of_grid(0))
        whole = planned[kept.fact.board].length if kept.fact.board in planned else None
        if whole is not None:
            assert cut + of_grid(kept.fact.length) < of_grid(whole), name


def test_keys_of_boards_and_pieces_are_those_of_the_run(taken: Saw) -> None:
    keys = {key_of(piece) for board in followed(taken.run, taken.state) for piece in board.pieces}
    assert keys == {item_key(part.id, n) for part in taken.run.build.parts for n in range(1, part.quantity + 1)}
