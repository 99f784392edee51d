"""What a handheld scanner typed: one of our codes, or what is wrong.

Such a scanner plays a US keyboard. Three things come between it and the code: what it is set to put before and after
(an AIM identifier, letters of its own, control characters), a tablet set to another layout, and lost keys. A code is
found among the first two only where there is no doubt: it is a whole word of the text, or it is known here. One text
in 37 passes the check character by chance, so a piece of a longer text proves nothing by that alone.
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
"""What comes out on other layouts, and the key that was meant (common practice, no source)."""
_AIM = re.compile(r"\][A-Z][0-9A-Z]")
"""The symbology identifier that a scanner can be set to send first, `]Q1` for a QR code (ISO/IEC 15424)."""
_CONTROLS = re.compile(r"[\x00-\x1f\x7f]+")
_GAPS = re.compile(r"[ -]+")
SHORTEST_LOST = 4
"""With fewer characters than these it isn't said that keys of a code were lost."""


class Typed(Struct, frozen=True):
    """What came of a burst of keys."""

    code: Code | None
    trouble: str = ""
    """What to say to the person: empty when all is well."""


def read_keys(text: str, known: Collection[Code]) -> Typed:
    """The code in one burst of keys. `known` are the codes that this tablet knows; another code counts only where it
    is a whole word of the text."""
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
    """The parts between control characters: Tab, Enter, STX and their like never belong to a code."""
    return [word for word in _CONTROLS.split(text) if word.strip()]


def _bare(word: str) -> str:
    """A word without the identifier of its symbology."""
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
    """What to say of a word that holds no code."""
    if SHORTEST_LOST <= len(word) < LENGTH and word.isalnum():
        return "Keys were lost. Scan again; if it happens often, set the scanner to type slower."
    if len(word) == LENGTH:
        return "A key came over wrong. Scan again; check that scanner and tablet have one keyboard layout."
    return "Not a Kerfcard label. Scan again, or type the ten characters under the QR code."
