"""The signs of the app, one meaning each: what every mark, row and tile shows beside its word.

| sign | shape | means |
|---|---|---|
| `ready` | open circle | can be done now: its button is live |
| `done` | filled square with a tick | done; also where it was done against a blocker, which a note says in words |
| `waiting` | hourglass | waits for a clock, for parts, or, set aside, for a person; its button is not live |
| `caution` | triangle | something is wrong, and a person has to look |
| nothing | short bar | not begun; its turn comes after something else |
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Tone = Literal["ready", "done", "waiting", "caution"]
Sign = Tone | Literal[""]


class MarkView(NamedTuple):
    """One state of a piece or an assembly."""

    word: str
    tone: Sign
