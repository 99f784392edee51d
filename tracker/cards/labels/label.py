"""The contents of a label: enough to work by without the tablet."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.piece.drawing import Drawing, EndNote
from tracker.words import say

EndWords = tuple[str, ...]
"""The lines at one end of a label's drawing, e.g. `("Mitre 15°", "Bevel 2.5°")`."""


class Label(Struct, frozen=True, kw_only=True):
    """One label of a piece, an assembly or a board, in finished words; an empty field takes no room."""

    code: str
    title: str
    """The part and the number: `Leg 2 of 4`. When it must be shortened, the number stays."""
    build: str
    final: str = ""
    """The finished size: `23 5⁄8″ × 3″ × 3⁄4″`."""
    blank: str = ""
    """The size to cut first: `24 5⁄8″ × 3 1⁄4″`."""
    hand: str = ""
    """`left-hand` or `right-hand` of a mirror pair."""
    face: str = ""
    """Which way up the label lies on the wood: `this face up`."""
    joinery: tuple[str, ...] = ()
    """Lines about what to cut into the piece, the longest first: the first line that fits is printed."""
    ends: tuple[EndWords, EndWords] = ((), ())
    """The angles at end A (left) and end B (right)."""
    drawing: Drawing | None = None
    """The drawing seen from above, end A to the left, which is how the label is stuck on; the arrow shows the grain."""
    lines: tuple[str, ...] = ()
    """Further words, for an assembly or a board: its members, its rack."""


def end_words(note: EndNote) -> EndWords:
    """The lines of a label for one end of a drawing."""
    words = []
    if note.miter:
        words.append(f"{note.miter_word.capitalize()} {note.miter}")
    if note.bevel:
        words.append(say("Bevel {bevel}", bevel=note.bevel))
    return tuple(words) or ("square",)
