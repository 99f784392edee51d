"""The keypad for lengths: every sequence of keys is one exact length, or is stopped with a message."""

from __future__ import annotations

from fractions import Fraction

import pytest
from bench.tape_keys import check
from bench.tape_slips import keys_for, slips

from tracker.cards.keypad.length import TapeEntry, difference_words, doubt_of, tape_card
from tracker.measure import Mark, inches, millimetres
from tracker.measure.tape_reading import MARKS, SIXTEENTH

SIXTY_FOURTH = Mark("in", Fraction(1, 64))
HALF = Mark("mm", Fraction(1, 2))


def typed(mark: Mark, *keys: str) -> TapeEntry:
    entry = TapeEntry(mark=mark)
    for key in keys:
        entry = entry.press(key)
    return entry


@pytest.mark.parametrize("mark", MARKS, ids=str)
def test_every_sequence_of_up_to_six_keys_is_one_exact_length_or_a_visible_block(mark: Mark) -> None:
    """With three digits, one of them zero; `python -m tests.bench.tape_keys` uses all ten."""
    lengths, stopped = check(mark, "017" if mark.step.denominator < 32 else "07")
    assert lengths
    assert stopped


def test_a_stopped_entry_takes_nothing_more_until_it_is_erased() -> None:
    stopped = typed(SIXTEENTH, "2", "3", "1/8", "1/16")
    assert stopped.block
    assert stopped.press("+5/8") == stopped
    assert stopped.erase().press("+5/8").length == inches("23 5/8")


def test_only_the_numerators_that_exist_have_keys() -> None:
    assert [face.key for face in typed(SIXTEENTH, "9").fraction_keys] == ["1/2", "1/4", "1/8", "1/16"]
    assert [face.key for face in typed(SIXTEENTH, "9", "1/8").numerator_keys] == ["+1/8", "+3/8", "+5/8", "+7/8"]
    assert [face.key for face in typed(SIXTEENTH, "9", "1/2").numerator_keys] == ["+1/2"]
    assert len(typed(SIXTY_FOURTH, "9", "1/64").numerator_keys) == 32


def test_millimetres_take_the_steps_of_the_tape() -> None:
    assert typed(HALF, "4", "3", "4", "+1/2").length == millimetres(Fraction(869, 2))
    assert typed(Mark("mm", Fraction(1)), "4", "3", "4").fraction_keys == ()


def test_the_keys_of_a_length_type_it() -> None:
    for length, mark in ((inches("23 5/8"), SIXTEENTH), (inches("5/8"), SIXTEENTH), (inches(12), SIXTY_FOURTH)):
        assert typed(mark, *keys_for(length, mark)).length == length


def test_what_was_typed_stands_beside_what_was_planned() -> None:
    card = tape_card("Leg 2 of 4", "Length", inches("23 5/8"), typed(SIXTEENTH, "2", "3", "1/16", "+11/16"))
    assert (card.planned, card.said, card.doubt) == ("planned 23\u20095⁄8″", "1⁄16″ more than planned", "")
    waiting = tape_card("Leg 2 of 4", "Length", inches("23 5/8"), typed(SIXTEENTH, "2", "3", "1/16"))
    assert waiting.said == "How many sixteenths?"
    assert difference_words(millimetres(434), millimetres(434), HALF) == "as planned"


def test_out_by_ten_and_farther_than_a_rough_cut_is_doubted() -> None:
    planned = inches("23 5/8")
    assert "tenth" in doubt_of(planned, inches("2 5/8"))
    assert "ten times" in doubt_of(planned, inches(235))
    assert doubt_of(planned, inches("33 5/8"))
    assert not doubt_of(planned, inches("23 11/16"))


def test_of_entries_with_one_slip_most_that_are_out_by_ten_are_stopped() -> None:
    found = slips(2_000, seed=7)
    assert found.by_ten > 50
    assert found.by_ten_stopped >= 0.5 * found.by_ten


@pytest.mark.parametrize("side", [1, -1])
def test_what_is_farther_off_than_a_rough_cut_is_held_from_three_millimetres_on(side: int) -> None:
    """A rough cut is right within 3 mm: common practice, no source."""
    planned = millimetres(600)
    assert doubt_of(planned, millimetres(600 + 3 * side)) == ""
    assert doubt_of(planned, millimetres(600 + Fraction(31, 10) * side)) == "Too far off even for a rough cut."


def test_a_tenth_is_asked_about_only_where_it_may_be_one() -> None:
    """A slipped decimal place gives a tenth; a third of the planned length is a different piece."""
    planned = millimetres(600)
    assert (
        doubt_of(planned, millimetres(60))
        == doubt_of(planned, millimetres(120))
        == "About a tenth of what was planned?"
    )
    assert doubt_of(planned, millimetres(200)) == "Too far off even for a rough cut."


def test_what_is_doubted_is_shown_as_a_caution() -> None:
    for keys, tone in (("600", "ready"), ("60", "caution"), ("", "waiting")):
        assert tape_card("Leg 1", "Length", millimetres(600), typed(HALF, *keys)).tone == tone
