"""Movements, slots and weights in words at the borders of their rules; lengths that were compared; which body is in
front where no plane tells."""

from __future__ import annotations

import pytest
from work.one_tablet import Bench

from tracker.cards.glueup.prove import lengths_words
from tracker.cards.picture.order import back_to_front
from tracker.cards.picture.view import View
from tracker.cards.wood.words import WoodWords
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.floor.floor import Floor
from tracker.measure import millimetres
from tracker.plan.place.bodies import box
from tracker.work.run import start_run

INCH = 25.4
TEXT = """
[build]
name = "Shelf"
units = "{units}"
[shop]
mark = "{mark}"
[woods.ash]
species = "white ash"
thickness = 1
width = 5
lengths = [80]
[[parts]]
id = "shelf"
name = "Shelf"
wood = "ash"
length = 30
"""


def built(units: str, mark: str) -> Build:
    loaded = load_build(TEXT.format(units=units, mark=mark))
    assert loaded.build is not None, loaded.problems
    return loaded.build


@pytest.mark.parametrize(
    ("mark", "inches", "said"),
    [
        ("1/16", 1 / 32, "1⁄32″"), ("1/16", 7 / 32, "7⁄32″"), ("1/16", 0.2499, "1⁄4″"), ("1/16", 0.29, "5⁄16″"),
        ("1/16", 0.25, "1⁄4″"), ("1/8", 11 / 32, "3⁄8″"), ("1/32", 1 / 64 - 0.001, "under 1⁄32″"),
        ("1/64", 3 / 64, "3⁄64″"),
        ("1/64", 17 / 64, "17⁄64″"), ("1/16", -1 / 8, "1⁄8″"), ("1/16", 0.001, "under 1⁄32″"),
        ("1/64", 0.001, "under 1⁄64″"),
    ],
)  # fmt: skip
def test_a_movement_under_a_quarter_inch_is_in_thirty_seconds_or_finer(mark: str, inches: float, said: str) -> None:
    assert WoodWords(built("in", mark)).small(inches * INCH) == said


def test_movements_in_tenths_of_a_millimetre_and_slots_up_to_the_next_mark() -> None:
    """A slot that is read short would bind: 20.1 mm is 21 mm on a tape of whole millimetres."""
    words = WoodWords(built("mm", "1 mm"))
    assert [words.small(each) for each in (0.24, -3.26, 12)] == ["0.2 mm", "3.3 mm", "12.0 mm"]
    assert [words.at_least(each) for each in (20, 20.1, -20.9, 19.9999999)] == ["20 mm", "21 mm", "21 mm", "20 mm"]
    assert [words.read(each) for each in (20.4, 20.5, -20.4)] == ["20 mm", "21 mm", "20 mm"]
    inch = WoodWords(built("in", "1/16"))
    assert (inch.at_least(INCH / 2), inch.at_least(INCH / 2 + 0.1)) == ("1⁄2″", "9⁄16″")
    assert WoodWords(built("in", "1/16"), plain=True).at_least(INCH * 1.5) == '1 1/2"'


def test_weights_are_in_the_builds_own_units() -> None:
    """A pound is 0.45359237 kg (international yard and pound agreement, 1959)."""
    assert WoodWords(built("in", "1/16")).weight(45.359237) == "100 lb"
    assert WoodWords(built("mm", "1 mm")).weight(12.34) == "12.3 kg"


def test_lengths_that_should_be_alike_are_all_said_with_their_difference() -> None:
    bench = Bench(start_run(built("mm", "1 mm")))
    floor = Floor(bench.run, bench.state, bench.now)
    read = [millimetres(each) for each in (600, 602, 601)]
    assert lengths_words(floor, read) == "600 mm, 602 mm and 601 mm: 2 mm apart"
    assert lengths_words(floor, read[:2]) == "600 mm and 602 mm: 2 mm apart"
    assert lengths_words(floor, [read[0]] * 2) == "600 mm and 600 mm: alike"
    assert (lengths_words(floor, read[:1]), lengths_words(floor, [])) == ("600 mm", "")


FRONT = View(0, 0)
"""From the front: x to the right, z up, and what has the smaller y is nearer."""


@pytest.mark.parametrize("swapped", [False, True])
def test_bodies_deep_in_one_another_are_ordered_by_their_middles(swapped: bool) -> None:
    """They overlap by 5 mm, more than any joint: the one whose middle is nearer is drawn last."""
    near, far = box((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)), box((0.0, 5.0, 0.0), (10.0, 15.0, 10.0))
    order = back_to_front([near, far] if swapped else [far, near], FRONT)
    assert order == ((1, 0) if swapped else (0, 1))


@pytest.mark.parametrize("swapped", [False, True])
@pytest.mark.parametrize("gap", [0.0, 5.0, -1.0])
def test_the_one_behind_is_drawn_first_though_its_middle_is_nearer(gap: float, swapped: bool) -> None:
    """A long board beside a short one that it reaches behind; a joint may overlap by a millimetre."""
    short = box((0.0, 0.0, 0.0), (10.0, 10.0, 10.0))
    back = box((0.0, 10.0 + gap, 0.0), (10.0, 12.0 + gap, 10.0))
    order = back_to_front([short, back] if swapped else [back, short], FRONT)
    assert order == ((1, 0) if swapped else (0, 1))


def test_what_does_not_overlap_in_the_picture_is_in_order_of_depth() -> None:
    boxes = [box((at * 20.0, -at * 5.0, 0.0), (at * 20.0 + 10, 10.0 - at * 5.0, 10.0)) for at in (2, 0, 3, 1)]
    assert back_to_front(boxes, FRONT) == (1, 3, 0, 2)
    assert back_to_front([], FRONT) == ()


def test_a_ring_of_boards_that_cover_one_another_is_broken_and_all_are_drawn() -> None:
    """Four boards, each with one end over the next: no order is right, but every board is in it once."""
    boards = [
        box((0.0, -1.0, 0.0), (30.0, 1.0, 6.0)), box((24.0, -2.0, 0.0), (30.0, 0.0, 30.0)),
        box((0.0, -3.0, 24.0), (30.0, -1.0, 30.0)), box((0.0, -4.0, 0.0), (6.0, 2.0, 30.0)),
    ]  # fmt: skip
    assert sorted(back_to_front(boards, FRONT)) == [0, 1, 2, 3]
