"""The keystrokes of a handheld scanner: one of our codes, or what is wrong.

Such a scanner acts as a US keyboard. Three things may alter the code: what the scanner is set to send before and after
it (an AIM identifier, its own letters, control characters), a tablet set to another layout, and lost keys. With the
first two a code is accepted only where there is no doubt: it is a whole word of the text, or it is known here. One text
in 37 passes the check character by chance, so part of a longer text proves nothing by that alone.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

from msgspec import Struct

from tracker.work.codes import LENGTH, Code, is_code

_LAYOUTS = {
    "German": str.maketrans("YZ", "ZY"),
    "French": str.maketrans("AQZW,?&É\"'(-È_ÇÀ", "QAWZMM1234567890"),
}
"""The characters of other layouts, and the intended key (common practice, no source)."""
_AIM = re.compile(r"\][A-Z][0-9A-Z]")
"""The symbology identifier that a scanner may send first, `]Q1` for a QR code (ISO/IEC 15424)."""
_CONTROLS = re.compile(r"[\x00-\x1f\x7f]+")
_GAPS = re.compile(r"[ -]+")
SHORTEST_LOST = 4
"""With fewer characters than this, lost keys aren't reported."""


class Typed(Struct, frozen=True):
    """The result of a burst of keys."""

    code: Code | None
    trouble: str = ""
    """The message for the person: empty when all is well."""


def read_keys(text: str, known: Collection[Code]) -> Typed:
    """The code in one burst of keys. `known` are the codes that this tablet knows; another code counts only if it is a
    whole word of the text."""
    plain = text.upper()
    found = {*_whole_words(plain), *_known_within(plain, known)}
    if not found:
        for layout, meant in _LAYOUTS.items():
            folded = set(_known_within(plain.translate(meant), known))
            if len(folded) == 1:
                return Typed(
                    folded.pop(),
                    f"The scanner types for a US keyboard, this tablet is set to {layout}. Set both alike.",
                )
    if len(found) == 1:
        return Typed(found.pop())
    if found:
        return Typed(None, "Two labels came in together. Scan them one at a time.")
    return Typed(None, _trouble(max((_bare(word) for word in _words(plain)), key=len, default="")))


def _words(text: str) -> list[str]:
    """The parts between control characters: Tab, Enter, STX and the like never belong to a code."""
    return [word for word in _CONTROLS.split(text) if word.strip()]


def _bare(word: str) -> str:
    """A word without its symbology identifier."""
    return _AIM.sub("", word.strip(), count=1) if word.lstrip().startswith("]") else word.strip()


def _whole_words(text: str) -> Iterator[Code]:
    for word in _words(text):
        code = _GAPS.sub("", _bare(word))
        if is_code(code):
            yield code


def _known_within(text: str, known: Collection[Code]) -> Iterator[Code]:
    """Every run of ten characters that is a code known here."""
    codes = frozenset(known)
    return (text[at : at + LENGTH] for at in range(len(text) - LENGTH + 1) if text[at : at + LENGTH] in codes)


def _trouble(word: str) -> str:
    """The message for a word without a code."""
    if SHORTEST_LOST <= len(word) < LENGTH and word.isalnum():
        return "Keys were lost. Scan again; if it happens often, set the scanner to type slower."
    if len(word) == LENGTH:
        return "A key came over wrong. Scan again; check that scanner and tablet have one keyboard layout."
    return "Not a Kerfcard label. Scan it again, or type the code."
