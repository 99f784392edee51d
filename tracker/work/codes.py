"""The ten characters in a label's QR code, and on the label in plain type.

Nine characters of base 32 (no I, L, O or U, which are read as 1, 1, 0 and V) and one check character after ISO/IEC
7064:2003, MOD 37,36. They are derived from the build's run, the part and the piece's number, so two tablets print the
same code without asking each other.

Choosing the codes makes up for two weaknesses of MOD 37,36: it can give I, L, O or U as the check character, which look
like 1, 1, 0 and V in handwriting, and it misses a few swaps of neighbours (about one in 700). `code_for` skips the
codes concerned, so every code on a printed label can be normalised unambiguously and detects every swap.
"""

from __future__ import annotations

import hashlib
import re
from typing import TypeAlias

from tracker.words import say

Code: TypeAlias = str
"""Ten characters: nine of `ALPHABET`, then the check character."""

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 10
QR_MASK = 6
"""The fixed mask of every label's QR symbol (ISO/IEC 18004): of the eight, it has the lowest penalty over our codes."""

_VALUES = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_VALUE = {character: value for value, character in enumerate(_VALUES)}
_BODY_BITS = 45
_EXACT = re.compile(rf"[{ALPHABET}]{{9}}[0-9A-Z]", re.ASCII)
_FOLDED = str.maketrans("OIL", "011")
_GAPS = re.compile(r"[\s\u2010-\u2015\u2212_.-]+")
_LONGEST_TYPED = 64


def check_character(body: str) -> str:
    """The check character of `body` (digits and capital letters) after ISO/IEC 7064, MOD 37,36.

    Raises ValueError when `body` holds another character.
    """
    product = 36
    try:
        for character in body:
            product = ((product + _VALUE[character]) % 36 or 36) * 2 % 37
    except KeyError as error:
        raise ValueError(say("{args!r} is no digit and no capital letter", args=error.args[0])) from None
    return _VALUES[(37 - product) % 36]


def is_code(text: str) -> bool:
    """Whether `text` is a code exactly as a label holds it, with the right check character."""
    return _EXACT.fullmatch(text) is not None and check_character(text[:-1]) == text[-1]


def parse_code(text: str) -> Code | None:
    """The code that a person typed, or None when it isn't one.

    Case, spaces and hyphens don't matter; O is read as 0, I and L as 1. A wrong character or two swapped neighbours
    give None.
    """
    if len(text) > _LONGEST_TYPED:
        return None
    plain = _GAPS.sub("", text)
    if not plain.isascii():
        return None
    plain = plain.upper()
    body, check = plain[:-1].translate(_FOLDED), plain[-1:]
    # The check character is tried as typed first: in a code made elsewhere it may be O, and 0 would be wrong.
    for last in (check, check.translate(_FOLDED)):
        if is_code(body + last):
            return body + last
    return None


def code_for(run: str, item: str) -> Code:
    """The code of one piece, assembly or board of a build's `run`; `item` is its id and number, as in `leg:2`."""
    attempt = 0
    while True:
        # The length prefix keeps ("ab", "c") and ("a", "bc") apart.
        words = f"{len(run)} {run} {item} {attempt}"
        digest = hashlib.sha256(words.encode("utf-8", "surrogatepass")).digest()
        number = int.from_bytes(digest, "big") >> (256 - _BODY_BITS)
        body = "".join(ALPHABET[number >> shift & 31] for shift in reversed(range(0, _BODY_BITS, 5)))
        code = body + check_character(body)
        if code[-1] in ALPHABET and not any(check_character(other[:-1]) == other[-1] for other in _swapped(code)):
            return code
        attempt += 1


def _swapped(code: Code) -> list[str]:
    """The results of swapping two different neighbours of `code`."""
    pairs = [(at, code[at : at + 2]) for at in range(LENGTH - 1) if code[at] != code[at + 1]]
    return [f"{code[:at]}{pair[1]}{pair[0]}{code[at + 2 :]}" for at, pair in pairs]


def grouped(code: Code) -> str:
    """The code for plain type and reading aloud: `ABCDE FGHJK`."""
    half = LENGTH // 2
    return f"{code[:half]} {code[half:]}"
