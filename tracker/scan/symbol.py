"""The QR symbol of a label from the reader's side: which modules are known beforehand, and how the others are related.

ISO/IEC 18004, version 1, level H, one fixed mask: 208 of the 441 modules hold 26 codewords, all others are known. The
header (mode, count) and the terminator are known too, so 55 bits are free, in five pairs of characters; the other 153
follow from them by exclusive or, because a Reed-Solomon code over GF(256) is also linear over bits.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tracker.work.codes import LENGTH, QR_MASK, Code

SIDE = 21
DATA_WORDS, CHECK_WORDS = 9, 17
BITS = 8 * (DATA_WORDS + CHECK_WORDS)
PAIR_BITS = 11
FREE = PAIR_BITS * LENGTH // 2
HEADER = 13
"""Bits before the characters: the mode (alphanumeric) and their count."""
CHARACTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"

Bits = NDArray[np.uint8]
Signs = NDArray[np.float32]
"""+1 where dark, -1 where light."""

_LEVEL_H = 0b10
_PRIMITIVE = 0x11D


def _field() -> tuple[list[int], list[int]]:
    powers, logs, value = [0] * 512, [0] * 256, 1
    for exponent in range(255):
        powers[exponent] = powers[exponent + 255] = value
        logs[value] = exponent
        value = value << 1 ^ (_PRIMITIVE if value & 0x80 else 0)
    return powers, logs


_POWERS, _LOGS = _field()


def _times(a: int, b: int) -> int:
    return _POWERS[_LOGS[a] + _LOGS[b]] if a and b else 0


@lru_cache(maxsize=1)
def _generator() -> tuple[int, ...]:
    """The product of (x - α^i) for the check words, highest power first, without its leading 1."""
    polynomial = [1]
    for root in range(CHECK_WORDS):
        longer = [*polynomial, 0]
        for at, factor in enumerate(polynomial):
            longer[at + 1] ^= _times(factor, _POWERS[root])
        polynomial = longer
    return tuple(polynomial[1:])


def _check_words(data: list[int]) -> list[int]:
    rest = [0] * CHECK_WORDS
    for word in data:
        factor = word ^ rest[0]
        rest = [*rest[1:], 0]
        for at, term in enumerate(_generator()):
            rest[at] ^= _times(term, factor)
    return rest


def _codeword_bits(data_bits: Bits) -> Bits:
    """All 208 bits that follow from the 72 data bits, before masking."""
    data = np.packbits(data_bits).tolist()
    return np.unpackbits(np.array(data + _check_words(data), np.uint8))


@lru_cache(maxsize=1)
def _places() -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The row and column of each of the 208 bits, in the standard's order: pairs of columns from the right, up and
    down."""
    known = ~np.isnan(_function_pattern())
    rows: list[int] = []
    columns: list[int] = []
    upward = True
    for right in (20, 18, 16, 14, 12, 10, 8, 5, 3, 1):
        for row in range(SIDE - 1, -1, -1) if upward else range(SIDE):
            for column in (right, right - 1):
                if not known[row, column]:
                    rows.append(row)
                    columns.append(column)
        upward = not upward
    return np.array(rows), np.array(columns)


@lru_cache(maxsize=1)
def _function_pattern() -> NDArray[np.float32]:
    """Finders, separators, timing, format information and the dark module; NaN where the codewords are."""
    pattern = np.full((SIDE, SIDE), np.nan, np.float32)
    pattern[6, :] = pattern[:, 6] = [1.0 if at % 2 == 0 else -1.0 for at in range(SIDE)]
    ring = np.maximum(*np.abs(np.mgrid[-3:4, -3:4]))
    finder = np.where(ring == 2, -1.0, 1.0)
    for row, column in ((0, 0), (0, 14), (14, 0)):
        top, left = max(0, row - 1), max(0, column - 1)
        pattern[top : row + 8, left : column + 8] = -1.0
        pattern[row : row + 7, column : column + 7] = finder
    _put_format(pattern)
    pattern[SIDE - 8, 8] = 1.0
    return pattern


def _put_format(pattern: NDArray[np.float32]) -> None:
    """The 15 format bits, twice (ISO/IEC 18004, 7.9): BCH (15, 5), exclusive or with 101010000010010."""
    value = _LEVEL_H << 3 | QR_MASK
    rest = value << 10
    for shift in range(4, -1, -1):
        if rest >> (shift + 10) & 1:
            rest ^= 0x537 << shift
    bits = (value << 10 | rest) ^ 0x5412
    around = [(row, 8) for row in (0, 1, 2, 3, 4, 5, 7, 8)] + [(8, column) for column in (7, 5, 4, 3, 2, 1, 0)]
    apart = [(8, SIDE - 1 - at) for at in range(8)] + [(SIDE - 7 + at, 8) for at in range(7)]
    for places in (around, apart):
        for at, (row, column) in enumerate(places):
            pattern[row, column] = 1.0 if bits >> at & 1 else -1.0


@lru_cache(maxsize=1)
def _mask_bits() -> Bits:
    rows, columns = _places()
    product = rows * columns
    assert QR_MASK == 6  # ((i j) mod 2 + (i j) mod 3) mod 2 = 0
    return np.asarray((product % 2 + product % 3) % 2 == 0, np.uint8)


def known_pattern() -> NDArray[np.float32]:
    """21 × 21: +1 for a dark module, -1 for a light one, NaN for the data. The header counts as data."""
    return _function_pattern().copy()


def data_places() -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The rows and columns of the 208 data modules, in the order of the bits."""
    return _places()


@lru_cache(maxsize=1)
def affine_code() -> tuple[Bits, Bits]:
    """(offset of 208, 55 rows of 208): the data modules are the offset ⊕ the rows whose free bits are set."""
    header = np.array([int(bit) for bit in f"{0b0010:04b}{LENGTH:09b}"], np.uint8)
    base = np.zeros(8 * DATA_WORDS, np.uint8)
    base[:HEADER] = header
    rows = []
    for at in range(FREE):
        one = np.zeros(8 * DATA_WORDS, np.uint8)
        one[HEADER + at] = 1
        rows.append(_codeword_bits(one))
    return _codeword_bits(base) ^ _mask_bits(), np.array(rows)


def free_bits(code: Code) -> Bits:
    """The 55 bits of ten alphanumeric characters. Raises ValueError for a character that the mode doesn't have."""
    bits = ""
    for at in range(0, LENGTH, 2):
        pair = CHARACTERS.index(code[at]) * 45 + CHARACTERS.index(code[at + 1])
        bits += f"{pair:0{PAIR_BITS}b}"
    return np.array([int(bit) for bit in bits], np.uint8)


def text_of(free: Bits) -> str | None:
    """The characters of 55 free bits, or None when a pair of them is invalid."""
    text = ""
    for at in range(0, FREE, PAIR_BITS):
        pair = int("".join(map(str, free[at : at + PAIR_BITS].tolist())), 2)
        if pair >= 45 * 45:
            return None
        text += CHARACTERS[pair // 45] + CHARACTERS[pair % 45]
    return text


def data_bits(code: Code) -> Bits:
    """The 208 data modules of a code's symbol, 1 where dark."""
    offset, rows = affine_code()
    return np.asarray(offset ^ np.bitwise_xor.reduce(rows[free_bits(code).astype(bool)], axis=0), np.uint8)


def symbol(code: Code) -> NDArray[np.bool_]:
    """The whole symbol, True where dark."""
    modules = known_pattern()
    modules[data_places()] = data_bits(code) * 2.0 - 1.0
    return modules > 0
