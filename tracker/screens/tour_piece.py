"""The tour through a piece's life: what else can be done with it, the tape's keypad, waste, notes, the history."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tracker.screens.tour import Guide


def piece_stops(guide: Guide) -> Iterator[str]:
    """With the first leg of the stool in hand, whose blank is still to be cut."""
    guide.this_piece()
    yield "20 this piece"
    guide.choose("Measured")
    yield "21 what was measured"
    guide.choose("Length, blank")
    yield "22 the tape's keypad"
    for digit in "45":
        guide.press_key(digit)
    yield "23 an unlikely length is held"
    guide.leave_panel()
    guide.this_piece("Note")
    guide.press_key("knot")
    yield "24 a note in words"
    guide.tap_words("letters")
    yield "25 a note by letters"
    guide.tap_words("Keep")
    guide.this_piece("Spoiled")
    guide.tap_words("split")
    yield "26 spoiled, held to make it again"
    guide.leave_panel()
    guide.this_piece("Swap places")
    yield "27 changing places with a twin"
    guide.leave_panel()
    guide.this_piece("Set aside")
    yield "28 set aside"
    guide.choose("let it settle")
    yield "29 a piece that is aside"
    guide.go("history")
    yield "30 history"
    guide.tap_button()
    yield "31 taken back"
