"""What every card is made from: the run, what has been done, and the time."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import datetime
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Part
from tracker.measure import Length, Reading, read_length
from tracker.plan.geometry import Solid, solid
from tracker.work.clocks.elapsed import Now
from tracker.work.decide.decide import Do, Refusal, next_step, refusal
from tracker.work.decide.decide import Intent as Intent
from tracker.work.operations import Step
from tracker.work.run import Item, Run
from tracker.work.state.records import NEW_ITEM
from tracker.work.state.state import State


def _as_given(at: datetime) -> datetime:
    return at


class Floor(Struct, frozen=True, dict=True):
    """The shop floor at one moment. `local` converts a moment to the local time of this shop; `tablet` is the name
    under which the viewer's tablet writes; empty where there is none."""

    run: Run
    state: State
    now: Now
    local: Callable[[datetime], datetime] = _as_given
    tablet: str = ""

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
        """Why a tap would be refused now; None when it would be carried out."""
        item = self.run.items.get(intent.item) if isinstance(intent, Do) else None
        asked = (self.alike_key(item), replace(intent, item="")) if item else intent
        if asked not in self._refusals:
            self._refusals[asked] = refusal(self.run, self.state, intent, self.now)
        return self._refusals[asked]

    def next_step(self, item: Item) -> Step | None:
        """The first step of the route that isn't done."""
        kind = self.alike_key(item)
        if kind not in self._next_steps:
            self._next_steps[kind] = next_step(self.run, self.state, item)
        return self._next_steps[kind]

    def alike_key(self, item: Item) -> Hashable:
        """A key that is equal for all pieces of one part, hand and place that have no entry in the log: what may be
        done to one of them may be done to each. A newly opened build of 500 pieces consists mostly of such pieces."""
        if item.key not in self._kinds:
            untouched = item.kind == "piece" and self.state.item(self.run, item) is NEW_ITEM
            place = (item.id, item.hand, item.copy, self.state.into(self.run, item))
            self._kinds[item.key] = place if untouched else item.key
        return self._kinds[item.key]

    @cached_property
    def _refusals(self) -> dict[Hashable, Refusal | None]:
        """A cache for this moment: a screen asks the same about a piece several times."""
        return {}

    @cached_property
    def _kinds(self) -> dict[str, Hashable]:
        """Like `_refusals`."""
        return {}

    @cached_property
    def _next_steps(self) -> dict[Hashable, Step | None]:
        """Like `_refusals`."""
        return {}
