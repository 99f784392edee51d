"""Boards resawn into leaves, and short pieces milled as one blank: the file, the plan, the cards and the log against
sums by hand.

Kerf of 1/16 in, 1/8 in planed off each leaf, nothing under 12 in through a jointer or planer: common practice, no
source.
"""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from click.testing import CliRunner
from work.one_tablet import Bench, floor

from tracker.cards.glueup.glueup import assembly_card
from tracker.cards.piece.piece import piece_card
from tracker.cards.station.station import queue_card
from tracker.cards.wood.at_work import wood_card
from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.design.one_blank import one_blank
from tracker.floor.boards import followed, laid_out, planned
from tracker.measure import inches
from tracker.plan.boards import plan_boards, replan
from tracker.plan.boards.by_volume import volume_to_buy
from tracker.plan.boards.remaining import places, rack_board
from tracker.plan.wood import assess
from tracker.work.decide.decide import Do, Refusal
from tracker.work.decide.intents import DoTogether, KeepBoards, Spoil, UndoLast
from tracker.work.run import start_run

TEXT = """
[build]
name = "Tea chest"
units = "in"
[woods.walnut]
species = "black walnut"
rough = "8/4"
widths = "random"
[woods.oak]
species = "white oak"
rough = "4/4"
widths = "random"
[[rack]]
wood = "walnut"
length = 60
width = 9
thickness = 2
name = "W1"
[[rack]]
wood = "oak"
length = 60
width = 7
thickness = 1
name = "K1"
[[parts]]
id = "panel"
name = "Panel"
quantity = 4
wood = "walnut"
length = 18
width = 7
thickness = "3/4"
resaw = 2
[[parts]]
id = "slat"
name = "Slat"
quantity = 7
wood = "oak"
length = 5
width = "1 1/2"
[[parts]]
id = "rail"
name = "Rail"
quantity = 2
wood = "oak"
length = 16
width = 2
[[assemblies]]
id = "lid"
name = "Lid"
joins = { panel = 2 }
by = "glue"
glue = "PVA, aliphatic (yellow)"
[[assemblies]]
id = "base"
name = "Base"
joins = { panel = 2, slat = 7, rail = 2 }
by = "dry"
"""


@pytest.fixture
def bench() -> Bench:
    build = load_build(TEXT).build
    assert build is not None
    return Bench(start_run(build))


def do(bench: Bench, key: str, *steps: str) -> None:
    for step in steps:
        answer = bench.do(Do(key, step))
        assert not isinstance(answer, Refusal), (key, step, answer)


def done(bench: Bench, step: str) -> list[str]:
    return [item.key for item in bench.run.pieces if bench.state.is_done(bench.run, item, step)]


def problems(text: str) -> list[str]:
    return [each.what for each in load_build(text).problems if each.kind != "note"]


def test_what_the_wood_is_too_thin_for_is_a_problem_of_its_line() -> None:
    """2 in less 3/16 is 1 13/16; two leaves of 3/4 + 1/8 and a kerf of 1/16 are just that."""
    assert not problems(TEXT)
    thicker = TEXT.replace('thickness = "3/4"', 'thickness = "25/32"')
    (found,) = (each for each in load_build(thicker).problems if each.kind == "problem")
    assert "2 leaves with their kerf and planing take 1.6 mm more than 'walnut' is thick" in found.what
    assert TEXT.splitlines()[found.line - 1] == "resaw = 2"
    assert any("whole boards of 2 leaves" in each for each in problems(TEXT.replace("quantity = 4", "quantity = 5")))
    assert problems(TEXT.replace("resaw = 2", "resaw = 1"))


def test_leaves_without_a_thickness_are_as_thick_as_the_wood_gives() -> None:
    loaded = load_build(TEXT.replace('thickness = "3/4"\n', "").replace("resaw = 2", "resaw = 3"))
    assert not loaded.build
    build = load_build(TEXT.replace('thickness = "3/4"\n', "").replace("quantity = 4", "quantity = 6")
                       .replace("resaw = 2", "resaw = 3")).build  # fmt: skip
    assert build is not None
    leaf = (Fraction(29, 16) - 2 * Fraction(1, 16) - 3 * Fraction(1, 8)) / 3
    assert build.part("panel").thickness.per("in") == leaf


def test_a_mirror_pair_is_one_board() -> None:
    build = load_build(TEXT.replace("quantity = 4", "left = 2\nright = 2")).build
    assert build is not None
    part = build.part("panel")
    assert [one_blank(part, build.wood("walnut"), each) for each in range(1, 5)] == [(1, 3), (2, 4), (1, 3), (2, 4)]


def test_both_leaves_lie_in_one_place_and_are_bought_once(bench: Bench) -> None:
    """The lid's board: 18 x 7 1/4 of 8/4, twice; seven slats in blanks of 4 and 3, not seven blanks of 5 in."""
    build = bench.run.build
    plan = plan_boards(build, keep_going=lambda: True)
    assert not plan.unplaced
    lying = dict(places(plan))
    assert len(lying) == 13
    assert lying["panel", 1] == lying["panel", 2] != lying["panel", 3] == lying["panel", 4]
    slats = {lying["slat", n].at.mm + 10**6 * lying["slat", n].across.mm: lying["slat", n] for n in range(1, 8)}
    assert sorted(place.length.per("in") for place in slats.values()) == [
        3 * 5 + 2 * Fraction(1, 8), 4 * 5 + 3 * Fraction(1, 8)
    ]  # fmt: skip
    needs = volume_to_buy(build, build.wood("walnut"), ())
    assert needs is not None
    assert needs.pieces == 4
    assert needs.net / inches(1).mm ** 3 == 2 * 18 * Fraction(29, 4) * 2
    (walnut,) = (each for each in plan.woods if each.wood == "walnut")
    whole = walnut.boards[0].in_blanks.per("in")
    assert whole == 2 * 18 * Fraction(29, 4) / 9


def test_a_leaf_that_is_spoiled_asks_for_a_new_board_and_the_other_stays(bench: Bench) -> None:
    build = bench.run.build
    plan = plan_boards(build, keep_going=lambda: True)
    done = set(places(plan)) - {("panel", 2)}
    left = [rack_board(build, board) for board in build.rack]
    again = replan(build, left=left, done=done, previous={}, keep_going=lambda: True)
    assert [piece.id for wood in again.plan.woods for board in wood.boards for piece in board.pieces] == [("panel", 2)]


def test_what_is_done_to_the_board_is_done_to_both_leaves(bench: Bench) -> None:
    plan = plan_boards(bench.run.build, keep_going=lambda: True)
    bench.do(KeepBoards(planned(laid_out(plan))))
    card = piece_card(floor(bench), "panel:1")
    assert card.action.text == "Panel 1, 2 are cut"
    do(bench, "panel:1", "cut")
    assert done(bench, "cut") == ["panel:1", "panel:2"]
    bench.do(UndoLast("panel:2"))
    assert done(bench, "cut") == []
    answer = bench.do(DoTogether(("panel:1", "panel:2", "panel:3", "panel:4"), "cut"))
    assert not isinstance(answer, Refusal)
    assert done(bench, "cut") == [f"panel:{n}" for n in (1, 2, 3, 4)]
    do(bench, "panel:2", "joint", "resaw")
    assert done(bench, "resaw") == ["panel:1", "panel:2"]
    do(bench, "panel:2", "rest", "plane")
    assert done(bench, "plane") == ["panel:2"]
    bench.do(Spoil("panel:2", "split"))
    do(bench, "panel:2", "cut")
    assert done(bench, "joint") == ["panel:1"]


def test_the_card_says_fence_kerf_faces_and_marks(bench: Bench) -> None:
    do(bench, "panel:1", "cut")
    card = piece_card(floor(bench), "panel:1")
    assert card.to_set.lines == ("then resaw, fence 7\u20448″", "then plane to 3\u20444″")
    assert "Panel 1, 2 are one blank" in card.said
    do(bench, "panel:1", "joint")
    card = piece_card(floor(bench), "panel:1")
    assert (card.to_set.headline, card.to_set.reading.text) == ("Tall fence", "7\u20448″")  # type: ignore[union-attr]
    assert card.to_set.lines == ("kerf 1\u204416″, then plane to 3\u20444″",)
    assert "Mark the match first" in card.said
    assert card.resaw is not None
    assert card.shape is card.resaw
    # By hand: two leaves of 7/8 in and a kerf of 1/16 in are 1 13/16 in, 46.0375 mm; 7/8 in is 22.225 mm.
    assert (card.resaw.whole, card.resaw.leaf, card.resaw.kerf) == (46.0375, 22.225, 1.5875)
    assert "Guard down to the wood" in card.action.caution
    for words in ("triangle over end A", "the sawn faces were the inside", "ends A side by side", "the seam"):
        assert words in card.marking
    do(bench, "panel:1", "resaw")
    card = piece_card(floor(bench), "panel:1")
    assert card.to_set.reading == "rest"
    assert card.action.text == "Panel 1 is rested"
    do(bench, "panel:1", "rest")
    card = piece_card(floor(bench), "panel:1")
    assert card.to_set.reading.text == "3\u20444″"  # type: ignore[union-attr]
    assert "match" in card.to_set.lines[1]


def test_the_glue_up_says_how_the_leaves_lie(bench: Bench) -> None:
    lines = [line for line in wood_card(floor(bench), "lid:1").lines if "book match" in line.title]
    assert [line.title for line in lines] == ["Panel 1, 2: a book match"]
    assert "ends A" in lines[0].said
    assert assembly_card(floor(bench), "lid:1").title == "Lid"


def test_short_pieces_are_milled_in_one_and_cut_to_length_after_it(bench: Bench) -> None:
    """3 x 5 + 2/8 = 15 1/4, 4 x 5 + 3/8 = 20 3/8: the least that is 12 in or more, shared out evenly."""
    card = piece_card(floor(bench), "slat:1")
    assert card.to_set.reading.text == "20\u20093\u20448″"  # type: ignore[union-attr]
    assert "Leave Slat 1 to 4 in one length until milled: at least 12″ (see manual)." in card.said
    assert card.action.text == "Slat 1 to 4 are cut"
    do(bench, "slat:1", "cut", "joint", "plane", "rip")
    assert done(bench, "rip") == [f"slat:{n}" for n in (1, 2, 3, 4)]
    card = piece_card(floor(bench), "slat:1")
    assert card.to_set.headline == "Mark, no stop"
    assert card.to_set.reading.text == "5″"  # type: ignore[union-attr]
    do(bench, "slat:1", "cut to length")
    assert done(bench, "cut to length") == ["slat:1"]


def test_one_that_is_alone_is_left_long_enough() -> None:
    text = TEXT.replace("quantity = 7", "quantity = 1").replace("slat = 7", "slat = 1")
    build = load_build(text).build
    assert build is not None
    plan = plan_boards(build, keep_going=lambda: True)
    assert places(plan)["slat", 1].length == inches(12)
    none = load_build(text.replace('rough = "4/4"', 'rough = "4/4"\nmill = { shortest = 0 }')).build
    assert none is not None
    assert places(plan_boards(none, keep_going=lambda: True))["slat", 1].length == inches(5)


def test_the_queue_mills_from_thick_to_thin_and_wide_to_narrow(bench: Bench) -> None:
    for key in ("panel:1", "panel:3"):
        do(bench, key, "cut", "joint", "resaw")
    for n in range(1, 5):
        do(bench, f"panel:{n}", "rest")
    for key in ("slat:1", "slat:5", "rail:1", "rail:2"):
        do(bench, key, "cut", "joint")
    groups = [group.setup for group in queue_card(floor(bench), "saw").groups if group.title == "Plane to thickness"]
    assert groups == ["to 13\u204416″", "to 3\u20444″"]
    for n in range(1, 5):
        do(bench, f"panel:{n}", "plane")
    for key in ("slat:1", "slat:5", "rail:1", "rail:2"):
        do(bench, key, "plane")
    groups = [group.setup for group in queue_card(floor(bench), "saw").groups if group.title == "Rip to width"]
    assert groups == ["fence 7″", "fence 2″", "fence 1\u20091\u20442″"]


def test_setups_list_the_milling_of_the_stack(tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("mill") / "chest.toml"
    path.write_text(TEXT)
    result = CliRunner().invoke(commands, ["setups", str(path), "--json"])
    assert result.exit_code == 0, result.output
    stack = json.loads(result.output)["milling"]
    found = [(each["operation"], each["setting_mm"] and round(each["setting_mm"] / 25.4, 4)) for each in stack]
    assert found == [
        ("joint", None), ("resaw", 0.875), ("plane", 0.8125), ("plane", 0.75),
        ("rip", 7), ("rip", 2), ("rip", 1.5),
    ]  # fmt: skip
    assert [len(each["pieces"]) for each in stack] == [13, 4, 9, 4, 4, 2, 7]
    boards = CliRunner().invoke(commands, ["boards", str(path)])
    assert "Panel 1 + 2" in boards.output
    assert "Slat 1 + 2 + 3 + 4" in boards.output


def test_leaves_are_cut_from_a_board_whose_mitres_are_nested() -> None:
    """Leaves lie at one place and share no cut, though neighbours nearer than a kerf do."""
    text = TEXT.replace("[woods.walnut]", "[shop]\nnest_miters = true\n[woods.walnut]")
    text = text.replace('rough = "8/4"\nwidths = "random"', 'thickness = 2\nwidth = 9\nlengths = ["8 ft"]')
    build = load_build(text).build
    assert build is not None
    bench = Bench(start_run(build))
    bench.do(KeepBoards(planned(laid_out(plan_boards(build, keep_going=lambda: True)))))
    (walnut,) = (board for board in followed(bench.run, bench.state) if board.wood == "walnut")
    assert [piece.piece for piece in walnut.pieces] == [1, 2, 3, 4]
    assert [piece.piece for piece in walnut.blanks] == [1, 3]


def test_leaves_glued_edge_to_edge_move_as_one_panel() -> None:
    """Two leaves of 7 in are 14 in wide. A chest's four sides of two boards are no panel, and no book."""
    build = load_build(TEXT).build
    assert build is not None
    widths = {each.of: each.width / 25.4 for each in assess(build).movements}
    assert widths["Lid"] == pytest.approx(14)
    text = TEXT.replace("joins = { panel = 2 }", "joins = { panel = 4 }").replace("panel = 2, slat", "slat")
    sides = load_build(text).build
    assert sides is not None
    assert "Lid" not in {each.of for each in assess(sides).movements}
    bench = Bench(start_run(sides))
    assert not [line for line in wood_card(floor(bench), "lid:1").lines if "book match" in line.title]
