"""What every card is made from: the run, what has been done, and the time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import cached_property

from msgspec import Struct

from tracker.design.model import Part
from tracker.measure import Length, Reading, read_length
from tracker.plan.geometry import Solid, solid
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Intent as Intent
from tracker.work.decide.decide import Refusal, refusal
from tracker.work.run import Item, Run
from tracker.work.state.state import State


def _as_given(at: datetime) -> datetime:
    return at


class Floor(Struct, frozen=True, dict=True):
    """The shop floor at one moment. `local` gives a moment as the clock on this shop's wall shows it."""

    run: Run
    state: State
    now: Now
    local: Callable[[datetime], datetime] = _as_given

    def item(self, key: str) -> Item:
        return self.run.items[key]

    def part(self, item: Item) -> Part:
        return self.run.build.part(item.id)

    def solid(self, item: Item) -> Solid:
        """The solid of a piece."""
        return solid(self.part(item), item.hand)

    def read(self, length: Length) -> Reading:
        """A length on this shop's tape."""
        return read_length(length, self.run.build.shop.mark)

    def refusal(self, intent: Intent) -> Refusal | None:
        """Why a tap would be refused now; None when it would be done."""
        if intent not in self._refusals:
            self._refusals[intent] = refusal(self.run, self.state, intent, self.now)
        return self._refusals[intent]

    @cached_property
    def _refusals(self) -> dict[Intent, Refusal | None]:
        """What was asked of this moment already: a screen asks the same of a piece several times."""
        return {}
