"""The symbol that the reader expects is the one that an independent library draws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.paper.qr import matrix
from tracker.scan.symbol import CHARACTERS, affine_code, data_places, free_bits, known_pattern, symbol, text_of
from tracker.work.codes import code_for


def test_the_symbol_is_the_one_that_the_qrcode_library_draws() -> None:
    # qrcode: ISO/IEC 18004 written by others.
    for number in range(500):
        code = code_for("stool", f"leg:{number}")
        assert (symbol(code) == np.array(matrix(code))).all()


def test_208_modules_hold_data_and_the_other_233_are_known() -> None:
    known = ~np.isnan(known_pattern())
    assert known.sum() == 441 - 208
    rows, columns = data_places()
    assert len(set(zip(rows.tolist(), columns.tolist(), strict=True))) == 208
    assert not known[rows, columns].any()


def test_two_codes_differ_in_at_least_18_modules() -> None:
    # A Reed-Solomon code with 17 check words has codewords that differ in 18 words or more.
    _, rows = affine_code()
    chance = np.random.default_rng(0)
    for _ in range(2000):
        chosen = rows[chance.integers(0, 2, len(rows)).astype(bool)]
        if len(chosen):
            assert np.bitwise_xor.reduce(chosen, axis=0).sum() >= 18


@given(st.text(alphabet=CHARACTERS, min_size=10, max_size=10))
def test_free_bits_hold_ten_characters(text: str) -> None:
    assert text_of(free_bits(text)) == text


def test_a_pair_that_is_no_pair_is_none() -> None:
    assert text_of(np.ones(55, np.uint8)) is None


def test_a_character_that_the_mode_lacks_is_an_error() -> None:
    with pytest.raises(ValueError, match="substring"):
        free_bits("abcdefghij")
