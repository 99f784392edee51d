"""The operations that a route may name."""

from __future__ import annotations

import re

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.name_lookup import nearest
from tracker.design.values import Meaning
from tracker.words import say

OPERATIONS = (
    "cut", "joint", "resaw", "rest", "plane", "trim", "taper", "rip", "cut to length", "bevel", "tenon", "notch",
    "groove", "dado", "rabbet", "mortise", "slot", "shape", "drill", "profile", "dry fit", "glue", "drive screws",
    "take screws out", "plug", "attach", "finish", "prove",
)  # fmt: skip
"""Besides these there is `sand` with its grit, and with a surface where they differ: `sand 120`, `sand 180 edges`."""
NEWER = frozenset({"resaw", "rest", "cut to length"})
"""Operations that a file may also have as steps of its own, because it was written before they were known."""

SURFACES = ("faces", "edges", "ends")

COARSEST, FINEST = 24, 5000
_SAND = re.compile(rf"sand (?:to )?p?([0-9]{{1,4}})(?: (?:the )?({'|'.join(SURFACES)}))?\Z")


def operation(raw: object, meaning: Meaning) -> str:
    """One step of a route, in lower case: `drill`, `sand 120`, `sand 180 edges`. Raises BadValueError."""
    word = " ".join(values.words(raw, say("an operation")).lower().split())
    if word in OPERATIONS:
        return word
    sand = _SAND.match(word)
    if sand and COARSEST <= int(sand[1]) <= FINEST:
        return f"sand {int(sand[1])} {sand[2]}" if sand[2] else f"sand {int(sand[1])}"
    if word.startswith("sand"):
        raise BadValueError(
            say("'{word}' needs its grit, from {coarsest} to {finest}", word=word, coarsest=COARSEST, finest=FINEST),
            say("sand 120, or sand 180 edges"),
        )
    hint = nearest(word, OPERATIONS) or say("known: {operations}, sand 120", operations=", ".join(OPERATIONS))
    raise BadValueError(say("'{word}' is not a known operation", word=word), hint)
