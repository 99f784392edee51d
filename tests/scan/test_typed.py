"""A scanner that types, on keyboards of several countries, losing a key now and then."""

from __future__ import annotations

import pytest

from tracker.scan.typed import from_scanner
from tracker.work.codes import code_for, grouped

CODES = [code_for("stool", f"leg:{number}") for number in range(300)]
KNOWN = frozenset(CODES)
GERMAN = str.maketrans("YZ", "ZY")
# The keys of a US keyboard, as a French one prints them (unshifted digits are signs there).
FRENCH = str.maketrans("AQZWM1234567890", "QAWZ,&é\"'(-è_çà")


def test_a_code_that_comes_over_whole_is_read_whatever_its_case() -> None:
    for code in CODES:
        for text in (code, code.lower(), f" {grouped(code)}\t"):
            typed = from_scanner(text, KNOWN)
            assert (typed.code, typed.trouble) == (code, "")


@pytest.mark.parametrize(("layout", "name"), [(GERMAN, "German"), (FRENCH, "French")])
def test_another_keyboard_is_folded_and_said(layout: dict[int, int], name: str) -> None:
    for code in CODES:
        typed = from_scanner(code.translate(layout), KNOWN)
        assert typed.code == code
        assert (name in typed.trouble) == (code.translate(layout) != code)


def test_another_keyboard_is_not_folded_to_a_code_that_nobody_knows() -> None:
    strangers = [code for code in (code_for("other", f"leg:{number}") for number in range(300)) if {"Y", "Z"} & {*code}]
    for code in strangers:
        typed = from_scanner(code.translate(GERMAN), KNOWN)
        assert typed.code not in KNOWN
        assert typed.code is None or not typed.trouble


def test_a_lost_key_and_a_wrong_one_are_told_apart() -> None:
    for code in CODES[:50]:
        assert "lost" in from_scanner(code[:4] + code[5:], KNOWN).trouble
        wrong = "2" if code[0] != "2" else "3"
        typed = from_scanner(wrong + code[1:], KNOWN)
        assert typed.code is None
        assert "wrong" in typed.trouble


@pytest.mark.parametrize("text", ["", "https://example.org", "x" * 500, "0123456789ABC"])
def test_what_is_none_of_ours_says_so(text: str) -> None:
    typed = from_scanner(text, KNOWN)
    assert typed.code is None
    assert typed.trouble
