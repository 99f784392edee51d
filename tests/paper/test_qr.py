"""The symbol on a label is the standard's, and everything in it but the data is known beforehand."""

from __future__ import annotations

import random

import numpy as np
import pytest
import zxingcpp
from qrcode.constants import ERROR_CORRECT_H
from qrcode.main import QRCode
from qrcode.util import MODE_ALPHA_NUM, QRData

from tracker.paper.qr import MODULES, QUIET, matrix, symbol_image
from tracker.work.codes import QR_MASK, code_for

QR = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
CODES = [code_for("stool", f"leg:{number}") for number in range(200)]


def test_an_independent_decoder_reads_version_1_level_h_and_the_fixed_mask() -> None:
    for code in CODES:
        (seen,) = zxingcpp.read_barcodes(symbol_image(code, 4).convert("L"), formats=QR)
        assert seen.text == code
        assert seen.ec_level == "H"
        assert isinstance(seen.extra, dict)
        assert seen.extra["Version"] == "1"
        assert seen.extra["DataMask"] == 6


def test_everything_but_the_26_codewords_is_the_same_on_every_label() -> None:
    symbols = np.array([matrix(code) for code in CODES])
    always = (symbols == symbols[0]).all(axis=0)
    # 441 modules less 26 codewords of 8 bits (ISO/IEC 18004, table 1); the header bits are the same too.
    assert always.sum() >= MODULES * MODULES - 26 * 8


def test_a_module_is_whole_dots_and_the_border_is_white() -> None:
    picture = np.asarray(symbol_image(CODES[0], 7))
    assert picture.shape == (29 * 7, 29 * 7)
    modules = picture.reshape(29, 7, 29, 7)
    assert (modules == modules[:, :1, :, :1]).all()
    assert modules[:QUIET].all()
    assert modules[-QUIET:].all()
    assert (~picture[QUIET * 7 : -QUIET * 7 : 7, QUIET * 7 : -QUIET * 7 : 7] == np.array(matrix(CODES[0]))).all()


@pytest.mark.parametrize("text", ["", "ABC", "abcdefghij", "ABCDEFGHIJK", "ABCDE FGHI", "Ä" * 10])
def test_what_does_not_fit_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a code"):
        matrix(text)


def test_every_symbol_is_the_one_that_the_library_draws() -> None:
    """Ours are made by exclusive or from 56 of the library's; here any ten characters of the mode are a code."""
    chance = random.Random(1)
    for _ in range(300):
        code = "".join(chance.choices("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", k=10))
        symbol = QRCode(version=1, error_correction=ERROR_CORRECT_H, mask_pattern=QR_MASK, border=0)
        symbol.add_data(QRData(code.encode(), mode=MODE_ALPHA_NUM))
        symbol.make(fit=False)
        assert matrix(code) == tuple(tuple(map(bool, row)) for row in symbol.modules)
