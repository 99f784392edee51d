"""The members of an assembly: which are ready, and what the others need."""

from __future__ import annotations

from msgspec import Struct

from tracker.cards.marks import Sign
from tracker.floor.floor import Floor
from tracker.words import say
from tracker.work.decide.prerequisites import next_step
from tracker.work.misfits import misfits
from tracker.work.operations import Step
from tracker.work.run import Item
from tracker.work.state.state import waits_of

_BRINGING = ("dry fit", "spread", "attach", "drive screws")


class MemberView(Struct, frozen=True, kw_only=True):
    """One member of the assembly, and its progress."""

    key: str
    title: str
    said: str
    tone: Sign
    scanned: bool


def bringing(step: Step) -> bool:
    """Whether pieces are still brought to an assembly for that step."""
    return step.id in _BRINGING and not step.in_clamps


def members_of(floor: Floor, item: Item) -> tuple[MemberView, ...]:
    """The members, after all swaps."""
    scanned = floor.state.checked_in(floor.run, item)
    return tuple(_member(floor, floor.item(key), key in scanned) for key in floor.state.members(floor.run, item))


def _member(floor: Floor, member: Item, scanned: bool) -> MemberView:
    """A member is ready, or needs something; it is `waiting` only while one of its clocks is running."""
    missing = next_step(floor.run, floor.state, member)
    wrong = misfits(floor.run, floor.state, member)
    said, tone = say("ready"), "done"
    if wrong:
        said, tone = wrong[0].small_words, "caution"
    elif floor.state.aside(floor.run, member):
        said, tone = say("set aside"), "waiting"
    elif missing is not None:
        runs = any(running.wait.at_least for running in waits_of(floor.run, floor.state, member))
        said, tone = missing.needs, "waiting" if runs else ""
    return MemberView(key=member.key, title=member.title, said=said, tone=tone, scanned=scanned)  # type: ignore[arg-type]
