"""American spelling for builds in inches, British for builds in millimetres.

The source is written in British spelling. Only the program's own words are converted, never a maker's names.
"""

from __future__ import annotations

import re
from typing import Literal

AMERICAN = {
    "mitre": "miter",
    "mitres": "miters",
    "mitred": "mitered",
    "centre": "center",
    "centres": "centers",
    "vapour": "vapor",
    "colour": "color",
    "millimetre": "millimeter",
    "millimetres": "millimeters",
}
"""British word: American word. Merriam-Webster and Oxford agree on each (from memory)."""
_WORD = re.compile(rf"\b({'|'.join(AMERICAN)})\b", re.IGNORECASE)


def spelled(words: str, units: Literal["in", "mm"]) -> str:
    """The words as they are spelled where people measure in these units."""
    return _WORD.sub(_american, words) if units == "in" else words


def _american(found: re.Match[str]) -> str:
    word = AMERICAN[found[0].lower()]
    return word.capitalize() if found[0][0].isupper() else word
