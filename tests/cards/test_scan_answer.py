"""What a scanned code means: every answer, for every code, at every place and in every state of a glue-up."""

from __future__ import annotations

from pathlib import Path

import pytest
from work.one_tablet import Bench, floor

from tests.cards.board_shop import Saw
from tracker.cards.reports.scan import scan_lines
from tracker.cards.scan.code_meaning import (
    NO_LONGER,
    NOT_OURS,
    AboutBoard,
    AskLibrary,
    CheckedIn,
    NotCheckedIn,
    NotKnown,
    OfAnotherBuild,
    Owner,
    ScanAnswer,
    ShowItem,
    TakeBoard,
    scan_answer,
)
from tracker.design.load import load_build
from tracker.floor.boards import followed
from tracker.work.codes import code_for, grouped
from tracker.work.decide.intents import CheckIn, Do
from tracker.work.run import start_run

STOOL = Path(__file__).parent.parent.parent / "sample_projects" / "stool.toml"
FRAME, MEMBERS = "frame:1", ("leg:1", "leg:2", "rail:1")
STRANGER = code_for("somebody's build", "leg:1")


@pytest.fixture
def stool() -> Bench:
    build = load_build(STOOL.read_bytes()).build
    assert build is not None
    return Bench(start_run(build))


def answer(bench: Bench, key: str, assembly: str = FRAME) -> ScanAnswer:
    return scan_answer(bench.run.codes[key], floor(bench), assembly)


def ready(bench: Bench, *keys: str) -> None:
    """Do every step of the pieces before the joining."""
    for key in keys:
        for step in bench.run.items[key].route:
            assert bench.do(Do(key, step.id)) is None


def go_on(bench: Bench, key: str, until: str) -> None:
    """Do an assembly's steps up to and including `until`, with the waits that they need."""
    for step in bench.run.items[key].route:
        if step.id == "spread":
            bench.check_all(key)
        refusal = bench.do(Do(key, step.id))
        if refusal is not None:
            bench.time += 30 * 3600
            assert bench.do(Do(key, step.id)) is None, step
        if step.id == until:
            return


def test_everywhere_but_at_the_glue_up_an_items_label_brings_up_its_card(stool: Bench) -> None:
    for key in stool.run.items:
        assert answer(stool, key, "") == ShowItem(key)


@pytest.mark.parametrize("text", ["", "ABCDE12345", "https://example.org", "x" * 500, "4006381333931", "桌子"])
def test_a_text_that_is_no_code_is_said_with_and_without_a_build(stool: Bench, text: str) -> None:
    for where in (None, floor(stool)):
        for assembly in ("", FRAME):
            assert scan_answer(text, where, assembly) == NotKnown(NOT_OURS)


def test_a_code_is_read_as_a_person_types_it(stool: Bench) -> None:
    code = stool.run.codes["leg:3"]
    for text in (code.lower(), grouped(code), f" {code[:5]}-{code[5:]} "):
        assert scan_answer(text, floor(stool)) == ShowItem("leg:3")


def test_without_a_build_every_code_is_looked_up(stool: Bench) -> None:
    for code in (*stool.run.codes.values(), STRANGER):
        assert scan_answer(code, None) == AskLibrary(code)


@pytest.mark.parametrize("assembly", ["", FRAME])
def test_a_code_that_the_build_lacks_is_looked_up_and_then_said(stool: Bench, assembly: str) -> None:
    here = floor(stool)
    assert scan_answer(STRANGER, here, assembly) == AskLibrary(STRANGER)
    nobody = scan_answer(STRANGER, here, assembly, None)
    assert isinstance(nobody, NotKnown)
    assert grouped(STRANGER) in nobody.message
    for has_file in (True, False):
        owner = Owner("other-run", "Somebody's build", has_file)
        expected = OfAnotherBuild(STRANGER, "Somebody's build", "other-run", has_file)
        assert scan_answer(STRANGER, here, assembly, owner) == expected
        assert scan_answer(STRANGER, None, assembly, owner) == expected
    gone = Owner(stool.run.name, stool.run.build.name, True)
    assert scan_answer(STRANGER, here, assembly, gone) == NotKnown(NO_LONGER)


def test_what_was_looked_up_never_outweighs_the_build_in_hand(stool: Bench) -> None:
    owner = Owner("other-run", "Somebody's build", True)
    for key, code in stool.run.codes.items():
        if key in stool.run.items:
            assert scan_answer(code, floor(stool), "", owner) == ShowItem(key)


def test_at_the_glue_up_pieces_are_counted_one_by_one(stool: Bench) -> None:
    ready(stool, *MEMBERS)
    for number, key in enumerate(MEMBERS, 1):
        found = answer(stool, key)
        assert isinstance(found, CheckedIn)
        assert (found.key, found.intent) == (key, CheckIn(FRAME, key, run=stool.run.name))
        assert "is in: " in found.message
        assert stool.do(found.intent) is None
        again = answer(stool, key)
        assert isinstance(again, CheckedIn)
        assert "was already in: " in again.message
        assert again.intent is None
        count = "all 3 scanned." if number == 3 else f"{number} of 3 scanned"
        assert count in again.message


def test_at_the_glue_up_what_is_not_ready_or_goes_elsewhere_is_refused_by_name(stool: Bench) -> None:
    ready(stool, "leg:1", "leg:3")
    goes_elsewhere = answer(stool, "leg:3")
    assert goes_elsewhere == NotCheckedIn("Leg 3 isn't part of Leg frame 1. It goes into Leg frame 2.")
    assert answer(stool, "leg:2") == NotCheckedIn("Leg 2 isn't ready: not cut yet. It was not counted.")
    assert answer(stool, FRAME) == ShowItem(FRAME)
    assert answer(stool, "frame:2") == ShowItem("frame:2")


@pytest.mark.parametrize("done", ["", "dry fit", "spread", "clamp", "unclamp"])
def test_every_item_at_every_glue_up_in_every_state(stool: Bench, done: str) -> None:
    """The answer follows from three facts: whether the glue-up still takes parts, whether the item is one of them, and
    whether it is ready; only a part that is ready gets a `CheckedIn`."""
    pieces = [key for key, item in stool.run.items.items() if item.kind == "piece"]
    ready(stool, *pieces[: len(pieces) - 1])
    if done:
        go_on(stool, FRAME, done)
    here = floor(stool)
    for assembly in [key for key, item in stool.run.items.items() if item.kind == "assembly"]:
        joined = stool.run.items[assembly]
        ticked = {step.id for step in joined.route if here.state.is_done(stool.run, joined, step.id)}
        for key in stool.run.items:
            found = answer(stool, key, assembly)
            if "clamp" in ticked or key == assembly:
                assert found == ShowItem(key)
            elif isinstance(found, CheckedIn):
                assert key in here.state.members(stool.run, joined)
                whole = stool.run.items[key]
                assert all(here.state.is_done(stool.run, whole, step.id) for step in whole.route)
            elif isinstance(found, ShowItem):
                assert stool.run.items[key].kind == "assembly"
            else:
                assert isinstance(found, NotCheckedIn)
                assert found.message


def test_at_the_glue_up_of_an_assembly_that_is_no_more_the_card_comes_up(stool: Bench) -> None:
    assert answer(stool, "leg:1", "gone:1") == ShowItem("leg:1")


def test_a_board_of_the_rack_is_described_or_taken_where_something_is_to_be_cut_from_it() -> None:
    saw = Saw(STOOL.read_text())
    racks = {key: code for key, code in saw.run.codes.items() if key.startswith("rack/")}
    assert racks
    for code in racks.values():
        found = scan_answer(code, saw.floor)
        assert isinstance(found, AboutBoard)
        assert found.message.startswith("Board ")
    saw.take_plan()
    planned = {board.key for board in followed(saw.run, saw.state)}
    assert planned & set(racks)
    for key, code in racks.items():
        for assembly in ("", *(key for key, item in saw.run.items.items() if item.kind == "assembly")):
            found = scan_answer(code, saw.floor, assembly)
            assert found == TakeBoard(key) if key in planned else isinstance(found, AboutBoard)


def test_a_picture_without_a_label_is_said_once() -> None:
    assert list(scan_lines([{"picture": "a.png", "codes": []}])) == ["a.png: not a Kerfcard label"]
    known = {"code": "0123456789", "valid": True, "item": {"title": "Leg 2 of 4"}}
    assert len(list(scan_lines([{"picture": "a.png", "codes": [known]}]))) == 1
