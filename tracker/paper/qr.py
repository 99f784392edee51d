"""The QR symbol of a code: version 1, level H, alphanumeric, one fixed mask (ISO/IEC 18004).

Ten characters are exactly what version 1 holds at level H, so the modules are as large as possible and a third of the
codewords may be dirty. With the mask fixed, the finders, timing, format information and quiet zone are the same on
every label, and a reader knows them beforehand.
"""

from __future__ import annotations

from functools import lru_cache

from PIL import Image
from qrcode.constants import ERROR_CORRECT_H
from qrcode.main import QRCode
from qrcode.util import MODE_ALPHA_NUM, QRData

from tracker.paper.ink import Ink
from tracker.work.codes import LENGTH, QR_MASK, Code

MODULES = 21
QUIET = 4
"""The white border that the standard requires, in modules on each side."""
ACROSS = MODULES + 2 * QUIET

_ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_PAIRS, _PAIR_BITS = LENGTH // 2, 11
"""Alphanumeric mode packs two characters into 11 bits: 45 times the first and the second (ISO/IEC 18004, 7.4.4)."""

Matrix = tuple[tuple[bool, ...], ...]
"""21 rows of 21 modules, True where dark, without the quiet zone."""


def matrix(code: Code) -> Matrix:
    """The modules of `code`. Raises ValueError unless it is ten digits or capitals, which is all that fits."""
    bits = f"{_modules(code):0{MODULES * MODULES}b}"
    return tuple(tuple(bit == "1" for bit in bits[row : row + MODULES]) for row in range(0, MODULES * MODULES, MODULES))


def symbol_image(code: Code, dots: int) -> Image.Image:
    """The symbol with its quiet zone as a 1-bit picture, `dots` printer dots per module, edges sharp."""
    bits = f"{_modules(code):0{MODULES * MODULES}b}".encode().translate(_LIGHTNESS)
    small = Image.new("1", (ACROSS, ACROSS), 1)
    small.paste(Image.frombytes("L", (MODULES, MODULES), bits).convert("1"), (QUIET, QUIET))
    return small.resize((ACROSS * dots, ACROSS * dots), Image.Resampling.NEAREST)


def symbol_ink(code: Code, dots: int) -> Ink:
    """The dark modules without the quiet zone, `dots` printer dots per module."""
    side = MODULES * dots
    wide, length, spare = _THIRD * dots, -(-side // 8), -side % 8
    bits, rows = f"{_modules(code):0{MODULES * MODULES}b}", []
    for at in range(0, MODULES * MODULES, MODULES):
        row = _spread(bits[at : at + _THIRD], dots) << wide | _spread(bits[at + _THIRD : at + 2 * _THIRD], dots)
        row = row << wide | _spread(bits[at + 2 * _THIRD : at + MODULES], dots)
        rows.append((row << spare).to_bytes(length, "big") * dots)
    return Ink((side, side), b"".join(rows))


_THIRD = MODULES // 3


@lru_cache(maxsize=1024)
def _spread(bits: str, dots: int) -> int:
    """A third of a row of modules, with this many dots for each."""
    return int("".join(bit * dots for bit in bits), 2)


_LIGHTNESS = bytes.maketrans(b"01", b"\xff\x00")


def _modules(code: Code) -> int:
    """The 441 modules, row by row, as one integer.

    The symbols of all codes follow by exclusive or from a few that the library draws: with version, level and mask
    fixed, every module is a sum of bits of the text, because a Reed-Solomon code over GF(256) is linear over bits.
    """
    if len(code) != LENGTH or not code.isascii() or not code.isalnum() or code != code.upper():
        raise ValueError(f"{code!r} is not a code of {LENGTH} digits and capital letters")
    modules = _drawn("0" * LENGTH)
    for pair in range(_PAIRS):
        modules ^= _pair(pair, code[2 * pair : 2 * pair + 2])
    return modules


@lru_cache(maxsize=_PAIRS * len(_ALPHANUMERIC) ** 2)
def _pair(pair: int, characters: str) -> int:
    """The modules that change when two characters replace two zeros."""
    first, second = (_ALPHANUMERIC.index(character) for character in characters)
    value, modules = first * len(_ALPHANUMERIC) + second, 0
    for bit in range(_PAIR_BITS):
        if value >> bit & 1:
            modules ^= _difference(pair, bit)
    return modules


@lru_cache(maxsize=_PAIRS * _PAIR_BITS)
def _difference(pair: int, bit: int) -> int:
    """The modules that change with one bit of one pair of characters."""
    first, second = divmod(1 << bit, len(_ALPHANUMERIC))
    text = "00" * pair + _ALPHANUMERIC[first] + _ALPHANUMERIC[second] + "00" * (_PAIRS - 1 - pair)
    return _drawn(text) ^ _drawn("0" * LENGTH)


@lru_cache(maxsize=1 + _PAIRS * _PAIR_BITS)
def _drawn(text: str) -> int:
    """A symbol as the library draws it; `text` is ten characters of the alphanumeric mode."""
    symbol = QRCode(version=1, error_correction=ERROR_CORRECT_H, mask_pattern=QR_MASK, border=0)
    symbol.add_data(QRData(text.encode(), mode=MODE_ALPHA_NUM))
    symbol.make(fit=False)
    return int("".join("1" if dark else "0" for row in symbol.modules for dark in row), 2)
