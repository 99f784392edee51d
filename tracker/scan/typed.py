"""What a handheld scanner typed: a code, or what is the matter with the scanner.

Such a scanner plays a US keyboard. Where the tablet is set to another layout, some letters come out as others: that is
folded, but only to a code that is known, because one text in 37 passes the check character by chance.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from tracker.work.codes import LENGTH, Code, parse_code

_LAYOUTS = {
    "German": str.maketrans("YZ", "ZY"),
    "French": str.maketrans("AQZW,?&É\"'(-È_ÇÀ", "QAWZMM1234567890"),
}
"""What comes out on other layouts, and the key that was meant (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Typed:
    """What came of it."""

    code: Code | None
    trouble: str = ""
    """What to say to the person: empty when all is well."""


def from_scanner(text: str, known: Container[Code]) -> Typed:
    """Read one burst of keys. A code that isn't `known` is still a code when it came over whole."""
    code = parse_code(text)
    if code is not None:
        return Typed(code)
    plain = text.strip().upper()
    for layout, meant in _LAYOUTS.items():
        code = parse_code(plain.translate(meant))
        if code is not None and code in known:
            return Typed(code, f"The scanner types for a US keyboard, this tablet is set to {layout}. Set both alike.")
    if 0 < len(plain) < LENGTH and plain.isalnum():
        return Typed(None, "Keys were lost. Scan again; if it happens often, set the scanner to type slower.")
    if len(plain) == LENGTH:
        return Typed(None, "A key came over wrong. Scan again; check that scanner and tablet have one keyboard layout.")
    return Typed(None, "This isn't one of our codes.")
