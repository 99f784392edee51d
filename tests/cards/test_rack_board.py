"""A board on the rack: entered as it was measured, measured again, its defects, price and photo, and given back."""

from __future__ import annotations

import pytest
from work.one_tablet import Bench, floor

from tracker.cards.rack.rack import (
    board_card,
    changed,
    defect_words,
    enter_board,
    give_back,
    next_name,
    photo_of,
    rack_card,
    size_options,
    usual_sizes,
    with_defect,
    with_photo,
    with_price,
    with_size,
)
from tracker.design.load import load_build
from tracker.measure import Length, millimetres
from tracker.measure.length import ZERO
from tracker.work.decide.decide import Do, ReadMoisture
from tracker.work.facts import Defect
from tracker.work.run import start_run

BUILD = """
[build]
name = "Bench"
units = "mm"
currency = "EUR"
[woods.oak]
species = "white oak"
thickness = 20
width = 100
lengths = ["2 m"]
[woods.rough]
species = "white oak"
thickness = 20
rough = "27 mm"
widths = "random"
price_per_cubic_metre = 2000
[woods.ply]
species = "yellow birch"
thickness = 12
sheets = [["1220 mm", "2440 mm"]]
[[rack]]
wood = "oak"
length = 900
name = "R1"
defects = [[100, 140]]
[[parts]]
id = "rail"
name = "Rail"
quantity = 2
wood = "oak"
length = 500
[[parts]]
id = "board"
name = "Board"
wood = "rough"
length = 700
width = 150
[[assemblies]]
id = "all"
joins = { rail = 2, board = 1 }
by = "dry"
"""
KEY = "rack/A1"


def sizes(*each: int) -> tuple[Length, Length, Length]:
    length, width, thickness = map(millimetres, each)
    return length, width, thickness


@pytest.fixture
def shop() -> Bench:
    loaded = load_build(BUILD)
    assert loaded.build is not None, loaded.problems
    bench = Bench(start_run(loaded.build))
    assert bench.do(enter_board(floor(bench), "oak", sizes(1500, 120, 21))) is None
    return bench


def test_an_entered_board_is_on_the_rack_above_those_of_the_file(shop: Bench) -> None:
    card = rack_card(floor(shop))
    assert [(row.key, row.title, row.said, row.tone) for row in card.rows] == [
        (KEY, "A1: 1500 mm × 120 mm × 21 mm", "oak · no label yet", "ready"),
        ("rack/R1", "R1: 900 mm × 100 mm × 20 mm", "oak · 1 defect · no label yet", "ready"),
    ]
    assert card.woods == (("oak", "oak: white oak"), ("rough", "rough: white oak")), "sheets aren't entered"
    assert next_name(floor(shop)) == "A2"


def test_what_is_likely_of_a_wood_is_proposed(shop: Bench) -> None:
    """The usual width of bought boards; of rough wood no two boards are equally wide, and it is still thick."""
    assert usual_sizes(floor(shop), "oak") == (ZERO, millimetres(100), millimetres(20))
    assert usual_sizes(floor(shop), "rough") == (ZERO, ZERO, millimetres(27))


def test_everything_that_can_be_done_with_a_board(shop: Bench) -> None:
    card = board_card(floor(shop), KEY)
    assert (card.title, card.said) == ("Board A1", "1500 mm × 120 mm × 21 mm")
    assert [(each.key, each.said, each.tone, each.why) for each in card.options] == [
        ("size", "1500 mm × 120 mm × 21 mm", "", ""), ("defect", "none so far", "", ""),
        ("moisture", "read the meter", "", ""), ("price", "not known", "", ""),
        ("photo", "none yet", "", ""),
        ("give back", "no longer on the rack", "caution", ""),
    ]  # fmt: skip
    own = board_card(floor(shop), "rack/R1")
    assert (own.title, own.said) == ("Board R1", "900 mm × 100 mm × 20 mm. Change it in the build file.")
    assert [each.key for each in own.options] == ["moisture"]
    assert [(each.key, each.text, each.said) for each in size_options(floor(shop), KEY)] == [
        ("length", "Length", "1500 mm"), ("width", "Width", "120 mm"), ("thickness", "Thickness", "21 mm"),
    ]  # fmt: skip


def test_a_size_is_measured_again_and_the_others_stay(shop: Bench) -> None:
    assert photo_of(floor(shop), KEY) is None
    for what, size, expected in (
        ("length", 1480, "1480 mm × 120 mm × 21 mm"), ("width", 118, "1480 mm × 118 mm × 21 mm"),
        ("thickness", 19, "1480 mm × 118 mm × 19 mm"),
    ):  # fmt: skip
        assert shop.do(with_size(floor(shop), KEY, what, millimetres(size))) is None  # type: ignore[arg-type]
        assert board_card(floor(shop), KEY).said == expected
    assert changed(floor(shop), KEY).rough_ends
    assert changed(floor(shop), KEY).again


def test_defects_price_photo_and_moisture_are_kept_together(shop: Bench) -> None:
    """A knot across the board, measured from its far side first; wane of 15 mm along an edge."""
    assert shop.do(with_defect(floor(shop), KEY, millimetres(640), millimetres(600), "", None)) is None
    assert shop.do(with_defect(floor(shop), KEY, millimetres(0), millimetres(300), "far", millimetres(15))) is None
    assert shop.do(with_price(floor(shop), KEY, 18.5)) is None
    assert shop.do(with_photo(floor(shop), KEY, "a1.jpg")) is None
    assert shop.do(ReadMoisture(KEY, 9.5, run=shop.run.name)) is None
    fact = shop.state.racked(shop.run)["A1"].fact
    assert fact.defects == (Defect(600 * 320, 640 * 320, "near", 0), Defect(0, 300 * 320, "far", 15 * 320))
    assert defect_words(floor(shop), fact.defects) == (
        "defect 600 mm to 640 mm", "15 mm of the far edge, 0 mm to 300 mm",
    )  # fmt: skip
    card = board_card(floor(shop), KEY)
    assert card.said == "1500 mm × 120 mm × 21 mm; defect 600 mm to 640 mm; 15 mm of the far edge, 0 mm to 300 mm"
    said = {each.key: each.said for each in card.options}
    assert said["defect"] == "2 so far"
    assert (said["price"], said["photo"], said["moisture"]) == ("€18.50", "a1.jpg", "9.5 %, just now")
    photo = photo_of(floor(shop), KEY)
    assert photo is not None
    assert photo.file == "a1.jpg"
    assert rack_card(floor(shop)).rows[0].said == "oak · 2 defects · 9.5 % · no label yet"


def test_a_board_that_was_cut_is_not_changed_any_more(shop: Bench) -> None:
    assert shop.do(Do("rail:1", "cut", board=KEY, run=shop.run.name)) is None
    card = board_card(floor(shop), KEY)
    assert {each.key: each.why for each in card.options if each.why} == dict.fromkeys(
        ("size", "defect", "give back"), "Rail 1 was cut from it."
    )
    assert card.options[-1].said == "Rail 1 was cut from it."
    row = rack_card(floor(shop)).rows[0]
    assert (row.said, row.tone) == ("oak · no label yet · in use", "done")


def test_a_board_is_given_back(shop: Bench) -> None:
    assert shop.do(give_back(floor(shop), KEY)) is None
    assert [row.key for row in rack_card(floor(shop)).rows] == ["rack/R1"]
