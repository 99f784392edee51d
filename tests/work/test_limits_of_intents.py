"""What an intent may say at the most and at the least: just within is done, just beyond is refused in these words."""

from __future__ import annotations

from typing import Any

import pytest
from work.one_tablet import BUILD, Bench, towel_frame

from tracker.design.load import load_build
from tracker.work.decide import decide as d
from tracker.work.facts import Defect, PlannedBoard, PlannedCut
from tracker.work.run import start_run

RUN = towel_frame()
METRES_20 = 20_000 * 320
"""In whole numbers of 1/320 mm."""


@pytest.fixture
def bench() -> Bench:
    bench = Bench(RUN)
    bench.must(d.Do("rail:1", "cut"))
    return bench


def answer(bench: Bench, intent: d.Intent) -> str:
    """The refusal; empty where it is done."""
    refused = d.refusal(bench.run, bench.state, intent, bench.now)
    found = d.decide(bench.run, bench.state, intent, bench.now)
    assert refused == (found if isinstance(found, d.Refusal) else None)
    if refused is None:
        return ""
    assert not refused.overridable
    return refused.reason


LONG_NOTE = "A note has at most 500 letters."
NO_MEASURE = "That isn't a measure of a piece."
NO_TIME = "No label says such a time."
NO_AIR = "A shop has from −30 °C to 60 °C and from 0 to 100 per cent."
NO_METER = "A meter reads from 3 to 60 %."
SHORT_NAME = "A board on the rack needs a short name."
NO_SIZE = "That isn't the size of a board."
NO_DEFECT = "A defect begins and ends on the board."
NO_PHOTO = "A photo is a file in the folder of pictures."
NO_BOARD = "This build has no such board."
NO_PIECE = "This build has no such piece."


def board(**changes: Any) -> d.Rack:
    return d.Rack(**({"name": "K1", "wood": "ash", "length": 640_000} | changes))


def defects(*places: tuple[int, int, int]) -> d.Rack:
    return board(defects=tuple(Defect(start, end, "near" if deep else "far", deep) for start, end, deep in places))


LIMITS: list[tuple[d.Intent, str]] = [
    (d.Note("rail:1", "x" * 500), ""), (d.Note("rail:1", "x" * 501), LONG_NOTE),
    (d.Note("rail:1", " \n"), "There is nothing to note."), (d.Note("rail:9", "x"), NO_PIECE),
    (d.Measure("rail:1", "width", 1, 1), ""), (d.Measure("rail:1", "width", 1, 0), NO_MEASURE),
    (d.Measure("rail:1", "width", 1, METRES_20), ""), (d.Measure("rail:1", "width", 1, METRES_20 + 1), NO_MEASURE),
    (d.Measure("rail:2", "width", 1, 1), "Rail 2 isn't cut yet."),
    (d.Measure("frame:1", "width", 1, 1), "Frame isn't a single piece."),
    (d.Overrule("frame:1", "clamp", 1), ""), (d.Overrule("frame:1", "clamp", 0), NO_TIME),
    (d.Overrule("frame:1", "clamp", 120 * 86_400), ""), (d.Overrule("frame:1", "clamp", 120 * 86_400 + 1), NO_TIME),
    (d.Overrule("rail:1", "clamp", 60), "Rail 1 has no such wait."),
    (d.SetAir(-30, 0), ""), (d.SetAir(-30.1, 0), NO_AIR), (d.SetAir(60, 100), ""), (d.SetAir(60.1, 100), NO_AIR),
    (d.SetAir(20, -0.1), NO_AIR), (d.SetAir(20, 100.1), NO_AIR),
    (d.ReadMoisture("rail:1", 3), ""), (d.ReadMoisture("rail:1", 2.9), NO_METER),
    (d.ReadMoisture("rail:1", 60), ""), (d.ReadMoisture("rail:1", 60.1), NO_METER),
    (d.ReadMoisture("rack/K9", 10), NO_PIECE),
    (d.Label(()), "There is nothing to label."), (d.Label(("rail:1", "frame:1")), ""), (d.Label(("rail:9",)), NO_PIECE),
    (d.Spoil("rail:2", "x"), "Nothing was done to Rail 2 yet."), (d.Spoil("rail:1", "x"), ""),
    (d.Resume("rail:1"), "Rail 1 isn't set aside."), (d.PutAside("rail:1", "x"), ""),
    (d.UndoLabels(), "There are no labels to take back."), (d.UndoEntry(("saw", 99)), "There is nothing to take back."),
    (d.DoTogether(("rail:2",), "cut"), "Tick those one by one."),
    (d.DoTogether(("rail:2", "rail:2"), "cut"), "Tick those one by one."),
    (d.DoTogether(("rail:2", "frame:1"), "cut"), "Tick those one by one."),
    (d.DoTogether(("rail:2", "rail:9"), "cut"), "Tick those one by one."),
    (d.DoTogether(("rail:2", "peg:1"), "cut"), ""),
    (d.DoTogether(("rail:2", "rail:1"), "cut"), "Rail 1 is cut already."),
    (d.DoTogether(("rail:1", "rail:2"), "trim A"), "Rail 2: Not cut yet"),
    (d.DoTogether(("rail:1", "peg:1"), "trim A"), "Peg 1: This build has no such step."),
    (d.Do("rail:1", "plane"), "This build has no such step."), (d.Do("rail:9", "cut"), "This build has no such step."),
    (d.GiveBack("K1"), "K1 isn't a board that was entered here."),
    (d.Swap("rail:1", "peg:1"), "Rail 1 can change places only with another piece of the same part and hand."),
    (d.Swap("peg:1", "peg:2"), "Peg 1 can change places only with another piece of the same part and hand."),
    (d.Swap("rail:1", "rail:1"), "Rail 1 can change places only with another piece of the same part and hand."),
    (d.Swap("rail:1", "rail:9"), "Rail 1 can change places only with another piece of the same part and hand."),
    (d.Swap("rail:1", "rail:2"), "Both go into Frame."),
    (d.CheckIn("frame:1", "rail:9"), NO_PIECE),
    (d.CheckIn("frame:1", "frame:1"), "Frame isn't for Frame: it goes into nothing."),
    (d.Check("frame:1", "moon"), "The checklist has no such line."),
    (d.Check("rail:1", "pads"), "The checklist has no such line."),
    (d.Prove("frame:1", "flat", True), "Frame has no such check."),
    (d.Prove("rail:1", "flat", True), "Rail 1 has no such check."),
    (board(), ""), (board(name="x"), ""), (board(name="x" * 40), ""),
    (board(name="x" * 41), SHORT_NAME), (board(name=" "), SHORT_NAME),
    (board(wood="oak"), NO_BOARD), (board(length=1), ""), (board(length=0), NO_BOARD), (board(length=-1), NO_BOARD),
    (board(length=METRES_20), ""), (board(length=METRES_20 + 1), NO_SIZE),
    (board(width=METRES_20), ""), (board(width=METRES_20 + 1), NO_SIZE), (board(width=-1), NO_SIZE),
    (board(thickness=METRES_20), ""), (board(thickness=METRES_20 + 1), NO_SIZE), (board(thickness=-1), NO_SIZE),
    (defects((0, 1, 0)), ""), (defects((-1, 1, 0)), NO_DEFECT), (defects((1, 1, 0)), NO_DEFECT),
    (defects((5, 640_000, 0)), ""), (defects((5, 640_001, 0)), NO_DEFECT), (defects((0, 9, -1)), NO_DEFECT),
    (defects((0, 9, 1)), ""), (defects((0, 9, 0), (9, 5, 0)), NO_DEFECT),
    (defects(*[(0, 1, 0)] * 60), ""), (defects(*[(0, 1, 0)] * 61), "A board has up to 60 defects."),
    (board(picture="k1.jpg"), ""), (board(picture="x" * 255), ""), (board(picture="x" * 256), NO_PHOTO),
    (board(picture=".k1"), NO_PHOTO), (board(picture="a/b"), NO_PHOTO), (board(picture="a\\b"), NO_PHOTO),
    (board(picture="a\0b"), NO_PHOTO), (board(again=True), "K1 isn't a board that was entered here."),
    (d.ConfirmClock((("saw", 1),)), "That timer isn't known."),
    (d.ConfirmClock((("saw", 9),)), "That timer isn't known."),
    (d.ConfirmClock(()), ""), (d.Answer(("saw", 1)), "That timer isn't running any more."),
]  # fmt: skip


@pytest.mark.parametrize(("intent", "refused"), LIMITS, ids=lambda each: str(each)[:60])
def test_each_limit(bench: Bench, intent: d.Intent, refused: str) -> None:
    assert answer(bench, intent) == refused


def cut_on(key: str, *cuts: tuple[str, int, int], length: int = 640_000) -> PlannedBoard:
    return PlannedBoard(key, "ash", "rack", length, tuple(PlannedCut(*each) for each in cuts))


A, B = ("rail:1", 0, 160_000), ("rail:2", 160_000, 160_000)


@pytest.mark.parametrize(
    ("boards", "sound"),
    [
        ((cut_on("ash/1", A, B),), True),
        ((cut_on("ash/1", A), cut_on("ash/2", B)), True),
        ((cut_on("ash/1"),), True),
        ((cut_on("ash/1", A, A),), False),
        ((cut_on("ash/1", A), cut_on("ash/1", B)), False),
        ((cut_on("ash/1", A), cut_on("ash/2", A)), False),
        ((cut_on("ash/1", A, ("rail:9", 200_000, 9)),), False),
        ((cut_on("ash/1", ("rail:1", 480_000, 160_000)),), True),
        ((cut_on("ash/1", ("rail:1", 480_001, 160_000)),), False),
        ((cut_on("ash/1", ("rail:1", -1, 160_000)),), False),
        ((cut_on("ash/1", ("rail:1", 0, 0)),), False),
        ((cut_on("ash/1", ("rail:1", 0, 1)),), True),
    ],
)
def test_a_plan_has_each_board_and_each_piece_once_and_within(
    bench: Bench, boards: tuple[PlannedBoard, ...], sound: bool
) -> None:
    assert answer(bench, d.KeepBoards(boards)) == ("" if sound else "This plan isn't one of this build.")


def test_there_is_no_plan_without_boards(bench: Bench) -> None:
    assert answer(bench, d.KeepBoards(())) == "There is no plan to keep."


def test_a_name_on_the_rack_is_taken_once(bench: Bench) -> None:
    bench.must(board())
    assert answer(bench, board()) == "There is a board K1 on the rack already."
    assert answer(bench, board(again=True, price="12.50")) == ""
    assert answer(bench, d.ReadMoisture("rack/K1", 9)) == ""
    assert answer(bench, d.Label(("rack/K1",))) == ""
    listed = load_build(f'{BUILD}[[rack]]\nname = "R1"\nwood = "ash"\nlength = 900\n').build
    assert listed is not None
    bench.run = start_run(listed)
    assert answer(bench, board(name="R1")) == "There is a board R1 on the rack already."
    assert answer(bench, board(name="R1", again=True)) == "R1 isn't a board that was entered here."
    assert answer(bench, d.ReadMoisture("rack/R1", 9)) == ""
    assert answer(bench, d.Label(("rack/R1", "rail:1"))) == ""


@pytest.mark.parametrize(
    ("changes", "same"),
    [
        ({}, True), ({"price": "9"}, True), ({"picture": "a.jpg"}, True), ({"length": 640_001}, False),
        ({"width": 1}, False), ({"thickness": 1}, False), ({"defects": (Defect(0, 1),)}, False),
    ],
)  # fmt: skip
def test_a_board_from_which_something_was_cut_keeps_its_sizes(
    bench: Bench, changes: dict[str, Any], same: bool
) -> None:
    bench.must(board())
    assert answer(bench, board(again=True, **changes)) == ""
    bench.must(d.Do("rail:2", "cut", board="rack/K1"))
    refused = "Rail 2 was cut from it: its sizes stay as they were."
    assert answer(bench, board(again=True, **changes)) == ("" if same else refused)
    assert answer(bench, d.GiveBack("K1")) == "Rail 2 was cut from it: its rest goes to the rack by itself."
    assert answer(bench, board(name="K2", **changes)) == ""


def test_an_intent_for_another_run_is_refused_and_names_both(bench: Bench) -> None:
    said = "Not marked: that was meant for Stool, and Towel frame is open now."
    assert answer(bench, d.Note("rail:1", "x", run="Stool#1")) == said
    assert answer(bench, d.Note("rail:1", "x", run=bench.run.name)) == ""
