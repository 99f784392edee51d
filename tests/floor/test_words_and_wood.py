"""Which board a piece comes from, in words; and what was measured in the shop, in numbers and in words."""

from __future__ import annotations

from typing import Any

import pytest
from work.one_tablet import BUILD, Bench, floor, towel_frame

from tracker.design.load import load_build
from tracker.floor.board_words import from_words, names_of, place_to_cut, titled
from tracker.floor.wood import found_in_shop, moisture_words
from tracker.measure import Length
from tracker.plan.wood.air import moisture_in
from tracker.plan.wood.seasons import Seasons
from tracker.work.decide.intents import Do, KeepBoards, Note, ReadMoisture, SetAir, Spoil
from tracker.work.facts import Noted, PlannedBoard, PlannedCut
from tracker.work.run import start_run

RUN = towel_frame()
PLAN = PlannedBoard(
    "ash/2", "ash", "dealer", 640_000,
    (PlannedCut("rail:1", 0, 166_400), PlannedCut("rail:2", 32_000, 166_400), PlannedCut("peg:1", 400_000, 38_400)),
)  # fmt: skip


@pytest.fixture
def bench() -> Bench:
    return Bench(RUN)


@pytest.mark.parametrize(
    ("key", "wood", "said"),
    [("rack/F2", "cedar", "board F2"), ("cedar/1", "cedar", "cedar board 1"), ("oak-8/12", "oak-8", "oak-8 board 12"),
     ("board/3", "pine board", "pine board 3"), ("b/3", "Backboard", "Backboard 3")],
)  # fmt: skip
def test_a_board_is_named_by_its_rack_name_or_its_wood(key: str, wood: str, said: str) -> None:
    assert titled(key, wood) == said


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ((), ""), (("rail:1",), "Rail 1"), (("rail:2", "rail:1"), "Rail 1, 2"), (("frame:1",), "Frame"),
        (("slat:3", "slat:1", "slat:2"), "Slat 1 to 3"), (("slat:1", "slat:2", "slat:4"), "Slat 1, 2, 4"),
        (("slat:1", "slat:3", "slat:4", "slat:5", "slat:7", "rail:1"), "Slat 1, 3 to 5, 7, Rail 1"),
    ],
)  # fmt: skip
def test_pieces_are_listed_in_rows(keys: tuple[str, ...], said: str) -> None:
    slats = '[[parts]]\nid = "slat"\nname = "Slat"\nwood = "ash"\nlength = 90\nquantity = 7\n'
    build = load_build(BUILD + slats).build
    assert build is not None
    assert names_of(start_run(build), keys) == said


def test_a_piece_still_to_be_cut_says_its_board_and_where(bench: Bench) -> None:
    rail, other, peg, unplanned = (RUN.items[key] for key in ("rail:1", "rail:2", "peg:1", "peg:2"))
    assert place_to_cut(floor(bench), rail) is None
    assert from_words(floor(bench), rail) == ""
    bench.must(KeepBoards((PLAN,)))
    assert from_words(floor(bench), rail) == "from ash board 2, at its end A"
    assert from_words(floor(bench), other) == "from ash board 2, 100 mm from its end A"
    assert from_words(floor(bench), unplanned) == ""
    assert from_words(floor(bench), RUN.items["frame:1"]) == ""
    assert place_to_cut(floor(bench), peg) == (PLAN, PLAN.pieces[2])
    bench.must(Do("rail:1", "cut"))
    assert (place_to_cut(floor(bench), rail), from_words(floor(bench), rail)) == (None, "")
    bench.must(Spoil("rail:1", "split"))
    assert from_words(floor(bench), rail) == "its wood is gone: see Boards for a new plan"
    bench.must(Do("rail:1", "cut"))
    assert from_words(floor(bench), rail) == ""


# -- the floor itself --------------------------------------------------------------------------------------------------


def test_pieces_without_an_entry_are_alike_where_part_hand_and_place_are(bench: Bench) -> None:
    items = RUN.items
    at = floor(bench)
    assert at.alike_key(items["rail:1"]) == at.alike_key(items["rail:2"]) != at.alike_key(items["peg:1"])
    assert at.alike_key(items["peg:1"]) != at.alike_key(items["peg:2"]), "one is left, the other right"
    assert at.alike_key(items["frame:1"]) == "frame:1"
    bench.write(Noted(RUN.name, "rail:1", "a knot"))
    at = floor(bench)
    assert at.alike_key(items["rail:1"]) == "rail:1"
    assert at.alike_key(items["rail:2"]) != "rail:2"
    bench.must(Do("rail:2", "cut"))
    at = floor(bench)
    assert [step.id for step in map(at.next_step, (items["rail:1"], items["rail:2"])) if step] == ["cut", "trim A"]
    refused = at.refusal(Do("rail:2", "cut"))
    assert refused is not None
    assert refused.reason == "Rail 2 is cut already."
    assert at.refusal(Do("rail:1", "cut")) is None
    assert at.refusal(Do("rail:1", "cut", anyway="My own risk")) is None
    missing = at.refusal(Do("rail:9", "cut"))
    assert missing is not None
    empty = at.refusal(Note("rail:1", ""))
    assert empty is not None
    assert empty.reason == "There is nothing to note."


def test_a_length_is_read_on_the_tape_of_the_shop(bench: Bench) -> None:
    assert floor(bench).read(Length.of("100", "mm")).text == "100 mm"
    assert floor(bench).item("rail:1") is RUN.items["rail:1"]
    assert float(floor(bench).solid(RUN.items["rail:1"]).along_board) == 520


# -- air and moisture --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("celsius", "humidity", "taken_for"),
    [(20, 50, (20, 50)), (-2, 50, (-2, 50)), (-9, 50, (-2, 50)), (60, 99, (60, 99)), (20, 100, (20, 99)),
     (20, 0, None), (20, 0.5, (20, 0.5)), (-30, 100, (-2, 99))],
)  # fmt: skip
def test_the_shops_air_is_taken_within_what_the_handbooks_equation_holds_for(
    bench: Bench, celsius: float, humidity: float, taken_for: Any
) -> None:
    """Wood Handbook (FPL-GTR-190), equation 4-5; its own check is in tests/wood."""
    assert found_in_shop(floor(bench)).shop is None
    bench.must(SetAir(celsius, humidity))
    assert found_in_shop(floor(bench)).shop == (moisture_in(*taken_for) if taken_for else None)


def test_of_several_readings_of_a_part_the_latest_counts(bench: Bench) -> None:
    def readings() -> tuple[tuple[str, float], ...]:
        return found_in_shop(floor(bench)).readings

    assert readings() == ()
    bench.must(ReadMoisture("rail:1", 9))
    bench.must(ReadMoisture("peg:1", 8))
    bench.must(ReadMoisture("rail:2", 11))
    assert readings() == (("rail", 11), ("peg", 8))
    bench.must(ReadMoisture("rail:1", 10))
    assert readings() == (("rail", 10), ("peg", 8))
    bench.must(KeepBoards((PLAN,)))
    bench.must(ReadMoisture("ash/2", 12))
    assert readings() == (("rail", 12), ("peg", 12)), "of the board that both are cut from"
    bench.must(ReadMoisture("peg:2", 7))
    assert readings() == (("peg", 7), ("rail", 12))


SEASONS = Seasons(shop=9.26, dry=6.97, damp=12.04)


@pytest.mark.parametrize(
    ("air", "entered", "origin", "home"),
    [
        ("", None, "50 % air, a default: enter the shop's own", " (default)"),
        ("", 55.5, "55.5 % air, as entered", " (default)"),
        ("shop = 45\n", 55, "45 % air, from the build file", " (default)"),
        ("home = [30, 60]\n", 55, "55 % air, as entered", ""),
    ],
)
def test_the_figures_say_what_they_rest_on(air: str, entered: float | None, origin: str, home: str) -> None:
    loaded = load_build(f"{BUILD}[air]\n{air}" if air else BUILD)
    assert loaded.build is not None, loaded.problems
    bench = Bench(start_run(loaded.build))
    if entered is not None:
        bench.must(SetAir(20, entered))
    assert moisture_words(floor(bench), SEASONS) == (
        f"Wood made at 9.3 % ({origin}), will live between 7.0 and 12.0 %{home}."
    )
