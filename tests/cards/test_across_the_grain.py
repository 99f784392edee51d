"""A piece with the grain across its length: the saw, the rip, the plan and the label show the same two numbers of its
blank."""

from __future__ import annotations

from tests.cards.board_shop import Saw
from tracker.cards.boards.sheet import board_sheet
from tracker.cards.labels.labels_of_run import labels_for
from tracker.cards.reports.boards import boards_lines, boards_report
from tracker.cards.reports.pieces import cards_report
from tracker.floor.boards import blank_of, laid_out
from tracker.measure import millimetres
from tracker.plan.cuts import piece_cuts
from tracker.plan.setups import plan_setups

CLEAT = """
[build]
name = "Door"
units = "mm"
[shop]
kerf = 3
end_trim = 10
[woods.ash]
species = "white ash"
thickness = 20
width = 300
lengths = ["2 m"]
rip = true
[[parts]]
id = "panel"
name = "Panel"
quantity = 2
wood = "ash"
length = 150
width = 240
allowance = 4
grain = "across"
"""


def test_the_blank_of_a_piece_across_the_grain_is_the_same_everywhere() -> None:
    """150 long and 240 wide, 4 more for the trim: the board is cut off at 240 and ripped to 154."""
    saw = Saw(CLEAT)
    build, plan = saw.run.build, saw.plan()
    part = build.part("panel")
    setups = plan_setups(build)
    stops = {cut.stop for setup in setups.setups for cut in setup.cuts if cut.operation == "cut"}
    assert stops == {millimetres(240)}
    (blank,) = (each for each in piece_cuts(build, setups, part, 1).passes if each.operation == "cut")
    assert blank.stop == blank.set == millimetres(240)
    assert blank_of(part, 1) == millimetres(240)
    (board,) = laid_out(plan)
    assert {(piece.length, piece.width) for piece in board.pieces} == {(millimetres(240), millimetres(154))}
    (wood,) = boards_report(build, plan)["woods"]
    planned = wood["boards"][0]["pieces"]
    assert {(piece["length_mm"], piece["width_mm"]) for piece in planned} == {(240.0, 154.0)}
    assert any("ripped to 154 mm" in line for line in boards_lines(build, plan))
    (label, _) = labels_for(saw.run, ("panel:1", "panel:2"))
    assert label.blank == "240 mm × 154 mm × 20 mm"
    falls = [cut.falls for board in board_sheet(saw.run, [board], "").boards for cut in board.cuts]
    assert "Panel 1, ripped to 154 mm" in falls
    assert cards_report(saw.run)["pieces"][0]["blank"]["length_mm"] == 154.0, "the blank's length is the piece's and 4"
