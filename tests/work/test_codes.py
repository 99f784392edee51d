"""Codes agree with an independent ISO/IEC 7064 library and detect errors by fingers and dirt."""

from __future__ import annotations

import random
import string

import pytest
from codes_agree import disagree, made, pass_when_swapped
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36  # python-stdnum: ISO/IEC 7064 written by others

from tracker.work.codes import ALPHABET, _swapped, check_character, code_for, grouped, is_code, parse_code

ANY_CHARACTER = string.digits + string.ascii_uppercase


@pytest.fixture(scope="module")
def codes() -> list[str]:
    return made(0, 10_000)


def test_the_check_character_agrees_with_an_independent_library(codes: list[str]) -> None:
    assert not disagree(codes)


def test_the_check_character_agrees_for_any_body() -> None:
    chance = random.Random(7064)
    for _ in range(20_000):
        body = "".join(chance.choices(ANY_CHARACTER, k=chance.randint(1, 12)))
        assert check_character(body) == mod_37_36.calc_check_digit(body)


def test_the_example_of_the_independent_library_holds() -> None:
    # The worked example in python-stdnum's documentation of ISO/IEC 7064, MOD 37,36.
    assert check_character("A12425GABC1234002") == "M"


def test_every_single_wrong_character_is_caught(codes: list[str]) -> None:
    for code in codes[:300]:
        for place in range(len(code)):
            for wrong in ANY_CHARACTER:
                if wrong == code[place]:
                    continue
                spoilt = code[:place] + wrong + code[place + 1 :]
                assert not is_code(spoilt)
                # In typed codes look-alike characters are corrected; no other error passes.
                assert parse_code(spoilt) in (None, code)


def test_every_swap_of_neighbours_is_caught(codes: list[str]) -> None:
    assert not pass_when_swapped(codes[:2_000])


def test_codes_hold_no_character_that_reads_like_another(codes: list[str]) -> None:
    for code in codes:
        assert set(code) <= set(ALPHABET)
    assert not set("ILOU") & set(ALPHABET)
    assert len(ALPHABET) == 32


def test_the_same_piece_has_the_same_code_on_every_tablet() -> None:
    assert code_for("bench 1", "leg:2") == code_for("bench 1", "leg:2")
    # Fixed for ever: the labels in a shop must work with every later version.
    assert code_for("bench 1", "leg:2") == PRINTED
    assert is_code(PRINTED)


def test_pieces_parts_and_runs_have_codes_of_their_own() -> None:
    items = [
        (run, f"{part}:{number}") for run in ("a", "a 1", "b") for part in ("leg", "1 leg") for number in range(200)
    ]
    assert len({code_for(run, item) for run, item in items}) == len(items)


@pytest.mark.parametrize(
    "typed",
    ["{low}", "  {code} ", "{half}", "{dashed}", "{dashes}", "{confused}", "{lines}"],
)
def test_what_hand_typing_does_is_folded(typed: str, codes: list[str]) -> None:
    code = next(code for code in codes if "0" in code and "1" in code[:5] and "1" in code[5:])
    words = typed.format(
        code=code,
        low=code.lower(),
        half=grouped(code),
        dashed="-".join((code[:3], code[3:6], code[6:])),
        dashes="–".join(code),
        confused=code.replace("0", "o").replace("1", "l", 1).replace("1", "I"),
        lines=code[:5] + "\n" + code[5:] + "\t",
    )
    assert parse_code(words) == code


@pytest.mark.parametrize(
    "typed", ["", " ", "-", "ABC", "0" * 9, "0" * 11, "０" * 10, "ſ" * 10, "x" * 1_000_000, "A\0B"]
)
def test_what_is_no_code_is_none(typed: str) -> None:
    assert parse_code(typed) is None


def test_a_code_from_elsewhere_may_end_in_a_letter_that_ours_avoid() -> None:
    chance = random.Random(3)
    seen: set[str] = set()
    while len(seen) < 4:
        body = "".join(chance.choices(ALPHABET, k=9))
        check = mod_37_36.calc_check_digit(body)
        if check in "ILOU":
            seen.add(check)
            assert is_code(body + check)
            assert parse_code((body + check).lower()) == body + check


def test_a_check_character_of_anything_else_is_an_error() -> None:
    with pytest.raises(ValueError, match="'a' is no digit"):
        check_character("abc")


@given(st.text(max_size=80))
def test_any_text_is_a_code_or_none(text: str) -> None:
    code = parse_code(text)
    assert code is None or is_code(code)


def test_the_plain_type_is_in_two_groups() -> None:
    assert grouped("0123456789") == "01234 56789"


PRINTED = "HSQM5K9NT3"


def test_a_code_is_tried_with_every_two_neighbours_exchanged() -> None:
    """Equal neighbours make no other code."""
    assert _swapped("ABBCDEFGHJ") == [
        "BABCDEFGHJ", "ABCBDEFGHJ", "ABBDCEFGHJ", "ABBCEDFGHJ", "ABBCDFEGHJ", "ABBCDEGFHJ", "ABBCDEFHGJ", "ABBCDEFGJH",
    ]  # fmt: skip
