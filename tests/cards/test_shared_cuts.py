"""Pieces that share a mitred cut, and boards that are ripped into lanes."""

from __future__ import annotations

import pytest

from tests.cards.board_shop import Saw
from tracker.floor.boards import followed
from tracker.floor.cut_progress import at_the_saw
from tracker.floor.replanning import lost_pieces, needed, replan_request

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
        assert "swing 45°" in card.measured
        (coming,) = [span for span in card.bar.spans if span.state == "next"]
        long, short = (0, 1) if edges[-1] == "near" else (1, 0)
        for back in (coming.left, coming.right):  # w tan 45°: the drawing's long edge is the one that is measured
            assert back[long] == 0
            assert back[short] == pytest.approx(7.25 * 25.4)
        saw.tap()
        assert not needed(saw.floor)
    assert edges in (["far", "near"] * 2 + ["far"], ["near", "far"] * 2 + ["near"])
    first, second = [span for span in card.bar.spans if span.kind == "piece"][:2]
    # w tan 45° = 7.25 in: each corner is back so far, and neighbours are parallel along the shared cut.
    assert max(first.right) == pytest.approx(7.25 * 25.4)
    assert (first.right[0] > 0) == (second.left[1] > 0)


def test_a_ripped_board_is_cut_into_sections_and_these_into_lanes() -> None:
    saw = Saw(CRATE)
    saw.take_plan()
    card = saw.card().board
    assert card is not None
    assert card.falls == "Cut off a section"
    assert "Then rip lane 1 to 2\u20091⁄2″ and cut it at 24″. Use a push stick." in card.words
    saw.tap()
    card = saw.card().board
    assert card is not None
    assert card.falls.endswith("from its lane")
    assert card.words.startswith("Lane 2: rip to 2\u20091⁄2″. Use a push stick.")
    spans = [span for span in card.bar.spans if span.kind == "piece"]
    assert {(round(span.low, 3), round(span.high, 3)) for span in spans} >= {(0.0, round(2.5 / 9.25, 3))}
    first = next(item.key for item in saw.run.pieces if saw.state.is_done(saw.run, item, "cut"))
    saw.spoil(first)
    assert len(lost_pieces(replan_request(saw.floor))) == 1, "its neighbours in the section stay"
    saw.take_new_plan(only_the_lost=True)
    while any(not at_the_saw(saw.floor, board).finished for board in followed(saw.run, saw.state)):
        saw.tap()
    assert all(saw.state.is_done(saw.run, item, "cut") for item in saw.run.pieces)
