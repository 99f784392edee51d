"""What a person must know when closing the app while a wait is running: nothing will call at its end."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tracker.cards.clocks.clocks import clocks_card
from tracker.floor.floor import Floor
from tracker.words import say, say_many

CONSEQUENCE = say("Once Kerfcard is closed it can't call you. The wait itself goes on.")


class ClosingCard(Struct, frozen=True, kw_only=True):
    """The wait that ends first, and what closing the app means for it."""

    title: str
    said: str
    tone: str


def closing_card(floors: Sequence[Floor]) -> ClosingCard | None:
    """The message before the app is closed; None where no clock is running in any build. `floors` as for the alarm."""
    clocks = clocks_card(*floors).clocks
    if not clocks:
        return None
    first, more = clocks[0], len(clocks) - 1
    here = first.build == floors[0].run.build.name
    of = first.title if here else f"{first.title}, {first.build}"
    others = say_many("Another timer is running.", "{count} more timers are running.", more) if more else ""
    title = (
        f"{of}: {first.said}."
        if first.over
        else say("{name}, {wait}: {time} left.", name=of, wait=first.word, time=first.text)
    )
    return ClosingCard(title=title, said=f"{CONSEQUENCE} {others}".rstrip(), tone=first.tone)
