"""States as a row of marks: each has a shape, a colour (its tone) and a word."""

from __future__ import annotations

from typing import Literal, NamedTuple

Tone = Literal["ready", "done", "waiting", "caution"]


class MarkView(NamedTuple):
    """One state of a piece or an assembly."""

    word: str
    tone: Tone
