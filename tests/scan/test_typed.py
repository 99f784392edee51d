"""A scanner that types, on keyboard layouts of several countries, sometimes losing a key."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from tracker.scan.typed import Typed, read_keys
from tracker.work.codes import code_for, grouped

CODES = [code_for("stool", f"leg:{number}") for number in range(300)]
KNOWN = frozenset(CODES)
GERMAN = str.maketrans("YZ", "ZY")
# The keys of a US keyboard, as a French one prints them (unshifted digits are signs there).
FRENCH = str.maketrans("AQZWM1234567890", "QAWZ,&é\"'(-è_çà")

FROM_FRENCH = {ord(printed): key for key, printed in zip(map(chr, FRENCH), map(chr, FRENCH.values()), strict=True)}


def test_a_code_that_comes_over_whole_is_read_whatever_its_case() -> None:
    for code in CODES:
        for text in (code, code.lower(), f" {grouped(code)}\t"):
            typed = read_keys(text, KNOWN)
            assert (typed.code, typed.trouble) == (code, "")


@pytest.mark.parametrize(("layout", "name"), [(GERMAN, "German"), (FRENCH, "French")])
def test_another_keyboard_is_folded_and_said(layout: dict[int, int], name: str) -> None:
    for code in CODES:
        typed = read_keys(code.translate(layout), KNOWN)
        assert typed.code == code
        assert (name in typed.trouble) == (code.translate(layout) != code)


def test_another_keyboard_is_not_folded_to_a_code_that_nobody_knows() -> None:
    strangers = [code for code in (code_for("other", f"leg:{number}") for number in range(300)) if {"Y", "Z"} & {*code}]
    for code in strangers:
        typed = read_keys(code.translate(GERMAN), KNOWN)
        assert typed.code not in KNOWN
        assert typed.code is None or not typed.trouble


def test_a_lost_key_and_a_wrong_one_are_told_apart() -> None:
    for code in CODES[:50]:
        assert "lost" in read_keys(code[:4] + code[5:], KNOWN).trouble
        wrong = "2" if code[0] != "2" else "3"
        typed = read_keys(wrong + code[1:], KNOWN)
        assert typed.code is None
        assert "wrong" in typed.trouble


@pytest.mark.parametrize("text", ["", "https://example.org", "x" * 500, "0123456789ABC"])
def test_what_is_none_of_ours_says_so(text: str) -> None:
    typed = read_keys(text, KNOWN)
    assert typed.code is None
    assert typed.trouble


@pytest.mark.parametrize("aim", ["]Q0", "]Q1", "]q1", "]Q3"])
def test_the_identifier_of_the_symbology_is_taken_off_any_code(aim: str) -> None:
    """ISO/IEC 15424; `]Q1` is a QR code as most scanners announce it. The code need not be known."""
    for code in CODES[:100]:
        assert read_keys(f"{aim}{code}", ()) == Typed(code)
        assert read_keys(f"\x02{aim}{code}\x03\r", ()) == Typed(code)


def test_what_is_glued_to_a_code_is_taken_off_only_where_the_code_is_known() -> None:
    chance = random.Random(1)
    signs = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-+*/.:=;"
    for code in CODES:
        before, after = ("".join(chance.choices(signs, k=chance.randint(0, 6))) for _ in "ab")
        assert read_keys(f"{before}{code}{after}", KNOWN) == Typed(code), (before, after)
        if before.strip("-.") and before[-1].isalnum():
            typed = read_keys(f"{before}{code}", ())
            assert typed.code is None
            assert typed.trouble


def test_no_text_at_random_gives_a_code_that_it_does_not_hold() -> None:
    """Long and short texts with parts of our codes, on every layout."""
    chance = random.Random(2)
    signs = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    for _ in range(20_000):
        pieces = [chance.choice(CODES)[: chance.randint(0, 9)] for _ in range(chance.randint(0, 2))]
        pieces += ["".join(chance.choices(signs, k=chance.randint(0, 12)))]
        text = chance.choice(("", "\t", "-", "]Q1")).join(pieces)
        typed = read_keys(text, KNOWN)
        if typed.code in KNOWN:
            held = (text, text.replace("-", ""))
            assert any(typed.code in one.translate(meant) for one in held for meant in ({}, GERMAN, FROM_FRENCH))
        elif typed.code is not None:
            assert typed.code in text.replace("-", "")
        else:
            assert typed.trouble


def test_two_codes_in_one_burst_are_not_chosen_between() -> None:
    for first, second in pairwise(CODES):
        for between in ("", "\t", "X"):
            assert "one at a time" in read_keys(f"{first}{between}{second}", KNOWN).trouble
    assert read_keys(f"{CODES[0]}{CODES[0]}", KNOWN) == Typed(CODES[0])
